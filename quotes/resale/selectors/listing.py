"""The list of comparables."""

from __future__ import annotations

from django.db.models import QuerySet

from quotes.resale.models import Comparable

SEARCHED = ("make", "model", "source")


def comparables_for_list() -> QuerySet[Comparable]:
    """Return all comparables, the latest first, for one query."""
    return Comparable.objects.all()
