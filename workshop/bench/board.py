"""The bench board: open cards by day promised and by what stops them, and how full weeks are."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from workshop.bench.promising import Forecast
from workshop.bench.standing import Standing, Stop
from workshop.core.benchtime import BenchDay
from workshop.core.promise import Promise, day_words
from workshop.jobcards.models import JobCard

LEAST_WEEKS, MOST_WEEKS = 3, 8
WHOLE_BAR = 100
DAYS_A_WEEK = 7
TOMORROW = 1
ORDER = (Stop.ON_BENCH, Stop.GOES_ON, Stop.PERSON, Stop.PARTS, Stop.CUSTOMER, Stop.CHECK)


@dataclass(frozen=True, slots=True)
class Row:
    """A card on the board."""

    standing: Standing
    promise: Promise
    stop: Stop
    today: dt.date

    @property
    def card(self) -> JobCard:
        """Return the card."""
        return self.standing.card

    @property
    def promised(self) -> dt.date | None:
        """Return the day that the customer was promised."""
        return self.card.promised_on

    @property
    def is_past(self) -> bool:
        """Tell whether that day has gone by."""
        return self.promised is not None and self.promised < self.today

    @property
    def is_late(self) -> bool:
        """Tell whether it will not be kept as things stand."""
        day = self.promise.day
        return self.promised is not None and (day is None or day > self.promised)

    @property
    def expected_words(self) -> str:
        """Return the day on which it is expected to be done."""
        return day_words(self.promise.day) if self.promise.day else "no day within half a year"

    @property
    def promise_words(self) -> str:
        """Return what was promised and what is expected now."""
        if self.promised is None:
            return f"no day promised, expected {self.expected_words}"
        promised = f"promised {day_words(self.promised)}"
        if self.is_late:
            return f"{promised}, now expected {self.expected_words}"
        if self.promise.day == self.promised:
            return promised
        return f"{promised}, expected {self.expected_words}"

    @property
    def minutes(self) -> float:
        """Return the standard minutes that are left."""
        return self.promise.standard

    @property
    def notes(self) -> list[str]:
        """Return what it waits for, or who is at it."""
        if self.standing.people:
            return [", ".join(self.standing.people)]
        notes = [f"until {day_words(each.until)}: {each.words}" for each in self.standing.waits]
        if self.stop is Stop.PERSON:
            begins = self.promise.begins
            when = f"from {day_words(begins)}" if begins else "on no day within half a year"
            notes.insert(0, f"bench time for it {when}")
        return notes


@dataclass(frozen=True, slots=True)
class Rail:
    """The cards of one day, or of one thing that stops them."""

    title: str
    rows: Sequence[Row]
    note: str = ""
    is_past: bool = False


@dataclass(frozen=True, slots=True)
class Week:
    """A week's minutes: at the bench, of promised work (as long as it takes on average).

    ``carried`` is what the weeks before leave over.
    """

    monday: dt.date
    bench: float
    work: float
    carried: float
    cards: int
    scale: float

    @property
    def load(self) -> float:
        """Return the minutes to be worked."""
        return self.work + self.carried

    @property
    def over(self) -> float:
        """Return the minutes that do not fit."""
        return max(self.load - self.bench, 0)

    @property
    def spare(self) -> float:
        """Return the minutes that are still free."""
        return max(self.bench - self.load, 0)

    @property
    def bench_width(self) -> int:
        """Return how long the bench's bar is, in hundredths."""
        return round(WHOLE_BAR * self.bench / self.scale)

    @property
    def load_width(self) -> int:
        """Return how long the bar of the work that fits is, in hundredths."""
        return round(WHOLE_BAR * min(self.load, self.bench) / self.scale)

    @property
    def over_width(self) -> int:
        """Return how long the bar of what does not fit is, in hundredths."""
        return round(WHOLE_BAR * self.load / self.scale) - self.load_width

    @property
    def words(self) -> str:
        """Return how full it is."""
        if self.over:
            return f"overfull by {self.over:.0f} minutes, which stand over into the next week"
        if not self.bench:
            return "nobody is at the bench"
        return f"{self.spare:.0f} minutes are free"


@dataclass(frozen=True, slots=True)
class Board:
    """The open cards as the board shows them."""

    forecast: Forecast
    rows: Sequence[Row]

    @property
    def late(self) -> list[Row]:
        """Return the cards whose promise will not be kept as things stand."""
        return [each for each in self.rows if each.is_late]

    @property
    def past(self) -> list[Row]:
        """Return the cards whose day has gone by."""
        return [each for each in self.rows if each.is_past]

    @property
    def pressing(self) -> list[Row]:
        """Return the cards that are late as things stand, then those due next, each by promise.

        Due next is what is promised for today or the next day at the bench. Where nobody has
        hours nothing can be expected, so that late is what is past its day.
        """
        late = self.late if self.forecast.has_hours else self.past
        last = self.forecast.next_day
        due = [each for each in self.rows if each.promised is not None and each.promised <= last]
        return [*late, *(each for each in due if each not in late)]

    @property
    def unpromised(self) -> list[Row]:
        """Return the cards for which no day was promised."""
        return [each for each in self.rows if each.promised is None]

    def by_day(self) -> list[Rail]:
        """Return the cards by the day promised: what is past first, what has no day last."""
        rails = [Rail("Past their day", self.past, is_past=True)] if self.past else []
        days: dict[dt.date, list[Row]] = defaultdict(list)
        for row in self.rows:
            if row.promised is not None and not row.is_past:
                days[row.promised].append(row)
        bench = {each.day: each for each in self.forecast.days}
        rails += [
            Rail(self._title(day), days[day], _day_note(bench.get(day), days[day]))
            for day in sorted(days)
        ]
        if self.unpromised:
            rails.append(Rail("No day promised", self.unpromised))
        return rails

    def by_stop(self) -> list[Rail]:
        """Return the cards by what stops them."""
        rails = []
        for stop in ORDER:
            rows = [each for each in self.rows if each.stop is stop]
            if rows:
                left = f"{sum(each.minutes for each in rows):.0f} standard minutes left"
                rails.append(Rail(str(stop.label).capitalize(), rows, left))
        return rails

    def weeks(self) -> list[Week]:
        """Return how full the weeks are, from this one on, as far as something is promised."""
        return weeks_of(self.forecast.days, self.rows)

    def _title(self, day: dt.date) -> str:
        """Return the heading of a day."""
        away = (day - self.forecast.today).days
        if away > TOMORROW:
            return day_words(day)
        return f"{'Tomorrow' if away else 'Today'}, {day_words(day)}"


def board_of(forecast: Forecast) -> Board:
    """Return the board of the open cards."""
    pairs = zip(forecast.standings, forecast.promises, strict=True)
    first = next((each.day for each in forecast.days if each.people), None)
    rows = [
        Row(standing, promise, _stop(standing, promise, first), forecast.today)
        for standing, promise in pairs
    ]
    return Board(forecast, rows)


def _stop(standing: Standing, promise: Promise, first: dt.date | None) -> Stop:
    """Return what stops a card; one that can go on may wait for a person.

    It does where those before it take all bench time of the first day with any.
    """
    if standing.stop is not Stop.GOES_ON:
        return standing.stop
    return Stop.GOES_ON if first is not None and promise.begins == first else Stop.PERSON


def _day_note(day: BenchDay | None, rows: Iterable[Row]) -> str:
    """Return in words what a day holds and what was promised for it."""
    work = sum(each.promise.expected for each in rows)
    if day is None:
        return f"{work:.0f} minutes of work"
    if day.closed:
        return f"closed: {day.closed}; {work:.0f} minutes of work promised"
    return f"{work:.0f} minutes of work promised, {day.minutes:.0f} at the bench"


def weeks_of(days: Sequence[BenchDay], rows: Sequence[Row]) -> list[Week]:
    """Return how full the weeks are: what is past its day counts into this one."""
    if not days:
        return []
    this = monday_of(days[0].day)
    bench: dict[dt.date, float] = defaultdict(float)
    work: dict[dt.date, float] = defaultdict(float)
    cards: dict[dt.date, int] = defaultdict(int)
    for day in days:
        bench[monday_of(day.day)] += day.minutes
    for row in rows:
        if row.promised is not None:
            monday = max(monday_of(row.promised), this)
            work[monday] += row.promise.expected
            cards[monday] += 1
    last = max(work, default=this)
    count = min(max((last - this).days // DAYS_A_WEEK + 1, LEAST_WEEKS), MOST_WEEKS)
    carried, found = 0.0, []
    for number in range(count):
        monday = this + dt.timedelta(weeks=number)
        found.append((monday, bench[monday], work[monday], carried, cards[monday]))
        carried = max(work[monday] + carried - bench[monday], 0)
    scale = max(*(max(each[1], each[2] + each[3]) for each in found), 1)
    return [Week(*each, scale) for each in found]


def monday_of(day: dt.date) -> dt.date:
    """Return the Monday of a day's week."""
    return day - dt.timedelta(days=day.weekday())
