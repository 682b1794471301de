"""From a revision's page to paper, in a constant number of queries."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence

from django.utils import timezone

from inventory.core.money import ZERO
from quotes.print.amounts import TotalsDifferError, hourly_rates, printed
from quotes.print.cautions import cautions_for
from quotes.print.changes import changes_of
from quotes.print.drawing import drawing_of
from quotes.print.paper import (
    TO_BE_PRICED,
    Count,
    NotTested,
    Paper,
    PrintedFinding,
    PrintedPhoto,
)
from quotes.print.photos import BIKE_EDGE, FINDING_EDGE, printed_photo
from quotes.quoting.models import QuotedFinding, Revision
from quotes.quoting.selectors.found import NOT_LOOKED_AT
from quotes.quoting.selectors.page import FindingView, LineView, RevisionPage
from workshop.core.judgement import Importance, Judgement
from workshop.inspections.models import Check, Outcome

PHOTOS_A_FINDING = 2


def paper_of(page: RevisionPage) -> Paper:
    """Return a revision ready to be printed.

    Raises:
        TotalsDifferError: the lines do not add up to the totals that the revision keeps.
    """
    revision, shop, bike = page.revision, page.shop, page.bike
    offers = not revision.no_price
    findings = tuple(_finding(view, page) for view in page.findings)
    checks = _checks(page)
    rows = [view.row for view in page.findings]
    paper = Paper(
        shop=shop,
        number=page.quote.number,
        revision=revision.number,
        draft=revision.is_draft,
        language=shop.locale.replace("_", "-"),
        issued_on=_day(revision),
        valid_until=revision.valid_until,
        prepared_by=str(revision.sent_by or revision.created_by),
        message=revision.message,
        bike=bike,
        customer=page.customer,
        photo=printed_photo(bike.photo, "photo:bike", f"Photo of bike {bike.stock_no}", BIKE_EDGE),
        no_price=revision.no_price,
        counts=_counts(checks, rows),
        drawing=drawing_of(bike, rows, checks),
        findings=findings,
        shared=printed(page.shared, shop) if offers else (),
        further=printed(page.further, shop) if offers else (),
        totals=page.totals,
        hourly=hourly_rates(_views(page)) if offers else (),
        shows_vat=shop.vat_registered or bool(page.totals.whole.vat),
        not_looked_at=_not_looked_at(page.not_tested),
        not_tested=_not_tested(page.not_tested),
        not_included=tuple(point.strip() for point in shop.terms.splitlines() if point.strip()),
        cautions=cautions_for(rows, offers=offers),
        changes=changes_of(revision),
    )
    _hold_to(revision, paper)
    return paper


def _views(page: RevisionPage) -> Iterable[LineView]:
    """Yield every line of the page."""
    for finding in page.findings:
        yield from finding.lines
    yield from (*page.shared, *page.further)


def _checks(page: RevisionPage) -> list[Check]:
    """Return the checks of the walk in its order."""
    checks = Check.objects.filter(inspection=page.quote.inspection_id)
    return list(checks.select_related("checkpoint").order_by("checkpoint__order"))


def _day(revision: Revision) -> dt.date:
    """Return the day on the paper: when it was sent, or for a draft the day of its prices."""
    return timezone.localdate(revision.sent_at) if revision.sent_at else revision.priced_on


def _hold_to(revision: Revision, paper: Paper) -> None:
    """Refuse to print lines that do not add up to the revision's own totals."""
    if paper.no_price:
        return
    added = sum((line.gross for line in paper.lines), ZERO)
    if not added == paper.totals.whole.gross == revision.gross:
        raise TotalsDifferError(
            f"The lines of {revision} add up to {added}, but it says {revision.gross}."
            " Price it again before it is printed."
        )


def _finding(view: FindingView, page: RevisionPage) -> PrintedFinding:
    """Return a finding as it is printed; without remedy and lines where no price is offered."""
    row, offers = view.row, not page.revision.no_price
    return PrintedFinding(
        number=view.number,
        checkpoint=row.checkpoint_name,
        title=row.title,
        words=row.words,
        readings=row.readings,
        note=row.note,
        judgement=Judgement(row.judgement),
        deal_breaker=row.deal_breaker,
        importance=Importance(row.importance),
        importance_reason=row.importance_reason if offers else "",
        remedy=row.remedy_name if offers and not row.no_work_reason else "",
        remedy_words=row.remedy.words if row.remedy and offers and not row.no_work_reason else "",
        standing=_standing(view) if offers else "",
        lines=printed(view.lines, page.shop) if offers else (),
        photos=_photos(view),
        photos_left=max(0, len(view.photos) - PHOTOS_A_FINDING),
    )


def _standing(view: FindingView) -> str:
    """Return why a finding has no line of its own; nothing where it has."""
    row = view.row
    if view.by_hand:
        return TO_BE_PRICED
    if view.lines:
        return ""
    if row.no_work_reason:
        return f"No work is offered for it: {row.no_work_reason}"
    if row.covered_by:
        return f"Made needless by “{row.covered_by}”: nothing is charged for it."
    if view.elsewhere:
        return f"Put right together with no. {view.elsewhere[0]} and charged there."
    return "Charged with the shared work below."


def _photos(view: FindingView) -> tuple[PrintedPhoto, ...]:
    """Return the first photos of a finding."""
    words = f"Photo: {view.row.checkpoint_name}, {view.row.title}"
    small = (
        printed_photo(photo.image, f"photo:{photo.pk}", photo.caption or words, FINDING_EDGE)
        for photo in view.photos[:PHOTOS_A_FINDING]
    )
    return tuple(photo for photo in small if photo)


def _counts(checks: Iterable[Check], rows: Iterable[QuotedFinding]) -> tuple[Count, ...]:
    """Return how many findings have each judgement, worst first, and how many places are sound."""
    found = [Judgement(row.judgement) for row in rows]
    numbers = {each: found.count(each) for each in Judgement}
    numbers[Judgement.SOUND] = sum(check.outcome == Outcome.SOUND for check in checks)
    worst_first = sorted(numbers, key=lambda each: -each.rank)
    return tuple(Count(each, numbers[each]) for each in worst_first if numbers[each])


def _not_looked_at(missing: Sequence[Mapping[str, str]]) -> tuple[str, ...]:
    """Return the names of the checkpoints that nobody has looked at."""
    return tuple(each["name"] for each in missing if each["reason"] == NOT_LOOKED_AT)


def _not_tested(missing: Sequence[Mapping[str, str]]) -> tuple[NotTested, ...]:
    """Return the checkpoints that could not be tested, and why."""
    return tuple(
        NotTested(each["name"], each["reason"])
        for each in missing
        if each["reason"] != NOT_LOOKED_AT
    )
