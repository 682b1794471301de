"""Deletes a comparable that was entered by mistake; its history stays."""

from __future__ import annotations

from django.db import transaction

from quotes.resale.models import Comparable
from quotes.resale.verbs.change import OwnSaleError


@transaction.atomic
def remove_comparable(comparable: Comparable) -> None:
    """Delete the comparable, and with it what was noted on dropping it.

    Raises:
        OwnSaleError: it is a sale of the shop's own.
    """
    if comparable.is_own_sale:
        raise OwnSaleError(comparable)
    comparable.delete()
