"""How many minutes a day there are at the bench: weekly hours, absences, closed days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

SECONDS_A_MINUTE = 60


@dataclass(frozen=True, slots=True)
class Shift:
    """When a person usually works on a weekday (0 is Monday), pause included.

    ``pause`` is in minutes. ``bench_share`` is the fraction of the working time that is spent at
    the bench; the rest goes on the telephone, tidying up, and customers at the counter.

    Raises:
        ValueError: it ends before it starts, or the pause or the share are out of bounds.
    """

    person: str
    weekday: int
    starts: dt.time
    ends: dt.time
    pause: int = 0
    bench_share: float = 1.0

    def __post_init__(self) -> None:
        """Refuse what cannot be a shift."""
        if not 0 <= self.pause < self.length:
            raise ValueError("A shift ends after it starts, and its pause is shorter than it.")
        if not 0 <= self.bench_share <= 1:
            raise ValueError("The share at the bench is a fraction from 0 to 1.")

    @property
    def length(self) -> float:
        """Return the minutes from start to end, pause included."""
        return _minute_of(self.ends) - _minute_of(self.starts)

    def minutes(self, now: dt.time | None = None) -> float:
        """Return the minutes at the bench, or those that are left of them at a time of the day.

        The pause is spread evenly over the shift, so that what is left never jumps.
        """
        start, end = _minute_of(self.starts), _minute_of(self.ends)
        left = end - max(start, min(end, _minute_of(now) if now else start))
        return self.bench_share * (self.length - self.pause) * left / self.length


@dataclass(frozen=True, slots=True)
class Away:
    """Days on which a person is not there, the first and the last included."""

    person: str
    first: dt.date
    last: dt.date

    def covers(self, day: dt.date) -> bool:
        """Tell whether the person is away on a day."""
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class BenchDay:
    """A day's bench time in minutes, person by person, most first; and why it is closed."""

    day: dt.date
    people: tuple[float, ...] = ()
    closed: str = ""

    @property
    def minutes(self) -> float:
        """Return the minutes of all together."""
        return sum(self.people)


@dataclass(frozen=True, slots=True)
class BenchTime:
    """The shop's bench time: who works when, who is away, and which days are closed, and why."""

    shifts: Sequence[Shift] = ()
    away: Sequence[Away] = ()
    closed: Mapping[dt.date, str] = field(default_factory=dict)

    def on(self, day: dt.date, now: dt.time | None = None) -> BenchDay:
        """Return a day's bench time; with ``now``, what is left of it at that time."""
        if day in self.closed:
            return BenchDay(day, closed=self.closed[day])
        by_person: dict[str, float] = {}
        gone = {each.person for each in self.away if each.covers(day)}
        for shift in self.shifts:
            if shift.weekday == day.weekday() and shift.person not in gone:
                there = by_person.get(shift.person, 0)
                by_person[shift.person] = there + shift.minutes(now)
        there_is = (minutes for minutes in by_person.values() if minutes > 0)
        return BenchDay(day, tuple(sorted(there_is, reverse=True)))

    def days(self, now: dt.datetime, count: int) -> list[BenchDay]:
        """Return so many days from a moment on; of the first, what is left of it."""
        first = now.date()
        later = (self.on(first + dt.timedelta(days=each)) for each in range(1, count))
        return [self.on(first, now.time()), *later]


def _minute_of(time: dt.time) -> float:
    """Return the minute of the day."""
    return time.hour * 60 + time.minute + time.second / SECONDS_A_MINUTE
