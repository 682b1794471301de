"""What the work on a bike may cost the shop: by finding, at best, likely and at worst."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Protocol

from django.utils import timezone

from inventory.core.money import ZERO, quantise
from inventory.parts.models import Part
from quotes.core.lines import Job
from quotes.core.pricing import price
from quotes.core.ranges import ThreePoint
from quotes.quoting.models import Line, QuotedFinding, Revision
from quotes.quoting.selectors.book import price_book_on, works_of
from quotes.quoting.selectors.found import Found, found_in
from workshop.core.judgement import Importance
from workshop.inspections.models import Inspection
from workshop.labour.models import Operation
from workshop.shop.models import Shop

SHARED = "Work that several findings share"
FURTHER = "Further work"
TIMED = frozenset({"labour", "access"})
ONE = Decimal(1)


class Charged(Protocol):
    """A line, stored or only priced, as far as its cost goes."""

    @property
    def key(self) -> str:
        """Return its key."""

    @property
    def quantity(self) -> Decimal:
        """Return how much of it, in minutes for labour and access."""

    @property
    def vat_code(self) -> str:
        """Return its kind of VAT."""

    @property
    def cost_net(self) -> Decimal:
        """Return what the whole of it costs the shop."""

    @property
    def left_out(self) -> bool:
        """Tell whether it is left out."""


@dataclass(frozen=True, slots=True)
class Task:
    """What one finding takes, at the shop's cost; ``must`` is the part of it that can't wait.

    ``minutes`` are labour and access; ``must_minutes`` those that can't wait.
    """

    name: str
    remedy: str
    cost: ThreePoint
    must: ThreePoint
    minutes: Decimal
    must_minutes: Decimal


@dataclass(frozen=True, slots=True)
class Work:
    """All that is to be done. ``open`` names findings that nobody has priced."""

    tasks: tuple[Task, ...]
    open: tuple[str, ...] = ()

    @property
    def likely(self) -> Decimal:
        """Return the likely cost of it all."""
        return sum((task.cost.likely for task in self.tasks), ZERO)

    @property
    def minutes(self) -> Decimal:
        """Return the minutes of it all."""
        return sum((task.minutes for task in self.tasks), ZERO)


@dataclass(frozen=True, slots=True)
class _Row:
    """A line with the findings it is for, and how pressing it is."""

    line: Charged
    findings: tuple[str, ...]
    importance: str


@dataclass(frozen=True, slots=True)
class _Heading:
    """A finding's name and the remedy chosen for it."""

    name: str
    remedy: str


def work_of_revision(revision: Revision, shop: Shop, rates: Mapping[str, Decimal]) -> Work:
    """Return the work that a quote offers, from its lines as they stand, in five queries."""
    findings = QuotedFinding.objects.filter(revision=revision).order_by("position", "pk")
    heads = {str(row.pk): _Heading(str(row), row.remedy_name) for row in findings}
    lines = Line.objects.filter(revision=revision, left_out=False).prefetch_related("findings")
    rows = [
        _Row(line, tuple(str(row.pk) for row in line.findings.all()), line.importance)
        for line in lines
    ]
    unpriced = tuple(
        str(row)
        for row in findings
        if not (row.no_work_reason or row.covered_by or row.deal_breaker)
        and not any(str(row.pk) in each.findings for each in rows)
    )
    return Work(_tasks(rows, heads, shop, rates), unpriced)


def work_of_inspection(inspection: Inspection, shop: Shop, rates: Mapping[str, Decimal]) -> Work:
    """Return the work that a quote would propose for what was found, without making one.

    Raises:
        PricingError: a rate is missing.
        AccessError: the access steps do not hang together.
    """
    found = found_in(inspection)
    works = works_of((each.remedy.pk for each in found if each.remedy), inspection.bike)
    jobs = [_job(str(at), each, works) for at, each in enumerate(found)]
    heads = {
        str(at): _Heading(
            f"{each.copied['checkpoint_name']}: {each.copied['title']}",
            each.remedy.name if each.remedy else "",
        )
        for at, each in enumerate(found)
    }
    priced = price(jobs, price_book_on(timezone.localdate(), shop))
    rows = [_Row(line, line.findings, line.importance.value) for line in priced.lines]
    unpriced = [
        heads[key].name for key in priced.unpriced if not found[int(key)].copied["deal_breaker"]
    ]
    return Work(_tasks(rows, heads, shop, rates), tuple(unpriced))


def _job(key: str, found: Found, works: Mapping[int, object]) -> Job:
    job = Job(key, Importance(found.importance), found.remedy.name if found.remedy else None)
    work = works.get(found.remedy.pk) if found.remedy else None
    if work is None:
        return job
    return replace(job, operations=work.operations, parts=work.parts)  # type: ignore[attr-defined]


def _tasks(
    rows: Iterable[_Row],
    heads: Mapping[str, _Heading],
    shop: Shop,
    rates: Mapping[str, Decimal],
) -> tuple[Task, ...]:
    """Return a task for each finding with lines of its own, then what is shared or further."""
    rows = [row for row in rows if not row.line.left_out]
    spreads = _spreads(row.line.key for row in rows)
    grouped: dict[str, list[_Row]] = {key: [] for key in (*heads, SHARED, FURTHER)}
    for row in rows:
        grouped[_place(row)].append(row)
    return tuple(
        _task(heads.get(key) or _Heading(key, ""), group, spreads, shop, rates)
        for key, group in grouped.items()
        if group
    )


def _place(row: _Row) -> str:
    """Return where a row belongs: its finding, or what several share, or neither."""
    if len(row.findings) == 1:
        return row.findings[0]
    return SHARED if row.findings else FURTHER


Spread = tuple[Decimal, Decimal]


def _task(
    head: _Heading,
    rows: Iterable[_Row],
    spreads: Mapping[str, Spread],
    shop: Shop,
    rates: Mapping[str, Decimal],
) -> Task:
    """Return the sum of some rows."""
    whole, must = [ZERO, ZERO, ZERO], [ZERO, ZERO, ZERO]
    minutes = must_minutes = ZERO
    for row in rows:
        likely = _cost(row.line, shop, rates)
        low, high = spreads.get(row.line.key, (ONE, ONE))
        costs = [quantise(likely * each, shop.currency) for each in (low, ONE, high)]
        taken = row.line.quantity if _kind(row.line.key) in TIMED else ZERO
        whole = [one + other for one, other in zip(whole, costs, strict=True)]
        minutes += taken
        if row.importance == Importance.MUST.value:
            must = [one + other for one, other in zip(must, costs, strict=True)]
            must_minutes += taken
    return Task(
        head.name, head.remedy, ThreePoint(*whole), ThreePoint(*must), minutes, must_minutes
    )


def _kind(key: str) -> str:
    return key.partition(":")[0]


def _cost(line: Charged, shop: Shop, rates: Mapping[str, Decimal]) -> Decimal:
    """Return what a line costs the shop; all but wages with the VAT it cannot get back."""
    if shop.vat_registered or _kind(line.key) in TIMED:
        return quantise(line.cost_net, shop.currency)
    return quantise(line.cost_net * (1 + rates.get(line.vat_code, ZERO)), shop.currency)


def _spreads(keys: Iterable[str]) -> dict[str, Spread]:
    """Return by line key what low and high are to the likely, from the catalogue, in two queries.

    A line whose operation or part has no low and high is certain and is not there.
    """
    wanted = [key.split(":") for key in keys]
    operations = {each[1] for each in wanted if each[0] == "labour"}
    parts = {each[2] for each in wanted if each[0] == "part"}
    by_operation = {
        row.code: _spread(row.minutes_low, row.minutes, row.minutes_high)
        for row in Operation.objects.filter(code__in=operations).only(
            "code", "minutes_low", "minutes", "minutes_high"
        )
    }
    by_part = {
        row.code: _spread(row.cost_low_net, row.cost_net, row.cost_high_net)
        for row in Part.objects.filter(code__in=parts).only(
            "code", "cost_low_net", "cost_net", "cost_high_net"
        )
    }
    found = {"labour": by_operation, "part": by_part}
    return {
        ":".join(each): spread
        for each in wanted
        if (spread := found.get(each[0], {}).get(each[-1])) is not None
    }


def _spread(low: Decimal | None, likely: Decimal, high: Decimal | None) -> Spread | None:
    if not likely or (low is None and high is None):
        return None
    return (low or likely) / likely, (high or likely) / likely
