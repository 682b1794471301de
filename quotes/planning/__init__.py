"""The cheapest sound way to put a bike right: packages, what goes together, plans, locks."""
