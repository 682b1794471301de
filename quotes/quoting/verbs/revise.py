"""Makes the next revision of a quote: a draft that carries on from the latest one."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from quotes.quoting.models import Line, LineChange, LineKind, Quote, QuotedFinding, Revision
from quotes.quoting.trail import ADDED, record, signed
from quotes.quoting.verbs.gather import gather
from quotes.quoting.verbs.reprice import reprice
from quotes.quoting.verbs.start import draw_up
from workshop.inspections.selectors import latest_inspection
from workshop.people.models import User


@transaction.atomic
def revise(quote: Quote, by: User) -> Revision:
    """Return the quote's draft, making one from its latest revision where there is none.

    Choices, changes and lines by hand are carried on; findings that are new or judged anew come
    from the bike's latest inspection.

    Raises:
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    quote = Quote.objects.select_for_update(of=("self",)).select_related("bike").get(pk=quote.pk)
    latest = quote.revisions.latest("number")
    if latest.is_draft:
        return latest
    quote.inspection = latest_inspection(quote.bike) or quote.inspection
    quote.save(update_fields=["inspection"])
    draft = Revision(
        quote=quote,
        number=latest.number + 1,
        priced_on=timezone.localdate(),
        message=latest.message,
        created_by=by,
    )
    signed(draft, by).save()
    earlier = QuotedFinding.objects.filter(revision=latest).select_related("finding", "remedy")
    rows = gather(draft, by=by, carried=earlier)
    _carry_changes(latest, draft, by)
    _carry_hand_lines(latest, draft, rows, by)
    draw_up(quote.bike)
    return reprice(draft, by=by)


def _carry_changes(latest: Revision, draft: Revision, by: User) -> None:
    """Copy the changes made by hand; who made them stays."""
    changes = list(LineChange.objects.filter(revision=latest).select_related("by"))
    for change in changes:
        change.pk, change.revision = None, draft
        change._state.adding = True  # noqa: SLF001 - Django's way to copy a row
    LineChange.objects.bulk_create(changes)
    record(changes, ADDED, by)


def _carry_hand_lines(
    latest: Revision, draft: Revision, rows: list[QuotedFinding], by: User
) -> None:
    """Copy the lines by hand; one whose findings are gone is for the whole bike."""
    faults = dict(_faults(rows))
    by_hand = Line.objects.filter(revision=latest, kind=LineKind.HAND)
    lines = list(by_hand.prefetch_related("findings__finding"))
    links = Line.findings.through
    joined = []
    for line in lines:
        kept = [faults.get(row.finding.fault_id) for row in line.findings.all()]
        line.pk, line.revision = None, draft
        line._state.adding = True  # noqa: SLF001 - Django's way to copy a row
        joined += [(line, pk) for pk in kept if pk is not None]
    Line.objects.bulk_create(lines)
    record(lines, ADDED, by)
    links.objects.bulk_create(links(line_id=line.pk, quotedfinding_id=pk) for line, pk in joined)


def _faults(rows: list[QuotedFinding]) -> list[tuple[int, int]]:
    """Return fault and finding (pks) of a draft's findings."""
    found = QuotedFinding.objects.filter(pk__in=[row.pk for row in rows])
    return list(found.values_list("finding__fault_id", "pk"))
