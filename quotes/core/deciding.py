"""The verdict on a buy-in under uncertainty, and the opening offer, in plain sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.core.money import format_money, minor_unit, quantise
from quotes.core.margin import Verdict

HALF = 0.5


@dataclass(frozen=True, slots=True)
class Prospect:
    """What is known of a buy-in at the price asked.

    ``ceiling`` is the highest price at which a share ``confidence`` of the outcomes reaches the
    target, None where not even a gift does; ``reaches`` and ``loses`` are the shares of outcomes
    that reach the target and lose money at ``price``. ``refused`` are reasons from outside the
    arithmetic that end the matter: deal-breakers, rules, a refusal recorded.
    """

    price: Decimal
    target: Decimal
    confidence: Decimal
    ceiling: Decimal | None
    reaches: float
    loses: float
    refused: Sequence[str]
    currency: str
    locale: str = "en_GB"

    def money(self, amount: Decimal) -> str:
        """Return an amount as the shop writes it."""
        return format_money(amount, self.currency, self.locale)


def decide(prospect: Prospect) -> Verdict:
    """Return what to do and why.

    ``leave`` where something refuses the bike, where no price above nothing would do, and where
    at the price asked more than half of the outcomes lose money; ``buy`` up to the ceiling price;
    ``haggle`` between. So with a rising price the word only ever goes from buy to haggle to leave.
    """
    reasons = [*prospect.refused, *_reasons(prospect)]
    return Verdict("leave" if prospect.refused else _word(prospect), tuple(reasons))


def _word(prospect: Prospect) -> str:
    if not prospect.ceiling:
        return "leave"
    if prospect.price <= prospect.ceiling:
        return "buy"
    return "leave" if prospect.loses > HALF else "haggle"


def _reasons(prospect: Prospect) -> list[str]:
    """Return what the figures say, the most telling first."""
    asked, target = prospect.money(prospect.price), prospect.money(prospect.target)
    often = f"{in_a_hundred(prospect.reaches)} times in 100"
    sure = f"{prospect.confidence * 100:.0f} times in 100"
    reasons = [f"At {asked} the profit reaches {target} about {often}; you want {sure}."]
    if prospect.ceiling is None:
        reasons.append(f"Even for nothing it would reach {target} less than {sure}.")
    elif not prospect.ceiling:
        reasons.append(f"Only for nothing would it reach {target} {sure}.")
    elif prospect.price <= prospect.ceiling:
        reasons.append(f"Up to {prospect.money(prospect.ceiling)} it still would.")
    else:
        over = prospect.money(prospect.price - prospect.ceiling)
        reasons.append(f"The price is {over} above the most you should pay.")
    if prospect.loses > HALF:
        reasons.append("At that price it is more likely to lose money than not.")
    return reasons


def in_a_hundred(share: float) -> str:
    """Return a share as times in a hundred: never 0 or 100 where it may be either."""
    whole = round(share * 100)
    if whole == 0 and share > 0:
        return "less than 1"
    if whole == 100 and share < 1:  # noqa: PLR2004 - a hundred is what it counts in
        return "more than 99"
    return str(whole)


def opening_offer(
    ceiling: Decimal | None, price: Decimal, share: Decimal, step: Decimal, currency: str
) -> Decimal | None:
    """Return what to offer first: a share of the ceiling price, or of a lower price asked.

    It is rounded down to whole steps; None where there is no ceiling price, or nothing left of it.
    """
    if ceiling is None:
        return None
    step = step or minor_unit(currency)
    offer = quantise(min(ceiling, price) * share // step * step, currency)
    return offer if offer > 0 else None
