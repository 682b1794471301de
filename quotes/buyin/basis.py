"""What a margin check starts from: the work at cost, and what speaks against the bike."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from decimal import Decimal

from django.utils import timezone

from inventory.core.money import ZERO, quantise
from quotes.buyin.models import LeaveRule, MarginCheck
from quotes.core import margin
from quotes.quoting.models import Line, LineKind, Revision
from workshop.bikes.models import Bike
from workshop.core.judgement import Judgement
from workshop.inspections.models import Finding, Inspection
from workshop.inspections.selectors import findings_of, latest_inspection
from workshop.shop.models import Shop
from workshop.shop.selectors import vat_rates_on

WAGES = frozenset({LineKind.LABOUR, LineKind.ACCESS})


@dataclass(frozen=True, slots=True)
class WorkCost:
    """What the work of a revision costs the shop, quantised, by what it is spent on."""

    labour: Decimal = ZERO
    parts: Decimal = ZERO
    sundries: Decimal = ZERO
    by_hand: Decimal = ZERO

    @property
    def total(self) -> Decimal:
        """Return the sum."""
        return sum((getattr(self, each.name) for each in fields(self)), ZERO)


@dataclass(frozen=True, slots=True)
class Basis:
    """All that is known of a bike when its margin is checked.

    ``revision`` and ``cost`` are None where there is no quote yet; ``inspection`` is the newest,
    with its ``findings``; ``last`` is the check saved last. ``rates`` are the VAT rates of the day.
    """

    bike: Bike
    shop: Shop
    revision: Revision | None
    cost: WorkCost | None
    deal_breakers: tuple[str, ...]
    leave_reasons: tuple[str, ...]
    inspection: Inspection | None
    findings: tuple[Finding, ...]
    last: MarginCheck | None
    rates: Mapping[str, Decimal]

    @property
    def inspected(self) -> bool:
        """Tell whether there is an inspection, finished or not."""
        return self.inspection is not None

    @property
    def vat_rate(self) -> Decimal:
        """Return the standard rate of the day, zero where none is kept."""
        return self.rates.get("standard", ZERO)


def basis_of(bike: Bike, shop: Shop, day: dt.date | None = None) -> Basis:
    """Return what is known of a bike, in a constant number of queries."""
    rates = vat_rates_on(day or timezone.localdate())
    revision = latest_revision(bike)
    inspection = latest_inspection(bike)
    findings = tuple(findings_of(inspection)) if inspection else ()
    return Basis(
        bike=bike,
        shop=shop,
        revision=revision,
        cost=work_cost(revision, shop, rates) if revision else None,
        deal_breakers=deal_breakers_in(findings),
        leave_reasons=leave_reasons_for(findings),
        inspection=inspection,
        findings=findings,
        last=MarginCheck.objects.filter(bike=bike).first(),
        rates=rates,
    )


def latest_revision(bike: Bike) -> Revision | None:
    """Return the newest revision of the bike's newest quote, sent or not."""
    rows = Revision.objects.filter(quote__bike=bike).select_related("quote")
    return rows.order_by("-quote_id", "-number").first()


def work_cost(revision: Revision, shop: Shop, rates: Mapping[str, Decimal]) -> WorkCost:
    """Return what the lines that are not left out cost the shop.

    A shop that is not registered gets no VAT back on what it buys: all but wages is taken with
    the VAT of the day.
    """
    spent = dict.fromkeys(("labour", "parts", "sundries", "by_hand"), ZERO)
    for line in Line.objects.filter(revision=revision, left_out=False):
        spent[_spent_on(line)] += _cost(line, shop, rates)
    return WorkCost(**spent)


def _spent_on(line: Line) -> str:
    """Return which of the costs a line belongs to."""
    if line.kind in WAGES:
        return "labour"
    return {LineKind.PART: "parts", LineKind.SUNDRY: "sundries"}.get(LineKind(line.kind), "by_hand")


def _cost(line: Line, shop: Shop, rates: Mapping[str, Decimal]) -> Decimal:
    """Return what a line costs the shop, with the VAT that it cannot get back."""
    if shop.vat_registered or line.kind in WAGES:
        return Decimal(line.cost_net)
    return quantise(line.cost_net * (1 + rates.get(line.vat_code, ZERO)), shop.currency)


def deal_breakers_in(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the findings that end the matter whatever the price, in words."""
    return tuple(
        f"{each.fault.checkpoint.name}: {each.fault.name}" for each in findings if each.deal_breaker
    )


def leave_reasons_for(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the reasons to leave a bike that hold for these findings."""
    found = [margin.Found(each.fault.code, Judgement(each.judgement)) for each in findings]
    rules = LeaveRule.objects.filter(active=True).prefetch_related("faults")
    return margin.leave_reasons(found, [_core_rule(rule) for rule in rules])


def _core_rule(rule: LeaveRule) -> margin.LeaveRule:
    """Return a rule as the core knows it."""
    return margin.LeaveRule(
        code=rule.code,
        words=rule.words,
        from_judgement=Judgement(rule.from_judgement),
        at_least=rule.at_least,
        faults=frozenset(fault.code for fault in rule.faults.all()),
    )
