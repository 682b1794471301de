"""Weighing a buy-in: draws the outcomes, finds the ceiling price, says what to do and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from math import sqrt

from inventory.core.money import ZERO, quantise
from quotes.core.deciding import Prospect, decide, opening_offer
from quotes.core.margin import MarginInput, Scheme, check
from quotes.core.ranges import ThreePoint, from_tenths
from quotes.core.risk import (
    DRAWS,
    SEED,
    Outlook,
    Venture,
    ceiling_at,
    closed_form_cost,
    simulate,
)
from quotes.deciding.basis import Ground
from quotes.deciding.figures import Checked, Figures, Given, HiddenRow, JobRow, Tenths, Way
from quotes.deciding.pictures import charts_of, movers_of
from quotes.deciding.wording import (
    best_words,
    cautions_of,
    opening_words,
    resale_words,
    work_words,
)
from workshop.labour.selectors import rates_on

GUESS_LOW, GUESS_HIGH = Decimal("0.6"), Decimal(2)
"""What a guess of the work may turn out as, a share of it.  # common practice, no source"""

MINUTES_AN_HOUR = 60
Jobs = tuple[tuple[str, ThreePoint], ...]


def weigh(given: Given, ground: Ground) -> Figures:
    """Return what the figures come to for a bike.

    Raises:
        ValueError: an amount or share is below zero, or figures are out of order.
    """
    jobs = _jobs(given, ground)
    venture = venture_of(given, ground, jobs)
    outlook = simulate(venture)
    likely = _likely(given, sum((job.likely for _, job in jobs), ZERO))
    result = check(likely)
    ceiling = ceiling_at(outlook, float(given.confidence), given.currency)
    shop = ground.shop
    refused = [f"Deal-breaker: {words.rstrip('.')}." for words in ground.basis.deal_breakers]
    refused += ground.basis.leave_reasons
    refused += ground.provenance if ground.refused else ()
    verdict = decide(
        Prospect(
            price=given.price,
            target=given.target,
            confidence=given.confidence,
            ceiling=ceiling,
            reaches=outlook.reaches_target,
            loses=outlook.loses_money,
            refused=refused,
            currency=given.currency,
            locale=shop.locale,
        )
    )
    movers = movers_of(venture, shop)
    ways = _ways(given, ground, outlook, result.profit)
    opening = opening_offer(
        ceiling, given.price, shop.opening_share, shop.opening_step, given.currency
    )
    return Figures(
        given=given,
        word=verdict.word,
        reasons=verdict.reasons,
        ceiling=ceiling,
        ceiling_likely=result.ceiling_price,
        opening=None if refused else opening,
        opening_words=opening_words(shop),
        reaches=outlook.reaches_target,
        loses=outlook.loses_money,
        profit_likely=result.profit,
        work_likely=likely.refurbishment_cost,
        minutes=ground.work.minutes if ground.work else ZERO,
        profit=_tenths(outlook.profit_tenths, given),
        cost=_tenths(outlook.cost_tenths, given),
        jobs=_job_rows(given, ground),
        hidden=_hidden_rows(ground),
        movers=movers,
        ways=ways,
        best_words=best_words(ways, shop),
        checked=_checked(venture, outlook, given),
        charts=charts_of(venture, outlook, ceiling, movers, shop),
        cautions=cautions_of(ground),
        resale_words=resale_words(ground),
        work_words=work_words(ground),
        draws=DRAWS,
        seed=SEED,
        provenance=ground.provenance,
    )


def likely_input(figures: Figures) -> MarginInput:
    """Return the likely case of a decision as a margin check takes it."""
    return _likely(figures.given, figures.work_likely)


def venture_of(given: Given, ground: Ground, jobs: Jobs) -> Venture:
    """Return the buy-in as the core knows it."""
    return Venture(
        jobs=jobs,
        hidden=ground.hidden,
        resale=from_tenths(given.resale_low, given.resale, given.resale_high),
        price=given.price,
        fee_share=given.selling_fee_share + given.warranty_share,
        fee_net=given.selling_fee_net,
        target=given.target,
        scheme=Scheme(given.scheme),
        vat_rate=given.vat_rate,
        currency=given.currency,
    )


def _likely(given: Given, cost: Decimal) -> MarginInput:
    return MarginInput(
        resale_price=given.resale,
        purchase_price=given.price,
        refurbishment_cost=cost,
        selling_fee_share=given.selling_fee_share,
        selling_fee_net=given.selling_fee_net,
        warranty_share=given.warranty_share,
        scheme=Scheme(given.scheme),
        vat_rate=given.vat_rate,
        target_profit=given.target,
        currency=given.currency,
    )


def _jobs(given: Given, ground: Ground, *, must_only: bool = False) -> Jobs:
    """Return the work by finding; a guess where nobody has priced it."""
    if given.guess is not None:
        low, high = given.guess * GUESS_LOW, given.guess * GUESS_HIGH
        return (("The work, guessed", ThreePoint(low, given.guess, high)),)
    tasks = ground.work.tasks if ground.work else ()
    ranges = [(task.name, task.must if must_only else task.cost) for task in tasks]
    return tuple((name, cost) for name, cost in ranges if cost.high)


def _job_rows(given: Given, ground: Ground) -> tuple[JobRow, ...]:
    remedies = {task.name: task.remedy for task in ground.work.tasks} if ground.work else {}
    return tuple(
        JobRow(name, remedies.get(name, ""), *(_money(each, given) for each in _points(cost)))
        for name, cost in _jobs(given, ground)
    )


def _hidden_rows(ground: Ground) -> tuple[HiddenRow, ...]:
    """Return what may hide, the dearest on average first."""
    dearest = sorted(ground.hidden, key=lambda each: -each.probability * float(each.cost.mean))
    return tuple(
        HiddenRow(each.name, each.probability, each.cost.low, each.cost.likely, each.cost.high)
        for each in dearest
    )


def _points(cost: ThreePoint) -> tuple[Decimal, Decimal, Decimal]:
    return cost.low, cost.likely, cost.high


def _ways(given: Given, ground: Ground, outlook: Outlook, profit: Decimal) -> tuple[Way, ...]:
    """Return what else can be done with the bike, side by side."""
    minutes = ground.work.minutes if ground.work else ZERO
    whole = Way(
        "Repair it in full",
        "everything on the quote",
        given.resale,
        profit,
        outlook.reaches_target,
        outlook.loses_money,
        minutes,
    )
    ways = [whole]
    if given.guess is None and ground.work and ground.work.tasks:
        ways.append(_must_dos(given, ground))
    leave = Way("Leave it", "no money, no work", None, ZERO, None, None, ZERO)
    return (*ways, _for_parts(given, ground), leave)


def _must_dos(given: Given, ground: Ground) -> Way:
    share = ground.shop.must_do_resale_share
    jobs = _jobs(given, ground, must_only=True)
    minutes = sum((task.must_minutes for task in ground.work.tasks), ZERO) if ground.work else ZERO
    how = f"sold at {share * 100:.0f} % of the price"
    if not jobs:
        how = f"nothing must be done; {how}"
    return _way("Only the must-dos", how, _at_share(given, share), ground, jobs, minutes)


def _for_parts(given: Given, ground: Ground) -> Way:
    """Return selling it for its parts: nothing hides in it, stripping costs the lowest wage."""
    shop, minutes = ground.shop, Decimal(ground.shop.strip_minutes)
    wages = [rate.cost_net for rate in rates_on(ground.resale.on).values()]
    cost = quantise(min(wages, default=ZERO) * minutes / MINUTES_AN_HOUR, given.currency)
    jobs: Jobs = (("Stripping", ThreePoint(cost, cost, cost * 2)),)
    share = given.parts_value / given.resale if given.resale else ZERO
    bare = replace(ground, hidden=())
    how = f"{shop.strip_minutes} minutes to strip it"
    return _way("For parts", how, _at_share(given, share), bare, jobs, minutes)


def _at_share(given: Given, share: Decimal) -> Given:
    """Return what is asked about with every resale price at a share."""
    return replace(
        given,
        resale_low=_money(given.resale_low * share, given),
        resale=_money(given.resale * share, given),
        resale_high=_money(given.resale_high * share, given),
    )


def _way(name: str, how: str, given: Given, ground: Ground, jobs: Jobs, minutes: Decimal) -> Way:
    outlook = simulate(venture_of(given, ground, jobs))
    likely = _likely(given, sum((job.likely for _, job in jobs), ZERO))
    return Way(
        name,
        how,
        given.resale,
        check(likely).profit,
        outlook.reaches_target,
        outlook.loses_money,
        minutes,
    )


def _checked(venture: Venture, outlook: Outlook, given: Given) -> Checked:
    exact = closed_form_cost(venture.jobs, venture.hidden, venture.life)
    figures = (outlook.cost.mean(), exact.mean, outlook.cost.std(), sqrt(exact.variance))
    return Checked(*(_money(Decimal(repr(float(each))), given) for each in figures))


def _tenths(draws: Sequence[float], given: Given) -> Tenths:
    return Tenths(*(_money(Decimal(repr(each)), given) for each in draws))


def _money(amount: Decimal, given: Given) -> Decimal:
    return quantise(amount, given.currency)
