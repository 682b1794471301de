"""Sets a person's week at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from workshop.bench.errors import BenchError
from workshop.bench.models import BenchPerson, Weekday, WorkingHours
from workshop.people.models import User


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours on a weekday, in minutes after midnight, with a pause in minutes."""

    weekday: int
    starts: int
    ends: int
    pause: int = 0


@transaction.atomic
def set_hours(user: User, hours: Sequence[Hours], *, bench_share: Decimal) -> BenchPerson:
    """Return the person at the bench with exactly these hours; days not named are free.

    Raises:
        BenchError: the hours of a day end before they start, or the pause is longer than they are.
    """
    for each in hours:
        if each.starts + each.pause >= each.ends:
            day = Weekday(each.weekday).label
            raise BenchError(f"{day}: the day ends before its hours and its pause are over.")
    person, _ = BenchPerson.objects.select_for_update().get_or_create(user=user)
    person.bench_share = bench_share
    person.save()
    kept = {row.weekday: row for row in person.hours.all()}
    for each in hours:
        row = kept.pop(each.weekday, None) or WorkingHours(person=person, weekday=each.weekday)
        new = (each.starts, each.ends, each.pause)
        if row.pk is None or (row.starts, row.ends, row.pause) != new:
            row.starts, row.ends, row.pause = new
            row.save()
    for row in kept.values():
        row.delete()
    return person
