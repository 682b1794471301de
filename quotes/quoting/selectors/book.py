"""From the catalogue's rows to what pricing takes in: the price book of a day, jobs, changes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from inventory.core.fitting import Answer
from inventory.parts.models import Part
from quotes.core.lines import (
    BandRate,
    Change,
    HandLine,
    Job,
    OperationUse,
    PartUse,
    PriceBook,
    Pricing,
    SundryRule,
)
from quotes.core.pricing import price
from quotes.quoting.models import Line, LineChange, LineKind, QuotedFinding, Revision
from quotes.quoting.selectors.fitting import PartFit, taken_for
from workshop.bikes.models import Bike
from workshop.core.access import AccessStep as CoreStep
from workshop.core.access import Operation as CoreOperation
from workshop.core.judgement import Importance
from workshop.labour.models import AccessStep, LabourRate, Operation, RemedyOperation, RemedyPart
from workshop.shop.models import Shop
from workshop.shop.selectors import current_shop, vat_rates_on


@dataclass(frozen=True, slots=True)
class RemedyWork:
    """What a remedy asks for: operations and parts, and how those fit the bike, if asked."""

    operations: tuple[OperationUse, ...] = ()
    parts: tuple[PartUse, ...] = ()
    fits: tuple[PartFit, ...] = ()

    @property
    def misfits(self) -> tuple[PartFit, ...]:
        """Return the parts that do not fit the bike it was asked for."""
        return tuple(each for each in self.fits if each.fit.answer is Answer.NO)

    @property
    def fit_words(self) -> str:
        """Return what is to be said of its parts' fit, misfits first; nothing where all is well."""
        rest = (each for each in self.fits if each not in self.misfits)
        return " ".join(filter(None, (each.words for each in (*self.misfits, *rest))))


NO_WORK = RemedyWork()
Works = Mapping[int, RemedyWork]


@dataclass(frozen=True, slots=True)
class Worksheet:
    """All that a draft's price is worked out from, so that it can be asked “what if”."""

    findings: tuple[QuotedFinding, ...]
    hand_lines: tuple[HandLine, ...]
    changes: Mapping[str, Change]
    works: Works
    book: PriceBook

    def price(self, swap: Mapping[int, int | None] | None = None) -> Pricing:
        """Return the pricing; ``swap`` names another remedy (pk) for some findings (pk)."""
        jobs = jobs_from(self.findings, self.works, swap or {})
        return price(jobs, self.book, changes=self.changes, hand_lines=self.hand_lines)


def price_book_on(day: dt.date, shop: Shop) -> PriceBook:
    """Return the shop's prices of a day, in four queries."""
    steps = AccessStep.objects.select_related("band").prefetch_related("needs")
    return PriceBook(
        currency=shop.currency,
        labour=_rates_on(day),
        vat_rates=vat_rates_on(day) if shop.vat_registered else {},
        steps={step.code: _step(step) for step in steps},
        sundries=SundryRule(shop.sundries_share, shop.sundries_min_net, shop.sundries_max_net),
        registered=shop.vat_registered,
    )


def works_of(remedies: Iterable[int], bike: Bike) -> dict[int, RemedyWork]:
    """Return the work of each remedy (by pk) on a bike, in six queries.

    A part that does not fit gives way to a size of it that does.
    """
    wanted = set(remedies)
    operations: dict[int, list[OperationUse]] = {pk: [] for pk in wanted}
    parts: dict[int, list[PartUse]] = {pk: [] for pk in wanted}
    steps = RemedyOperation.objects.filter(remedy__in=wanted).order_by("remedy", "order", "pk")
    for row in steps.select_related("operation__band").prefetch_related(
        "operation__access", "operation__covers"
    ):
        operations[row.remedy_id].append(OperationUse(_operation(row.operation), row.quantity))
    fitted = RemedyPart.objects.filter(remedy__in=wanted).order_by("remedy", "pk")
    rows = list(fitted.select_related("part__fit", "operation"))
    taken = taken_for((row.part for row in rows), bike)
    fits: dict[int, list[PartFit]] = {pk: [] for pk in wanted}
    for use in rows:
        each = taken[use.part_id]
        parts[use.remedy_id].append(_part(use, each.part))
        if each.told is not None:
            fits[use.remedy_id].append(each.told)
    return {
        pk: RemedyWork(tuple(operations[pk]), tuple(parts[pk]), tuple(fits[pk])) for pk in wanted
    }


def worksheet_of(
    revision: Revision, *, others: Iterable[int] = (), shop: Shop | None = None
) -> Worksheet:
    """Return what a draft's price of today is worked out from, in a constant number of queries.

    ``others`` are further remedies (by pk) that may be asked about.
    """
    findings = tuple(QuotedFinding.objects.filter(revision=revision).order_by("position", "pk"))
    chosen = {row.remedy_id for row in findings if row.remedy_id}
    by_hand = Line.objects.filter(revision=revision, kind=LineKind.HAND).order_by("position", "pk")
    changes = LineChange.objects.filter(revision=revision).order_by("key")
    return Worksheet(
        findings=findings,
        hand_lines=tuple(hand_line(row) for row in by_hand.prefetch_related("findings")),
        changes={row.key: change_of(row) for row in changes},
        works=works_of(chosen | set(others), revision.quote.bike),
        book=price_book_on(timezone.localdate(), shop or current_shop()),
    )


def jobs_of(revision: Revision) -> tuple[Job, ...]:
    """Return the jobs of a revision as pricing takes them in."""
    findings = tuple(QuotedFinding.objects.filter(revision=revision).order_by("position", "pk"))
    chosen = {row.remedy_id for row in findings if row.remedy_id}
    return jobs_from(findings, works_of(chosen, revision.quote.bike), {})


def jobs_from(
    findings: Iterable[QuotedFinding], works: Works, swap: Mapping[int, int | None]
) -> tuple[Job, ...]:
    """Return a job for each finding that work is offered for, by its pk as text."""
    jobs = []
    for row in findings:
        swapped = row.pk in swap
        remedy = swap[row.pk] if swapped else row.remedy_id
        if row.no_work_reason and not swapped:
            continue
        work = works.get(remedy, NO_WORK) if remedy else NO_WORK
        jobs.append(
            Job(
                finding=str(row.pk),
                importance=Importance(row.importance),
                remedy=row.remedy_name or None,
                operations=work.operations,
                parts=work.parts,
            )
        )
    return tuple(jobs)


def hand_line(line: Line) -> HandLine:
    """Return a stored line by hand as pricing takes it in; its findings are to be prefetched."""
    return HandLine(
        key=line.key,
        description=line.description,
        quantity=line.quantity,
        unit=line.unit,
        unit_price_net=line.unit_price_net,
        vat_code=line.vat_code,
        importance=Importance(line.importance),
        reason=line.reason,
        findings=tuple(str(row.pk) for row in line.findings.all()),
        cost_net=line.cost_net,
    )


def change_of(row: LineChange) -> Change:
    """Return a stored change as pricing takes it in."""
    return Change(row.quantity, row.unit_price_net, row.leave_out, row.reason)


def _rates_on(day: dt.date) -> dict[str, BandRate]:
    """Return the rates in force on a day by the code of their band."""
    rows = LabourRate.objects.filter(valid_from__lte=day).select_related("band")
    return {
        row.band.code: BandRate(row.charged_net, row.cost_net)
        for row in rows.order_by("valid_from")
    }


def _step(step: AccessStep) -> CoreStep:
    """Return an access step as the core knows it."""
    needs = frozenset(other.code for other in step.needs.all())
    return CoreStep(step.code, step.name, step.minutes, step.band.code, needs)


def _operation(row: Operation) -> CoreOperation:
    """Return an operation as the core knows it."""
    return CoreOperation(
        code=row.code,
        name=row.name,
        minutes=row.minutes,
        band=row.band.code,
        access=frozenset(step.code for step in row.access.all()),
        covers=frozenset(other.code for other in row.covers.all()),
    )


def _part(row: RemedyPart, part: Part) -> PartUse:
    """Return a part of a remedy as the core knows it: the one named, or its size that fits."""
    return PartUse(
        code=part.code,
        name=part.name,
        unit=part.unit,
        quantity=Decimal(row.quantity),
        price_net=part.price_net,
        cost_net=part.cost_net,
        vat_code=part.vat_code,
        operation=row.operation.code,
    )
