"""Sizes of a part: those that do the same on other bikes."""

from __future__ import annotations

from django.db.models import Q

from inventory.core.fitting import ORDER, Facts, Fit, does_it_fit
from inventory.parts.models import FitFacts, Part


def other_sizes(part: Part, bike: Facts) -> list[tuple[Part, Fit]]:
    """Return the other sizes in use of which something tells, those that fit first; one query."""
    root = part.size_of_id or part.pk
    same = Q(part=root) | Q(part__size_of=root)
    rows = FitFacts.objects.filter(same, part__active=True).exclude(part=part)
    fits = [
        (row.part, does_it_fit(row.facts(), bike))
        for row in rows.select_related("part").order_by("part__price_net", "part__code")
        if row.told
    ]
    return sorted(fits, key=lambda pair: -ORDER.index(pair[1].answer))
