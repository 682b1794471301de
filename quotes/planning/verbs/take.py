"""Takes the cheapest plan into a draft: every finding is given the remedy that it chose."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from quotes.planning.models import TakenPlan
from quotes.planning.plans import PlanPage, plan_for
from quotes.quoting.models import QuotedFinding, Revision
from quotes.quoting.verbs.choose import choose
from quotes.quoting.verbs.drafts import locked_draft
from workshop.people.models import User
from workshop.shop.models import Shop


class CannotTakeError(Exception):
    """Raised where there is no plan to take, or it is no longer the one that was looked at."""


@transaction.atomic
def take_plan(
    revision: Revision, shop: Shop, *, by_cost: bool, amount: Decimal, by: User
) -> TakenPlan:
    """Choose on the draft what the plan chooses; ``amount`` is what the plan looked at came to.

    Raises:
        FrozenError: the revision has been issued.
        CannotTakeError: there is no plan, or it has changed since.
        CannotPriceError: the catalogue lacks something that the price needs.
    """
    draft = locked_draft(revision)
    page = plan_for(draft, shop, by_cost=by_cost)
    if page.conflict:
        raise CannotTakeError(" ".join(page.conflict))
    if page.amount != amount:
        raise CannotTakeError("The plan has changed since you looked at it. Look at it again.")
    _choose(page, by)
    return TakenPlan.objects.create(
        revision=draft,
        by_cost=by_cost,
        amount=page.amount,
        plain_sum=page.plain_sum,
        choices=[
            {"finding": each.asked.finding, "remedy": each.remedy.pk, "reason": each.why}
            for each in page.chosen
            if each.changes
        ],
        by=by,
    )


def _choose(page: PlanPage, by: User) -> None:
    """Give each finding that changes its remedy; its importance stays."""
    rows = QuotedFinding.objects.in_bulk(
        [each.asked.row for each in page.chosen if each.changes and each.asked.row is not None]
    )
    for each in page.chosen:
        row = rows.get(each.asked.row or 0)
        if row is not None:
            choose(
                row,
                remedy=each.remedy,
                importance=row.importance,
                reason=row.importance_reason,
                by=by,
                offered=(each.remedy.pk,),
            )
