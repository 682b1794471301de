"""Chooses for a finding: which remedy, how important, or that no work is offered."""

from __future__ import annotations

from collections.abc import Collection

from django.db import transaction

from quotes.quoting.models import QuotedFinding, Revision
from quotes.quoting.trail import signed
from quotes.quoting.verbs.drafts import locked_draft
from quotes.quoting.verbs.reprice import reprice
from workshop.core.judgement import IMPORTANCE_OF, Importance, Judgement
from workshop.inspections.models import RemedyOption
from workshop.labour.models import Remedy
from workshop.people.models import User


class CannotChooseError(Exception):
    """Raised where a choice is not one of those offered, or lacks its reason."""


@transaction.atomic
def choose(
    row: QuotedFinding,
    *,
    remedy: Remedy | None,
    importance: str,
    by: User,
    reason: str = "",
    no_work_reason: str = "",
    offered: Collection[int] = (),
) -> Revision:
    """Keep what a person chose for a finding, price the draft anew and return it.

    ``remedy`` None without ``no_work_reason`` leaves the finding to be priced by hand. An
    importance other than the proposed one needs a ``reason``. ``offered`` are remedies (by pk)
    beyond those of the fault, such as a service package that cures it with others.

    Raises:
        FrozenError: the revision has been issued.
        CannotChooseError: the remedy is not one for this finding, a reason is missing, or the
            finding was taken off the draft meanwhile.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    draft = locked_draft(row.revision)
    row = _fresh(row)
    row.revision = draft
    if no_work_reason and remedy is not None:
        raise CannotChooseError("Choose a remedy, or say why no work is offered: not both.")
    if remedy is not None and remedy.pk not in {row.remedy_id, *offered}:
        _refuse_stranger(row, remedy)
    usual = usual_importance(row)
    if importance != usual and not reason:
        raise CannotChooseError(
            f"Say why it {Importance(importance).label}: as judged, it {usual.label}."
        )
    if (remedy.pk if remedy else None) != row.remedy_id:
        row.remedy, row.remedy_chosen = remedy, True
        row.remedy_name = remedy.name if remedy else ""
    row.no_work_reason = no_work_reason
    row.importance = importance
    row.importance_reason = "" if importance == usual else reason
    signed(row, by).save()
    return reprice(draft, by=by)


def usual_importance(row: QuotedFinding) -> Importance:
    """Return how long a finding may wait if nobody says otherwise."""
    own = row.finding.fault.importance
    return Importance(own) if own else IMPORTANCE_OF[Judgement(row.judgement)]


def _fresh(row: QuotedFinding) -> QuotedFinding:
    """Return the finding as it stands on the draft now, which must be locked."""
    rows = QuotedFinding.objects.select_related("finding__fault")
    fresh: QuotedFinding | None = rows.filter(pk=row.pk).first()
    if fresh is None:
        raise CannotChooseError(f"“{row.title}” is on the draft no more. Load the page anew.")
    return fresh


def _refuse_stranger(row: QuotedFinding, remedy: Remedy) -> None:
    """Raise unless the remedy is in use and is one for the finding's fault."""
    options = RemedyOption.objects.filter(fault=row.finding.fault_id, remedy=remedy)
    if not remedy.active or not options.exists():
        raise CannotChooseError(f"“{remedy.name}” is no remedy for “{row.title}”.")
