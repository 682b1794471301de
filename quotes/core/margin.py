"""The margin check: from resale price and costs to profit, ceiling price and a verdict."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

from inventory.core.money import format_money, minor_unit, quantise
from quotes.core.vat import margin_vat, vat_in
from workshop.core.judgement import Judgement

ZERO = Decimal(0)
SHARE_STEP = Decimal("0.0001")


class Scheme(StrEnum):
    """How VAT falls on the resale of a bike."""

    MARGIN = "margin"
    ORDINARY = "ordinary"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class MarginInput:
    """What a margin check is made of; shares and the VAT rate are fractions.

    ``resale_price`` is gross, as the buyer pays it, ``purchase_price`` as a private seller gets
    it: no input VAT lies in it. ``refurbishment_cost`` is the shop's own cost, net of the VAT it
    gets back (gross where it is not registered). ``selling_fee_share`` and ``warranty_share``
    are of the resale price. Amounts finer than the minor unit are rounded half-up on the way in.
    """

    resale_price: Decimal
    purchase_price: Decimal
    refurbishment_cost: Decimal
    selling_fee_share: Decimal
    selling_fee_net: Decimal
    warranty_share: Decimal
    scheme: Scheme
    vat_rate: Decimal
    target_profit: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class MarginResult:
    """What comes out, each amount quantised.

    ``margin_share`` is the profit as a fraction of the resale price without VAT, None where that
    is zero. ``ceiling_price`` is None where the target is out of reach even for nothing.
    """

    vat: Decimal
    fees: Decimal
    reserve: Decimal
    refurbishment: Decimal
    profit: Decimal
    margin_share: Decimal | None
    ceiling_price: Decimal | None
    meets_target: bool
    loses_money: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """``buy``, ``haggle`` (offer no more than the ceiling) or ``leave``, and why."""

    word: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """A finding as far as a leave rule looks at it."""

    fault: str | None
    judgement: Judgement


@dataclass(frozen=True, slots=True)
class LeaveRule:
    """A reason to leave a bike whatever each job costs.

    It holds where ``at_least`` findings are as bad as ``from_judgement`` or worse; where
    ``faults`` are named only those count.
    """

    code: str
    words: str
    from_judgement: Judgement
    at_least: int
    faults: frozenset[str] = frozenset()


def check(given: MarginInput) -> MarginResult:
    """Return profit, margin and ceiling price.

    profit = resale − purchase − VAT − fees − reserve − refurbishment, each quantised once.
    Raises ``ValueError`` for an amount or share below zero.
    """
    given = _in_minor_units(given)
    vat = vat_on_resale(given)
    fees, reserve = _fees(given), _reserve(given)
    profit = _profit(given)
    revenue = given.resale_price - vat
    share = (profit / revenue).quantize(SHARE_STEP, ROUND_HALF_UP) if revenue else None
    return MarginResult(
        vat=vat,
        fees=fees,
        reserve=reserve,
        refurbishment=given.refurbishment_cost,
        profit=profit,
        margin_share=share,
        ceiling_price=ceiling(given),
        meets_target=profit >= given.target_profit,
        loses_money=profit < 0,
    )


def vat_on_resale(given: MarginInput) -> Decimal:
    """Return the VAT due on the resale, quantised: never negative.

    Under the margin scheme it lies in the margin (HMRC Notice 718), in the ordinary way in the
    whole price; not registered, there is none.
    """
    if given.scheme == Scheme.NONE:
        return ZERO
    if given.scheme == Scheme.ORDINARY:
        return quantise(vat_in(given.resale_price, given.vat_rate), given.currency)
    return margin_vat(given.resale_price, given.purchase_price, given.vat_rate, given.currency)


def ceiling(given: MarginInput) -> Decimal | None:
    """Return the greatest price to pay at which the profit reaches the target, None if none does.

    Put back into ``check`` it gives exactly the target: one minor unit less to pay adds one to
    the margin and none or one to its VAT, so the profit grows by one or none and every amount is
    met. Under the margin scheme the closed form, resale − (1 + rate) × (costs + target), rounded,
    meets the target; rounding of the VAT may leave room for a little more. Raises ``ValueError``
    for an amount or share below zero.
    """
    given = _in_minor_units(given)
    step = minor_unit(given.currency)
    wanted = given.target_profit
    if given.scheme == Scheme.MARGIN:
        owed = wanted - _profit(replace(given, purchase_price=given.resale_price))
        price = given.resale_price - quantise(owed * (1 + given.vat_rate), given.currency)
    else:
        price = _profit(replace(given, purchase_price=ZERO)) - wanted
    while _profit(replace(given, purchase_price=price + step)) >= wanted:
        price += step
    return price if price >= 0 else None


def _in_minor_units(given: MarginInput) -> MarginInput:
    """Return the input with its amounts in whole minor units; refuse what is below zero."""
    given = replace(
        given,
        resale_price=quantise(given.resale_price, given.currency),
        purchase_price=quantise(given.purchase_price, given.currency),
        refurbishment_cost=quantise(given.refurbishment_cost, given.currency),
        target_profit=quantise(given.target_profit, given.currency),
    )
    amounts = (
        given.resale_price,
        given.purchase_price,
        given.refurbishment_cost,
        given.target_profit,
        given.selling_fee_net,
    )
    shares = (given.selling_fee_share, given.warranty_share, given.vat_rate)
    if min(*amounts, *shares) < 0:
        raise ValueError("A margin check takes no amount or share below zero.")
    return given


def _fees(given: MarginInput) -> Decimal:
    """Return the selling fees, net."""
    fees = given.resale_price * given.selling_fee_share + given.selling_fee_net
    return quantise(fees, given.currency)


def _reserve(given: MarginInput) -> Decimal:
    """Return what is laid by for work under warranty."""
    return quantise(given.resale_price * given.warranty_share, given.currency)


def _profit(given: MarginInput) -> Decimal:
    """Return the profit of an input in whole minor units."""
    costs = _fees(given) + _reserve(given) + given.refurbishment_cost
    return given.resale_price - given.purchase_price - vat_on_resale(given) - costs


def leave_reasons(findings: Iterable[Found], rules: Iterable[LeaveRule]) -> tuple[str, ...]:
    """Return the words of every rule that holds, each with how many findings it counted."""
    findings = tuple(findings)
    reasons = []
    for rule in rules:
        counted = sum(
            each.judgement.rank >= rule.from_judgement.rank
            and (not rule.faults or each.fault in rule.faults)
            for each in findings
        )
        if counted >= rule.at_least:
            noun = "finding" if counted == 1 else "findings"
            reasons.append(f"{rule.words.rstrip('.')} ({counted} {noun}).")
    return tuple(reasons)


def verdict(
    result: MarginResult,
    given: MarginInput,
    deal_breakers: Sequence[str],
    leave_reasons: Sequence[str],
    *,
    locale: str = "en_GB",
) -> Verdict:
    """Return what to do and why, in plain sentences with amounts.

    ``leave`` on a deal-breaker, on a reason to leave, where the target is out of reach even for
    nothing, and where the work costs more than the bike and the target is missed; ``buy`` where
    the asked price reaches the target; else ``haggle``.
    """
    against = [f"Deal-breaker: {words.rstrip('.')}." for words in deal_breakers]
    against += leave_reasons
    money = _money_reasons(result, given, locale)
    if result.meets_target:
        word = "buy"
    elif not result.ceiling_price or _work_outweighs(result, given):
        word = "leave"
    else:
        word = "haggle"
    return Verdict("leave" if against else word, (*against, *money))


def _work_outweighs(result: MarginResult, given: MarginInput) -> bool:
    """Tell whether a bike that misses the target needs more in work than it costs."""
    return not result.meets_target and result.refurbishment > given.purchase_price


def _money_reasons(result: MarginResult, given: MarginInput, locale: str) -> list[str]:
    """Return what the money says: profit against target, work against price, the ceiling."""

    def money(amount: Decimal) -> str:
        return format_money(amount, given.currency, locale)

    asked, target = money(given.purchase_price), money(given.target_profit)
    if result.loses_money:
        outcome = f"At {asked} the bike loses {money(-result.profit)}"
    else:
        outcome = f"At {asked} the profit is {money(result.profit)}"
    if result.meets_target:
        return [
            f"{outcome}; the target is {target}.",
            f"Up to {money(result.ceiling_price or ZERO)} may be paid.",
        ]
    reasons = [f"{outcome}; the target is a profit of {target}."]
    if _work_outweighs(result, given):
        reasons.append(
            f"The work costs {money(result.refurbishment)}, more than the bike at {asked}."
        )
    if result.ceiling_price:
        reasons.append(f"No more than {money(result.ceiling_price)} may be paid.")
    elif result.ceiling_price is None:
        reasons.append("Even for nothing it would not reach the target.")
    else:
        reasons.append("Only for nothing would it reach the target.")
    return reasons
