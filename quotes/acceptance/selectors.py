"""Reading what a customer may answer, and what they answered."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from django.utils import timezone

from quotes.acceptance.models import Acceptance, LineDecision
from quotes.core.lines import Kind, PricedLine, Totals
from quotes.core.pricing import accepted_lines, totals
from quotes.quoting.models import Line, Revision
from quotes.quoting.selectors.page import FindingView, LineView, RevisionPage, expired
from workshop.core.judgement import Importance

DECIDABLE = (Kind.LABOUR, Kind.PART, Kind.HAND)
"""Kinds of lines that a customer decides on; access and sundries follow from them."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Lines to be decided on that stand together: under a finding, or for the whole bike."""

    finding: FindingView | None
    lines: tuple[LineView, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What a yes to some lines comes to: each line that counts with yes or no, and the sums."""

    decisions: Mapping[int, bool]
    totals: Totals
    following: tuple[Line, ...]
    refused_must: tuple[Line, ...]
    chosen: int
    offered: int


def offers_of(page: RevisionPage) -> list[Offer]:
    """Return what is to be decided on, in walk order; findings without lines are left out."""
    offers = [Offer(view, _decidable(view.lines)) for view in page.findings]
    offers.append(Offer(None, _decidable(page.further)))
    return [offer for offer in offers if offer.lines]


def _decidable(views: Sequence[LineView]) -> tuple[LineView, ...]:
    """Return the lines that count and that a customer decides on."""
    return tuple(view for view in views if view.line.kind in DECIDABLE and not view.line.left_out)


def answer_to(lines: Sequence[Line], accepted: Collection[int]) -> Answer:
    """Return what a yes to the accepted lines (pks) comes to; their findings are prefetched.

    Access steps and sundries follow. Pks of lines that are not decided on are ignored.
    """
    counted = [line for line in lines if not line.left_out]
    chosen = [line for line in counted if line.kind in DECIDABLE]
    decided = {line.key: line.pk in accepted for line in chosen}
    answer = accepted_lines([_priced(line) for line in counted], decided)
    yes = [line for line in counted if answer[line.key]]
    return Answer(
        decisions={line.pk: answer[line.key] for line in counted},
        totals=totals(yes),
        following=tuple(line for line in yes if line.kind not in DECIDABLE),
        refused_must=tuple(
            line for line in chosen if line.importance == Importance.MUST and not decided[line.key]
        ),
        chosen=sum(decided.values()),
        offered=len(chosen),
    )


def lines_of(revision: Revision) -> list[Line]:
    """Return the lines of a revision with their findings, in two queries."""
    rows = Line.objects.filter(revision=revision).order_by("position", "pk")
    return list(rows.prefetch_related("findings"))


def is_expired(revision: Revision) -> bool:
    """Tell whether a sent revision's date has passed."""
    return expired(revision, timezone.localdate())


def decisions_of(acceptance: Acceptance) -> dict[int, bool]:
    """Return yes or no by the pk of the line."""
    rows = LineDecision.objects.filter(acceptance=acceptance)
    return dict(rows.values_list("line_id", "accepted"))


def shortcut(page: RevisionPage, word: str) -> set[int]:
    """Return the lines (pks) that a shortcut ticks: all, must, should (must and should), none."""
    wanted = {
        "all": set(Importance),
        "must": {Importance.MUST},
        "should": {Importance.MUST, Importance.SHOULD},
    }.get(word, set())
    return {
        view.line.pk
        for offer in offers_of(page)
        for view in offer.lines
        if Importance(view.line.importance) in wanted
    }


def _priced(line: Line) -> PricedLine:
    """Return a stored line as the core knows it."""
    return PricedLine(
        key=line.key,
        kind=Kind(line.kind),
        description=line.description,
        findings=tuple(str(row.pk) for row in line.findings.all()),
        importance=Importance(line.importance),
        quantity=line.quantity,
        unit=line.unit,
        unit_price_net=line.unit_price_net,
        net=line.net,
        vat_code=line.vat_code,
        vat_rate=line.vat_rate,
        vat=line.vat,
        gross=line.gross,
        cost_net=line.cost_net,
        needed_by=tuple(line.needed_by),
    )
