"""The day for which a card's work can be promised, and why, from the queue and the bench time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import prod

from workshop.core.benchtime import BenchDay
from workshop.core.spread import MOST_SHARE, Spread

ROUNDING = 1e-6
MOST_TOLD = 3


@dataclass(frozen=True, slots=True)
class Odds:
    """The fraction of cases in which something, known by its name, is there on its day."""

    of: str
    chance: float


@dataclass(frozen=True, slots=True)
class Held:
    """Standard minutes of a card that can go on from the day after ``until``, and what they await.

    What is awaited may come at any hour of its day, so that it is worked with on the next. Of
    what may come later still, ``odds`` say how often it is there on that day; by ``latest`` it is
    there in all cases that are known.
    """

    minutes: float
    until: dt.date
    words: str
    latest: dt.date | None = None
    odds: frozenset[Odds] = frozenset()

    @property
    def surely(self) -> Held:
        """Return the same as from the day on which it is there in all cases known."""
        latest = max(self.latest or self.until, self.until)
        return replace(self, until=latest, latest=None, odds=frozenset())


@dataclass(frozen=True, slots=True)
class Work:
    """What is left to do on a card, in standard minutes.

    ``free`` can go on at once; ``held`` awaits something; ``last`` comes when all else is done
    (putting together again, the release check).
    """

    key: str
    free: float = 0
    held: tuple[Held, ...] = ()
    last: float = 0

    @property
    def standard(self) -> float:
        """Return the standard minutes in all."""
        return self.free + sum(each.minutes for each in self.held) + self.last

    @property
    def chance(self) -> float:
        """Return the fraction of cases in which all that it awaits is there on its day.

        Things of different names are late independently of each other.
        """
        odds = frozenset[Odds]().union(*(each.odds for each in self.held))
        return prod(each.chance for each in odds)

    @property
    def surely(self) -> Work:
        """Return the same with all that it awaits on the day on which it is there in all cases."""
        return replace(self, held=tuple(each.surely for each in self.held))


@dataclass(frozen=True, slots=True)
class Promise:
    """The day by whose end a card is done in the given share of cases, and the reasons in words.

    ``day`` is None where the days looked at do not suffice. ``standard`` are the card's standard
    minutes, ``counted`` those within which its work is done in the share of cases; ``expected``
    is what it takes on average, and ``begins`` the first day with bench time for it then.
    """

    key: str
    day: dt.date | None
    share: float
    reasons: tuple[str, ...]
    standard: float
    expected: float
    counted: float
    begins: dt.date | None


def forecast(
    queue: Sequence[Work], days: Sequence[BenchDay], spread: Spread, share: float
) -> list[Promise]:
    """Return the promise for each card of a queue, in its order.

    ``days`` are consecutive, from today on, with what is left of today. Everybody takes the
    first card of the queue that can go on; one card is in one person's hands at a time.

    - Those before a card take their minutes off the bench time of all together, as early as
      they can go on: each as many as it takes on average (standard × mean of the spread).
    - All of them vary; what holds their sum with the card's own in the share of cases, beyond
      what holds the card alone, is taken off beside that (reserves add up as squares do).
    - The card itself takes the minutes that hold it in the share of cases. Of a day it gets the
      part that those before it leave, of the longest day that a person has; and where there are
      fewer cards before it than people, at least the whole day of one of them.
    - Where what it awaits may come later than on its day, there are two ways to hold the share:
      wait until it is there in all cases known; or wait until its day, with the work held in so
      much greater a share that both together still come to the share (chance × share of the
      work). The earlier day of the two is taken.
    - It is done on the day on which its last minute is done: a day with bench time, so never a
      closed one.

    More work, before it or its own, or a later day for what it awaits never give an earlier day;
    more hours never a later one. What has no odds is taken to come on its day.

    Raises:
        ValueError: the share is not from 0.5 to 0.9.
    """
    bench = _Bench(days, spread, share)
    promises = []
    for work in queue:
        promises.append(bench.promise(work))
        bench.put_before(work)
    return promises


@dataclass(slots=True)
class _Portion:
    """Minutes that can be worked on from a day on."""

    since: dt.date
    minutes: float


class _Bench:
    """The days with what the cards so far leave of them, and how many of those stand on each."""

    def __init__(self, days: Sequence[BenchDay], spread: Spread, share: float) -> None:
        self.days, self.spread, self.share = days, spread, share
        self.pool = [each.minutes for each in days]
        self.left = list(self.pool)
        self.others = [0] * len(days)
        self.cards, self.standard, self.squares = 0, 0.0, 0.0

    def promise(self, work: Work) -> Promise:
        """Return the promise for a card that stands behind those so far."""
        done, way, share = min(
            ((self._done(way, share), way, share) for way, share in self._ways(work)),
            key=lambda each: len(self.days) if each[0] is None else each[0],
        )
        counted = self.spread.counted(work.standard, share)
        begins = self._taken(work, list(self.left))
        return Promise(
            work.key,
            None if done is None else self.days[done].day,
            self.share,
            self._reasons(way, share, done),
            work.standard,
            self.spread.expected(work.standard),
            counted,
            None if begins is None else self.days[begins].day,
        )

    def _ways(self, work: Work) -> list[tuple[Work, float]]:
        """Return what may be waited for, each with the share in which the work is to be held."""
        needed = self.share / work.chance
        ways = [(work, min(needed, MOST_SHARE))] if needed <= MOST_SHARE + ROUNDING else []
        return [*ways, (work.surely, self.share)] if work.chance < 1 else [(work, self.share)]

    def put_before(self, work: Work) -> None:
        """Let a card take its average minutes off the days, before those that come."""
        self._taken(work, self.left, self.others)
        self.cards += 1
        self.standard += work.standard
        self.squares += work.standard**2

    def _portions(self, work: Work, factor: float) -> list[_Portion]:
        """Return a card's minutes, times a factor, by the day from which they can go on."""
        start = self.days[0].day if self.days else dt.date.min
        waits = [_Portion(each.until + dt.timedelta(days=1), each.minutes) for each in work.held]
        last = max((start, *(each.since for each in waits)))
        portions = [_Portion(start, work.free), *waits, _Portion(last, work.last)]
        return [_Portion(each.since, each.minutes * factor) for each in portions]

    def _taken(self, work: Work, left: list[float], others: list[int] | None = None) -> int | None:
        """Take a card's average minutes off ``left``; return the first day on which it gets any."""
        return _take(self._portions(work, self.spread.mean), self.days, left, others)

    def _done(self, work: Work, share: float) -> int | None:
        """Return by which of the days a card is done in a share of cases, if all is there."""
        counted = self.spread.counted(work.standard, share)
        factor = counted / work.standard if work.standard else 0
        alone = self.spread.reserve_of(work.standard**2, share)
        together = self.spread.reserve_of(self.squares + work.standard**2, share)
        left = list(self.left)
        if self.days:
            _take([_Portion(self.days[0].day, together - alone)], self.days, left)
        portions = self._portions(work, factor)
        for number, day in enumerate(self.days):
            if not day.people:
                continue
            part = day.people[0] * left[number] / self.pool[number]
            free = self.others[number]
            if free < len(day.people):
                part = max(part, day.people[free])
            _serve(portions, day.day, part)
            if not any(each.minutes > ROUNDING or each.since > day.day for each in portions):
                return number
        return None

    def _reasons(self, work: Work, share: float, done: int | None) -> tuple[str, ...]:
        """Return in words what makes the day what it is."""
        counted = self.spread.counted(work.standard, share)
        cards = "1 card" if self.cards == 1 else f"{self.cards} cards"
        before = f"{cards} with {self.standard:.0f} standard minutes before it."
        own = (
            f"Its own work: {work.standard:.0f} standard minutes; "
            f"{share * 100:.0f}\u00a0% of such cards are done in {counted:.0f}."
        )
        until = len(self.days) if done is None else done + 1
        closed = [each for each in self.days[:until] if each.closed]
        return (
            *(f"Waits until {day_words(each.until)}: {each.words}." for each in work.held),
            before if self.cards else "No card before it.",
            own,
            *(f"{day_words(each.day)} is closed: {each.closed}." for each in closed[:MOST_TOLD]),
            *(("There is too little bench time in the days looked at.",) if done is None else ()),
            spread_words(self.spread),
        )


def spread_words(spread: Spread) -> str:
    """Return in words where the spread comes from."""
    if spread.is_own:
        return (
            f"Measured on {spread.cards} timed cards of this shop: work takes "
            f"{spread.mean:.2f} times its standard time, give or take {spread.sd:.2f}."
        )
    return (
        "Too few cards have been timed here yet, so the usual is assumed: work takes "
        f"{spread.mean:.2f} times its standard time, give or take {spread.sd:.2f}."
    )


def day_words(day: dt.date) -> str:
    """Return a day as it is said: “Fri 4 Dec”."""
    return f"{day:%a} {day.day} {day:%b}"


def _take(
    portions: Sequence[_Portion],
    days: Sequence[BenchDay],
    left: list[float],
    others: list[int] | None = None,
) -> int | None:
    """Take portions off what is left of the days, as early as they can go on.

    Returns the first day on which there was any for them; ``others`` counts on each day the
    cards that could go on there, whether or not any time was left for them.
    """
    first = None
    for number, day in enumerate(days):
        waiting = [each for each in portions if each.minutes > ROUNDING]
        if not waiting:
            break
        if others is not None and any(each.since <= day.day for each in waiting):
            others[number] += 1
        took = _serve(waiting, day.day, left[number])
        left[number] -= took
        if first is None and took > ROUNDING:
            first = number
    return first


def _serve(portions: Sequence[_Portion], day: dt.date, minutes: float) -> float:
    """Work so many minutes of a day on portions that can go on; return how many were used."""
    spare = minutes
    for each in portions:
        if each.since <= day:
            used = min(each.minutes, spare)
            each.minutes -= used
            spare -= used
    return minutes - spare
