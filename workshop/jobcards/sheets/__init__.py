"""Paper of this room: the release sheet for the customer, the card to be filled in by pen."""
