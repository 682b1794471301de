"""Enters a comparable by hand."""

from __future__ import annotations

from django.db import transaction

from quotes.resale.models import Comparable
from workshop.people.models import User


@transaction.atomic
def enter_comparable(*, by: User, **facts: object) -> Comparable:
    """Return the new comparable; ``facts`` are its fields.

    Raises:
        ValidationError: a value is not one that a comparable can have.
    """
    made = Comparable(entered_by=by, **facts)
    made.set_keys()
    made.full_clean()
    made.save()
    return made
