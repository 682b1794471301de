"""Changes a comparable; what it said before is kept in its history."""

from __future__ import annotations

from django.db import transaction

from quotes.resale.models import Comparable


class OwnSaleError(Exception):
    """Raised where a price of the shop's own sales would be changed or removed by hand."""

    def __init__(self, comparable: Comparable) -> None:
        super().__init__(
            f"{comparable} is our own sale, invoice {comparable.own_sale}: it changes only with "
            "that. For a bike to which it is no guide, drop it there."
        )


@transaction.atomic
def change_comparable(comparable: Comparable, **facts: object) -> Comparable:
    """Return the comparable with its new facts.

    Raises:
        OwnSaleError: it is a sale of the shop's own.
        ValidationError: a value is not one that a comparable can have.
    """
    if comparable.is_own_sale:
        raise OwnSaleError(comparable)
    for name, value in facts.items():
        setattr(comparable, name, value)
    comparable.set_keys()
    comparable.full_clean()
    comparable.save()
    return comparable
