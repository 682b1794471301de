"""Leaves a comparable out for one bike, with the reason."""

from __future__ import annotations

from django.db import transaction

from quotes.resale.models import Comparable, Dropped
from workshop.bikes.models import Bike
from workshop.people.models import User


class NoReasonError(Exception):
    """Raised where a comparable would be dropped without a reason."""


@transaction.atomic
def drop_comparable(comparable: Comparable, bike: Bike, *, reason: str, by: User) -> Dropped:
    """Return the note; where it was dropped already the first reason stands.

    Raises:
        NoReasonError: the reason is empty.
    """
    words = reason.strip()
    if not words:
        raise NoReasonError("Say why this price is no guide for the bike.")
    dropped, _ = Dropped.objects.get_or_create(
        comparable=comparable, bike=bike, defaults={"reason": words, "by": by}
    )
    return dropped
