"""What the verbs of this room refuse, each with what is wrong and what to do."""

from __future__ import annotations


class PurchaseError(Exception):
    """Raised where something can't be done with an order; nothing is."""


class OverDeliveryError(PurchaseError):
    """Raised where more came than was ordered and nobody said why it is kept."""
