"""A revision as its page and its PDF show it, in a constant number of queries."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from inventory.core.fitting import Answer, Fit
from inventory.core.money import ZERO
from quotes.core.lines import Totals
from quotes.core.pricing import labour_minutes, totals
from quotes.quoting.models import (
    Line,
    LineChange,
    LineKind,
    Quote,
    QuotedFinding,
    Revision,
    State,
)
from workshop.bikes.fitting import fits_of
from workshop.bikes.models import Bike
from workshop.core.drawing import Drawing, Mark
from workshop.core.judgement import Judgement, worst
from workshop.customers.models import Customer
from workshop.inspections.models import Checkpoint, Photo, RemedyOption
from workshop.jobcards.models import JobCard
from workshop.shop.models import Shop
from workshop.shop.selectors import current_shop

SAID_YES = (State.ACCEPTED, State.PART_ACCEPTED)
ANSWERED = (*SAID_YES, State.REFUSED)
MOST_MARKS = 80
"""More marks than that find no room on the drawing of a bike."""


@dataclass(frozen=True, slots=True)
class LineView:
    """A line with the numbers of the findings it is for, and its change by hand if any.

    ``fit`` says of a part whether it fits the bike, where anything is kept that tells.
    """

    line: Line
    numbers: tuple[int, ...]
    change: LineChange | None = None
    fit: Fit | None = None

    @property
    def anchor(self) -> str:
        """Return its place on the page."""
        return f"line-{self.line.pk}"

    @property
    def timed(self) -> bool:
        """Tell whether its quantity is minutes and its price an hour's."""
        return self.line.kind in {LineKind.LABOUR, LineKind.ACCESS}

    @property
    def by_hand(self) -> bool:
        """Tell whether a person entered it."""
        return self.line.kind == LineKind.HAND

    @property
    def is_changed(self) -> bool:
        """Tell whether a person changed quantity or price of it."""
        return self.change is not None and not self.change.leave_out

    @property
    def is_shared(self) -> bool:
        """Tell whether several findings need it, though it is charged once."""
        return len(self.numbers) > 1


@dataclass(frozen=True, slots=True)
class FindingView:
    """A finding with the lines that stand under it; ``number`` is its mark's on the drawing.

    ``elsewhere`` are numbers of findings under which lines stand that it needs as well;
    ``other_ways`` counts the further remedies there are for it.
    """

    number: int
    row: QuotedFinding
    lines: tuple[LineView, ...]
    elsewhere: tuple[int, ...]
    needs_lines: bool
    other_ways: int = 0
    photos: tuple[Photo, ...] = ()

    @property
    def anchor(self) -> str:
        """Return its place on the page."""
        return f"finding-{self.row.pk}"

    @property
    def by_hand(self) -> bool:
        """Tell whether it is still to be priced by hand."""
        return not (self.needs_lines or self.row.covered_by or self.row.no_work_reason)

    @property
    def net(self) -> Decimal:
        """Return what stands under it, net."""
        return sum((view.line.net for view in self.lines if not view.line.left_out), ZERO)


@dataclass(frozen=True, slots=True)
class RevisionPage:
    """All that is shown of a revision.

    Each line stands in one place: under the first finding it is for, among the ``shared`` access
    lines, or among the ``further`` lines (sundries, and lines for the whole bike).
    """

    revision: Revision
    quote: Quote
    bike: Bike
    customer: Customer
    shop: Shop
    findings: tuple[FindingView, ...]
    shared: tuple[LineView, ...]
    further: tuple[LineView, ...]
    lines: tuple[Line, ...]
    totals: Totals
    drawing: Drawing | None
    revisions: tuple[Revision, ...]
    job_card: JobCard | None = None

    @property
    def opens_card(self) -> bool:
        """Tell whether the work that was accepted waits for a job card to be opened."""
        newer = [each for each in self.revisions if each.number > self.revision.number]
        if self.revision.state not in SAID_YES or any(each.state in ANSWERED for each in newer):
            return False
        card = self.job_card
        return card is None or not (card.is_open or card.revision_key == self.revision.pk)

    @property
    def not_tested(self) -> Sequence[Mapping[str, str]]:
        """Return the checkpoints that could not be tested, each with ``name`` and ``reason``."""
        rows: Sequence[Mapping[str, str]] = self.revision.not_tested
        return rows

    @property
    def deal_breakers(self) -> tuple[QuotedFinding, ...]:
        """Return the findings that end the matter whatever the price."""
        return tuple(view.row for view in self.findings if view.row.deal_breaker)

    @property
    def by_hand(self) -> tuple[FindingView, ...]:
        """Return the findings still to be priced by hand."""
        return tuple(view for view in self.findings if view.by_hand)

    @property
    def misfits(self) -> tuple[LineView, ...]:
        """Return the lines that count with a part that does not fit the bike."""
        return tuple(
            view
            for each in self.findings
            for view in each.lines
            if view.fit and view.fit.answer is Answer.NO and not view.line.left_out
        )

    @property
    def offered(self) -> tuple[Line, ...]:
        """Return the lines that count."""
        return tuple(line for line in self.lines if not line.left_out)

    @property
    def minutes(self) -> Decimal:
        """Return the minutes of labour and access that are offered."""
        return labour_minutes(self.lines)

    @property
    def cost_net(self) -> Decimal:
        """Return what the work offered costs the shop, net."""
        return cost_of(self.lines)

    @property
    def margin_net(self) -> Decimal:
        """Return what the shop earns on the work offered, net."""
        return self.totals.whole.net - self.cost_net

    @property
    def margin_share(self) -> Decimal | None:
        """Return the margin as a share of net, or None where net is nothing or less."""
        net = self.totals.whole.net
        return self.margin_net / net if net > 0 else None

    @property
    def is_latest(self) -> bool:
        """Tell whether no revision is newer."""
        return self.revision.number == self.revisions[-1].number

    @property
    def draft(self) -> Revision | None:
        """Return the quote's draft, if it has one."""
        return next((each for each in self.revisions if each.is_draft), None)

    @property
    def expired(self) -> bool:
        """Tell whether it was sent and its date has passed."""
        return expired(self.revision, timezone.localdate())

    @property
    def answerable(self) -> bool:
        """Tell whether a customer's answer can be recorded."""
        return self.revision.state == State.SENT and not self.revision.no_price


def expired(revision: Revision, today: dt.date) -> bool:
    """Tell whether a revision waits for an answer though its date has passed."""
    until = revision.valid_until
    return revision.state == State.SENT and until is not None and until < today


def cost_of(lines: Iterable[Line]) -> Decimal:
    """Return what lines cost the shop, net; those left out cost nothing."""
    return sum((line.cost_net for line in lines if not line.left_out), ZERO)


def refurbishment_cost(revision: Revision) -> Decimal:
    """Return what the work offered by a revision costs the shop, net."""
    return cost_of(Line.objects.filter(revision=revision))


def revision_for_page(pk: int, shop: Shop | None = None) -> RevisionPage:
    """Return a revision with all that is shown of it.

    Raises:
        Revision.DoesNotExist: there is none of that pk.
    """
    revision = Revision.objects.select_related(
        "quote__bike", "quote__customer", "quote__inspection", "created_by", "sent_by", "answer"
    ).get(pk=pk)
    return page_of(revision, shop or current_shop())


def page_of(revision: Revision, shop: Shop) -> RevisionPage:
    """Return the page of a revision that was read with its quote, bike and customer."""
    rows = list(
        QuotedFinding.objects.filter(revision=revision)
        .select_related("finding", "remedy")
        .order_by("position", "pk")
    )
    views = _line_views(revision, rows)
    placed, shared, further = _placed(views)
    return RevisionPage(
        revision=revision,
        quote=revision.quote,
        bike=revision.quote.bike,
        customer=revision.quote.customer,
        shop=shop,
        findings=_finding_views(revision, rows, views, placed),
        shared=shared,
        further=further,
        lines=tuple(view.line for view in views),
        totals=totals((view.line for view in views), registered=_shows_vat(revision, shop)),
        drawing=_drawing(revision.quote.bike, rows),
        revisions=tuple(Revision.objects.filter(quote=revision.quote_id).order_by("number")),
        job_card=_job_card(revision),
    )


def _job_card(revision: Revision) -> JobCard | None:
    """Return the newest job card of the quote; a draft is not asked about."""
    rows = JobCard.objects.filter(quote_number=revision.quote.number)
    return None if revision.is_draft else rows.order_by("-pk").first()


def _shows_vat(revision: Revision, shop: Shop) -> bool:
    """Tell whether VAT is shown: where the shop is registered, or was when it was sent."""
    return shop.vat_registered or bool(revision.vat)


def _line_views(revision: Revision, rows: Sequence[QuotedFinding]) -> list[LineView]:
    """Return the lines in order, each with the numbers of its findings and its change."""
    numbers = {row.pk: number for number, row in enumerate(rows, start=1)}
    links: dict[int, list[int]] = defaultdict(list)
    pairs = Line.findings.through.objects.filter(line__revision=revision)
    for line_pk, finding_pk in pairs.values_list("line_id", "quotedfinding_id"):
        links[line_pk].append(numbers[finding_pk])
    changes = {change.key: change for change in LineChange.objects.filter(revision=revision)}
    lines = list(Line.objects.filter(revision=revision).order_by("position", "pk"))
    fits = fits_of(revision.quote.bike, (line.part_id for line in lines if line.part_id))
    return [
        LineView(
            line,
            tuple(sorted(links[line.pk])),
            changes.get(line.key),
            fits.get(line.part_id) if line.part_id else None,
        )
        for line in lines
    ]


def _placed(
    views: Iterable[LineView],
) -> tuple[dict[int, list[LineView]], tuple[LineView, ...], tuple[LineView, ...]]:
    """Return the lines under the number of a finding, those shared, and those further on."""
    placed: dict[int, list[LineView]] = defaultdict(list)
    shared, further = [], []
    for view in views:
        if view.line.kind == LineKind.SUNDRY or not view.numbers:
            further.append(view)
        elif view.line.kind == LineKind.ACCESS and view.is_shared:
            shared.append(view)
        else:
            placed[view.numbers[0]].append(view)
    return placed, tuple(shared), tuple(further)


def _finding_views(
    revision: Revision,
    rows: Sequence[QuotedFinding],
    views: Sequence[LineView],
    placed: Mapping[int, list[LineView]],
) -> tuple[FindingView, ...]:
    """Return the findings in walk order with their lines and photos."""
    elsewhere: dict[int, set[int]] = defaultdict(set)
    needing: set[int] = set()
    for view in views:
        needing.update(view.numbers)
        if view.is_shared and view.line.kind not in {LineKind.ACCESS, LineKind.SUNDRY}:
            for number in view.numbers[1:]:
                elsewhere[number].add(view.numbers[0])
    ways = _ways(revision.quote.bike, rows) if revision.is_draft else {}
    photos = _photos(rows)
    return tuple(
        FindingView(
            number=number,
            row=row,
            lines=tuple(placed.get(number, ())),
            elsewhere=tuple(sorted(elsewhere[number])),
            needs_lines=number in needing,
            other_ways=len(ways.get(row.finding.fault_id, set()) - {row.remedy_id}),
            photos=tuple(photos.get(row.pk, ())),
        )
        for number, row in enumerate(rows, start=1)
    )


def _ways(bike: Bike, rows: Iterable[QuotedFinding]) -> dict[int, set[int]]:
    """Return the remedies in use that there are for each fault on such a bike."""
    faults = {row.finding.fault_id for row in rows}
    ways: dict[int, set[int]] = defaultdict(set)
    for option in RemedyOption.objects.filter(fault__in=faults, remedy__active=True).select_related(
        "remedy", "fault__checkpoint"
    ):
        if option.suits(bike):
            ways[option.fault_id].add(option.remedy_id)
    return ways


def _photos(rows: Iterable[QuotedFinding]) -> dict[int, list[Photo]]:
    """Return the photos of each finding's check, shown with the first finding of that check."""
    first: dict[int, int] = {}
    for row in rows:
        first.setdefault(row.finding.check_made_id, row.pk)
    photos: dict[int, list[Photo]] = defaultdict(list)
    for photo in Photo.objects.filter(check_made__in=first).order_by("at", "pk"):
        photos[first[photo.check_made_id]].append(photo)
    return photos


def _drawing(bike: Bike, rows: Sequence[QuotedFinding]) -> Drawing | None:
    """Return the bike's drawing with a mark a checkpoint that leads to its first finding.

    None where there is nothing to mark, or too much.
    """
    found: dict[str, list[tuple[int, QuotedFinding]]] = defaultdict(list)
    for number, row in enumerate(rows, start=1):
        found[row.checkpoint_code].append((number, row))
    points = {point.code: point for point in Checkpoint.objects.filter(code__in=found)}
    marks = []
    for code, numbered in found.items():
        place = points[code].position(bike.frame) if code in points else None
        if place is None:
            continue
        judgement = worst(Judgement(row.judgement) for _, row in numbered)
        marks.append(
            Mark(
                x=place[0],
                y=place[1],
                judgement=str(judgement),
                label=numbered[0][1].checkpoint_name,
                number=", ".join(str(number) for number, _ in numbered),
                url=f"#finding-{numbered[0][1].pk}",
            )
        )
    words = "; ".join(f"{n} {row.checkpoint_name}" for each in found.values() for n, row in each)
    if not 0 < len(marks) <= MOST_MARKS:
        return None
    return Drawing(bike.frame, "Where the findings are", words, tuple(marks))
