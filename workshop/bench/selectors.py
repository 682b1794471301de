"""Reading for the bench's pages: everybody's week, what is closed soon, promises given and kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet
from django.utils import timezone

from workshop.bench.calendar import closed_days, settings_now
from workshop.bench.models import (
    Absence,
    BenchPerson,
    BenchSettings,
    GivenPromise,
    SpecialDay,
    WorkingHours,
    clock,
    time_of,
)
from workshop.core.benchtime import Shift
from workshop.core.cardstates import CardState
from workshop.jobcards.models import JobCard
from workshop.people.models import Role, User
from workshop.shop.models import Shop

SOON = 120
MOST_JUDGED = 200


@dataclass(frozen=True, slots=True)
class PersonWeek:
    """A person with their usual week and coming absences; no ``person`` while without hours."""

    user: User
    person: BenchPerson | None
    hours: Sequence[WorkingHours]
    absences: Sequence[Absence]

    @property
    def minutes(self) -> float:
        """Return the minutes at the bench of a usual week."""
        if self.person is None:
            return 0
        share = float(self.person.bench_share)
        return sum(
            Shift(
                "", row.weekday, time_of(row.starts), time_of(row.ends), row.pause, share
            ).minutes()
            for row in self.hours
        )

    @property
    def words(self) -> list[str]:
        """Return the week in words, days with the same hours together: “Mon–Fri 9:00–17:30”."""
        runs: list[list[WorkingHours]] = []
        for row in self.hours:
            last = runs[-1][-1] if runs else None
            if last and last.weekday + 1 == row.weekday and _same(last, row):
                runs[-1].append(row)
            else:
                runs.append([row])
        return [_run_words(run) for run in runs]


def _same(one: WorkingHours, two: WorkingHours) -> bool:
    """Tell whether two days have the same hours."""
    return (one.starts, one.ends, one.pause) == (two.starts, two.ends, two.pause)


def _run_words(run: Sequence[WorkingHours]) -> str:
    """Return days in a row with the same hours in words."""
    first, last = run[0], run[-1]
    days = first.get_weekday_display()[:3]
    days += f"–{last.get_weekday_display()[:3]}" if last is not first else ""
    pause = f", {first.pause} min pause" if first.pause else ""
    return f"{days} {clock(first.starts)}–{clock(first.ends)}{pause}"


def people_with_hours(today: dt.date) -> list[PersonWeek]:
    """Return everybody who could be at the bench with their week, in four queries."""
    coming = Absence.objects.filter(last__gte=today)
    rows = BenchPerson.objects.prefetch_related(
        Prefetch("hours", WorkingHours.objects.order_by("weekday")), Prefetch("absences", coming)
    )
    there = {row.user_id: row for row in rows}
    users = User.objects.filter(is_active=True).exclude(role=Role.ACCOUNTANT)
    found = []
    for user in users:
        person = there.get(user.pk)
        hours = list(person.hours.all()) if person else []
        found.append(PersonWeek(user, person, hours, list(person.absences.all()) if person else []))
    return sorted(found, key=lambda each: not each.hours)


@dataclass(frozen=True, slots=True)
class HoursPage:
    """All that the page of hours shows."""

    chosen: BenchSettings
    people: Sequence[PersonWeek]
    days: Sequence[SpecialDay]
    closed: Sequence[tuple[dt.date, str]]

    @property
    def minutes(self) -> float:
        """Return the minutes at the bench of a usual week."""
        return sum(each.minutes for each in self.people)


def hours_page(shop: Shop) -> HoursPage:
    """Return the hours with what is closed in the months to come."""
    today, chosen = timezone.localdate(), settings_now()
    closed = closed_days(today, today + dt.timedelta(days=SOON), shop, chosen)
    return HoursPage(
        chosen,
        people_with_hours(today),
        list(SpecialDay.objects.filter(last__gte=today)),
        sorted(closed.items()),
    )


@dataclass(frozen=True, slots=True)
class Kept:
    """How many of the cards released last were done by the day promised first."""

    cards: int
    kept: int

    @property
    def share(self) -> float:
        """Return the fraction that was kept."""
        return self.kept / self.cards if self.cards else 0


def promises_kept() -> Kept:
    """Return how the promises of the cards released last were kept.

    The first promise given counts where one was kept beside the card, else what stands on it.
    """
    rows = JobCard.objects.filter(
        state=CardState.RELEASED.value, promised_on__isnull=False
    ).order_by("-released_at")
    cards = list(rows.only("promised_on", "released_at")[:MOST_JUDGED])
    given = GivenPromise.objects.filter(card__in=cards).order_by("-pk")
    first = dict(given.values_list("card_id", "promised_on"))
    kept = 0
    for card in cards:
        promised = first.get(card.pk, card.promised_on)
        done = timezone.localdate(card.released_at) if card.released_at else None
        kept += bool(promised and done and done <= promised)
    return Kept(len(cards), kept)


def promises_of(card: JobCard) -> QuerySet[GivenPromise]:
    """Return the promises given for a card, newest first."""
    return card.promises.select_related("by")
