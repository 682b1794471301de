"""The cheapest plan for a bike, with why each choice fell as it did."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from django.utils import timezone

from inventory.core.money import ZERO
from quotes.core.plan import cheapest_plan, cost_of, next_best
from quotes.core.planning import Candidate, Limits, NoPlanError, Plan, Tariff
from quotes.core.work import PricingError
from quotes.planning.asked import Asked, task_of_inspection, task_of_revision
from quotes.planning.choices import Choices, choices_for
from quotes.planning.models import PlanLock, TakenPlan
from quotes.planning.tariff import Pricer, tariff_for
from quotes.planning.waiting import Waiting, waiting_for
from quotes.planning.wording import Reason, conflict_words, reason_words, wait_words
from quotes.quoting.models import Revision
from quotes.quoting.selectors.book import price_book_on
from workshop.core.access import AccessError
from workshop.inspections.models import Inspection
from workshop.labour.models import Remedy
from workshop.shop.models import Shop


@dataclass(frozen=True, slots=True)
class Chosen:
    """What the plan chooses for a finding, and why.

    ``difference`` is what the next best plan without this choice would cost more, net, below zero
    where waiting for parts decided; None where there is no other. ``wait`` says how long its
    parts are waited for, nothing where it needs none or nothing is known. ``fit`` says which of
    its parts do not fit the bike, may not, or stand for another size; nothing where all is well.
    """

    asked: Asked
    remedy: Remedy
    package: str
    why: str
    wait: str
    difference: Decimal | None
    locks: tuple[PlanLock, ...]
    fit: str = ""

    @property
    def changes(self) -> bool:
        """Tell whether the draft has it otherwise."""
        return self.asked.remedy != self.remedy.pk


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The cheapest plan for a bike. Amounts are net, of labour, access and parts.

    ``now`` is what the present choices come to, None where one of them cannot be priced so.
    ``waiting_day`` is what a working day's waiting for parts was reckoned at, 0 where it was left
    out; ``waiting_less`` is how much dearer the plan is for it than the cheapest. ``conflict``
    says, where there is no plan, which findings conflict and why. ``misfits`` are remedies left
    out since a part of theirs does not fit the bike: their names, and why.
    """

    by_cost: bool
    chosen: tuple[Chosen, ...]
    left: tuple[tuple[Asked, str], ...]
    amount: Decimal
    plain_sum: Decimal
    now: Decimal | None
    proven: bool
    waiting_day: Decimal = ZERO
    waiting_less: Decimal = ZERO
    conflict: tuple[str, ...] = ()
    misfits: tuple[tuple[str, str], ...] = ()

    @property
    def saving(self) -> Decimal:
        """Return what sharing saves against each finding by itself: at least cost, not waiting."""
        return self.plain_sum - (self.amount - self.waiting_less)

    @property
    def gain(self) -> Decimal | None:
        """Return what it saves against the present choices."""
        return None if self.now is None else self.now - self.amount

    @property
    def loss(self) -> Decimal:
        """Return what it costs more than the present choices, 0 where it does not."""
        return ZERO if self.gain is None else max(-self.gain, ZERO)

    @property
    def changes(self) -> int:
        """Return for how many findings the draft would change."""
        return sum(each.changes for each in self.chosen)


def plan_for(source: Revision | Inspection, shop: Shop, *, by_cost: bool = True) -> PlanPage:
    """Return the cheapest sound plan for a draft or an inspection, in a constant number of queries.

    ``by_cost`` looks for what costs the shop least, else what the customer pays least.

    Raises:
        PricingError: the catalogue lacks something that the price needs.
        AccessError: the access steps do not hang together.
    """
    if isinstance(source, Revision):
        task, taken = task_of_revision(source), _taken(source)
    else:
        task, taken = task_of_inspection(source), frozenset()
    choices = choices_for(task, taken)
    pricer = Pricer(price_book_on(timezone.localdate(), shop), by_cost)
    tariff = tariff_for((choices.works[pk] for pk in choices.cures), pricer)
    waiting = waiting_for({pk: choices.works[pk] for pk in choices.cures}, shop)
    candidates = waiting.weigh(choices.candidates, pricer)
    keys = tuple(each.key for each in choices.open)
    try:
        plan = cheapest_plan(keys, candidates, tariff, choices.limits)
    except NoPlanError as error:
        words = conflict_words(error.findings, choices)
        return PlanPage(
            *(by_cost, (), choices.left, ZERO, ZERO, None),
            proven=True,
            conflict=words,
            misfits=_misfits(choices),
        )
    reasons = _Reasons(plan, choices, candidates, tariff, pricer, waiting, shop)
    return PlanPage(
        by_cost=by_cost,
        chosen=tuple(reasons.of(each) for each in choices.open),
        left=choices.left,
        amount=pricer.money(plan.cost),
        plain_sum=pricer.money(plan.plain_sum),
        now=_now(choices, candidates, tariff, pricer),
        proven=plan.proven,
        waiting_day=waiting.day_net,
        waiting_less=pricer.money(_waiting_less(plan, candidates, tariff, choices.limits)),
        misfits=_misfits(choices),
    )


def _misfits(choices: Choices) -> tuple[tuple[str, str], ...]:
    """Return the names of the remedies left out for their parts, with why."""
    return tuple((choices.remedies[pk].name, why) for pk, why in choices.misfits.items())


def _waiting_less(
    plan: Plan, candidates: tuple[Candidate, ...], tariff: Tariff, limits: Limits
) -> int:
    """Return how many minor units the plan costs more than one that waits however long."""
    if not any(each.penalty for each in candidates):
        return 0
    patient = [replace(each, penalty=0) for each in candidates]
    least = cheapest_plan(tuple(plan.cured_by), patient, tariff, limits).cost
    return max(plan.cost - least, 0)


def _taken(revision: Revision) -> frozenset[tuple[int, int]]:
    """Return what earlier plans chose on this quote: pairs of finding and remedy."""
    rows = TakenPlan.objects.filter(revision__quote=revision.quote_id)
    return frozenset(
        (choice["finding"], choice["remedy"])
        for choices in rows.values_list("choices", flat=True)
        for choice in choices
    )


def _now(
    choices: Choices, candidates: tuple[Candidate, ...], tariff: Tariff, pricer: Pricer
) -> Decimal | None:
    """Return what the present choices come to, by the plan's own arithmetic."""
    present = {str(each.remedy) for each in choices.open}
    by_code = {each.code: each for each in candidates}
    if not present <= by_code.keys():
        return None
    chosen = [by_code[code] for code in sorted(present)]
    alone = {finding: frozenset({finding}) for finding in (each.key for each in choices.open)}
    fixed = [
        Candidate(each.code, frozenset(_cured_now(each.code, choices)), each.works)
        for each in chosen
    ]
    try:
        return pricer.money(cheapest_plan(tuple(alone), fixed, tariff).cost)
    except NoPlanError:
        return None


def _cured_now(code: str, choices: Choices) -> set[str]:
    return {each.key for each in choices.open if str(each.remedy) == code}


@dataclass(frozen=True, slots=True)
class _Reasons:
    """Why the plan chose what it chose, finding by finding."""

    plan: Plan
    choices: Choices
    candidates: tuple[Candidate, ...]
    tariff: Tariff
    pricer: Pricer
    waiting: Waiting
    shop: Shop

    def of(self, asked: Asked) -> Chosen:
        """Return the choice for a finding."""
        code = self.plan.cured_by[asked.key]
        remedy = self.choices.remedies[int(code)]
        together = [each for each in self.plan.cured_by.values() if each == code]
        package = self.choices.packaged.get(remedy.pk, "") if len(together) > 1 else ""
        rivals = [each for each in self.candidates if asked.key in each.cures]
        other = None
        if len(rivals) > 1:
            other = next_best(
                asked.key, self.plan, self.candidates, self.tariff, self.choices.limits
            )
        difference = None if other is None else self.pricer.money(other.cost - self.plan.cost)
        locks = self.choices.locks.get(asked.finding, ())
        instead = self._remedy(other, asked.key)
        needless = self._needless(code)
        days = None if needless else self.waiting.days.get(remedy.pk)
        reason = Reason(
            alternatives=len(rivals) - 1,
            package=package,
            together=len(together),
            difference=difference,
            instead=instead.name if instead else "",
            dearer_alone=self._dearer_alone(code, other, asked.key),
            needless=needless,
            waits_less=other is not None and other.penalty > self.plan.penalty,
            days=days,
            days_instead=self.waiting.days.get(instead.pk) if instead else None,
            locks=locks,
            by_hand=asked.by_hand and len(rivals) == 1 and asked.remedy == remedy.pk,
        )
        return Chosen(
            asked=asked,
            remedy=remedy,
            package=package,
            why=reason_words(reason, self.shop),
            wait=wait_words(days),
            difference=difference,
            locks=locks,
            fit=self.choices.works[remedy.pk].fit_words,
        )

    def _remedy(self, plan: Plan | None, finding: str) -> Remedy | None:
        return None if plan is None else self.choices.remedies[int(plan.cured_by[finding])]

    def _needless(self, code: str) -> str:
        """Return what makes all of a remedy's work needless, in words, or nothing."""
        uses = self.choices.works[int(code)].operations
        if not uses or any(use.operation.code in self.plan.done for use in uses):
            return ""
        wanted = {use.operation.code for use in uses}
        for pk in {int(each) for each in self.plan.chosen}:
            for use in self.choices.works[pk].operations:
                if use.operation.code in self.plan.done and wanted & use.operation.covers:
                    return use.operation.name
        return ""

    def _dearer_alone(self, code: str, other: Plan | None, finding: str) -> bool:
        """Tell whether the choice would cost more than its rival if each stood by itself."""
        if other is None:
            return False
        by_code: Mapping[str, Candidate] = {each.code: each for each in self.candidates}
        one = cost_of([by_code[code]], self.tariff)
        return one > cost_of([by_code[other.cured_by[finding]]], self.tariff)


__all__ = ["AccessError", "Chosen", "PlanPage", "PricingError", "plan_for"]
