"""What is due to be deleted on a day by the retention rules, and what is kept though it is due."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from django.utils import timezone

from quotes.provenance.models import RetentionKind, RetentionRule
from quotes.provenance.retention import customers, identities
from quotes.provenance.retention.due import Due, Kept
from quotes.provenance.retention.months import months_before
from quotes.provenance.retention.others import keepers


@dataclass(frozen=True, slots=True)
class Section:
    """What is due of one kind; ``rule`` is None where the shop has none: then nothing is."""

    kind: RetentionKind
    rule: RetentionRule | None
    due: tuple[Due, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """What would be done on a day."""

    day: dt.date
    sections: tuple[Section, ...]
    kept: tuple[Kept, ...] = field(default=())

    def pks(self, *kinds: RetentionKind) -> list[int]:
        """Return the primary keys that are due of these kinds."""
        return [each.pk for part in self.sections if part.kind in kinds for each in part.due]

    @property
    def count(self) -> int:
        """Return how much is due altogether."""
        return sum(len(part.due) for part in self.sections)


def plan_on(day: dt.date) -> Plan:
    """Return what is due on a day. Nothing is changed."""
    rules = {rule.kind: rule for rule in RetentionRule.objects.all()}
    cutoffs = {kind: _cutoff(day, rules[kind].months) for kind in RetentionKind if kind in rules}
    found = identities.due(cutoffs)
    gone = {each.pk for rows in found.values() for each in rows}
    found |= customers.due(cutoffs, identities_gone=gone)
    stays: list[Kept] = []
    for keeper in keepers():
        theirs = keeper.due(cutoffs)
        found |= theirs
        stays += keeper.kept({kind: [each.pk for each in rows] for kind, rows in theirs.items()})
    anonymised = [each.pk for each in found.get(RetentionKind.DEALT, ())]
    sections = tuple(
        Section(kind, rules.get(kind), tuple(found.get(kind, ()))) for kind in RetentionKind
    )
    kept = (*customers.documents_of(anonymised), *customers.held_back(cutoffs), *stays)
    return Plan(day, sections, kept)


def _cutoff(day: dt.date, months: int) -> dt.datetime:
    """Return the moment before which data are due: the beginning of that day."""
    start = dt.datetime.combine(months_before(day, months), dt.time.min)
    return timezone.make_aware(start)
