"""What a plan is asked to cure: findings of a draft, or of an inspection without a quote."""

from __future__ import annotations

from dataclasses import dataclass

from quotes.quoting.models import QuotedFinding, Revision
from quotes.quoting.selectors.found import found_in
from workshop.bikes.models import Bike
from workshop.core.judgement import Judgement
from workshop.inspections.models import Inspection


@dataclass(frozen=True, slots=True)
class Asked:
    """A finding to be cured. ``row`` is its pk on the draft, None without one.

    ``by_hand`` says that a person chose the remedy on the draft; ``skip`` why it is not planned.
    """

    finding: int
    fault: int
    name: str
    judgement: Judgement
    row: int | None
    remedy: int | None
    remedy_name: str
    by_hand: bool = False
    skip: str = ""

    @property
    def key(self) -> str:
        """Return what the core knows it by."""
        return str(self.finding)


@dataclass(frozen=True, slots=True)
class Task:
    """All findings of a bike that a plan is asked for, in the order of the walk."""

    bike: Bike
    findings: tuple[Asked, ...]


def task_of_revision(revision: Revision) -> Task:
    """Return what a draft asks for, in one query; the quote's bike should be fetched before."""
    rows = QuotedFinding.objects.filter(revision=revision).select_related("finding")
    return Task(revision.quote.bike, tuple(_asked(row) for row in rows.order_by("position", "pk")))


def _asked(row: QuotedFinding) -> Asked:
    skip = ""
    if row.no_work_reason:
        skip = f"no work is offered: {row.no_work_reason}"
    elif row.deal_breaker:
        skip = "a deal-breaker"
    return Asked(
        finding=row.finding_id,
        fault=row.finding.fault_id,
        name=str(row),
        judgement=Judgement(row.judgement),
        row=row.pk,
        remedy=row.remedy_id,
        remedy_name=row.remedy_name,
        by_hand=row.remedy_chosen,
        skip=skip,
    )


def task_of_inspection(inspection: Inspection) -> Task:
    """Return what an inspection asks for, with what a quote would propose."""
    return Task(
        inspection.bike,
        tuple(
            Asked(
                finding=each.copied["finding_id"],
                fault=each.fault_id,
                name=f"{each.copied['checkpoint_name']}: {each.copied['title']}",
                judgement=Judgement(each.judgement),
                row=None,
                remedy=each.remedy.pk if each.remedy else None,
                remedy_name=each.remedy.name if each.remedy else "",
                skip="a deal-breaker" if each.copied["deal_breaker"] else "",
            )
            for each in found_in(inspection)
        ),
    )
