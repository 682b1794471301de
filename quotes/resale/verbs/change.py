"""Changes a comparable; what it said before is kept in its history."""

from __future__ import annotations

from django.db import transaction

from quotes.resale.models import Comparable


@transaction.atomic
def change_comparable(comparable: Comparable, **facts: object) -> Comparable:
    """Return the comparable with its new facts.

    Raises:
        ValidationError: a value is not one that a comparable can have.
    """
    for name, value in facts.items():
        setattr(comparable, name, value)
    comparable.set_keys()
    comparable.full_clean()
    comparable.save()
    return comparable
