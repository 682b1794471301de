"""Plans asked for and read in tests."""

from __future__ import annotations

from typing import Any

from quotes.planning.plans import PlanPage, plan_for
from quotes.quoting.models import QuotedFinding, Revision
from tests.factories import quotes as made
from workshop.inspections.models import Fault
from workshop.labour.models import Operation, Remedy
from workshop.shop.selectors import current_shop


def plan_of(revision: Revision, **how: Any) -> PlanPage:
    """Plan a draft as it stands in the database."""
    revision = Revision.objects.select_related("quote__bike").get(pk=revision.pk)
    return plan_for(revision, current_shop(), **how)


def chosen(page: PlanPage) -> dict[str, str]:
    """Return codes of the remedies by code of the fault."""
    faults = dict(Fault.objects.values_list("pk", "code"))
    return {faults[each.asked.fault]: each.remedy.code for each in page.chosen}


def why(page: PlanPage, code: str) -> str:
    """Return why the remedy of a fault was chosen."""
    fault = Fault.objects.get(code=code).pk
    return next(each.why for each in page.chosen if each.asked.fault == fault)


def judged(revision: Revision, code: str, judgement: str) -> None:
    """Let the findings of a fault be judged so on a draft."""
    QuotedFinding.objects.filter(revision=revision, finding__fault__code=code).update(
        judgement=judgement
    )


def does(remedy: Remedy) -> Operation:
    """Return the only operation of a remedy."""
    return remedy.steps.get().operation


def three_faults(minutes: str = "20.0") -> list[Fault]:
    """Return three faults, each with a remedy of its own."""
    return [made.fault(f"f{n}", made.remedy(f"r{n}", minutes=minutes)) for n in range(3)]
