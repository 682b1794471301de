"""A margin check worked out: the result, the verdict, and the arithmetic step by step."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.core.money import ZERO, format_money, quantise
from quotes.buyin.basis import Basis
from quotes.buyin.models import MarginCheck
from quotes.core.margin import MarginInput, MarginResult, Scheme, Verdict, check, verdict
from workshop.shop.models import Shop

AROUND = (Decimal("-0.10"), ZERO, Decimal("0.10"))
VERDICTS = {
    "buy": ("Buy it", "done"),
    "haggle": ("Haggle", "warn"),
    "leave": ("Leave it", "stop"),
}


@dataclass(frozen=True, slots=True)
class Step:
    """A row of the arithmetic: words, how it is reckoned, the amount added or taken off."""

    words: str
    how: str
    amount: Decimal
    is_sum: bool = False


@dataclass(frozen=True, slots=True)
class Around:
    """What comes of another resale price: by how much it differs, the price, profit, ceiling."""

    words: str
    resale_price: Decimal
    profit: Decimal
    ceiling_price: Decimal | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a margin check comes to. ``word`` and ``kind`` are the verdict's on screen."""

    given: MarginInput
    result: MarginResult
    verdict: Verdict
    steps: tuple[Step, ...]
    around: tuple[Around, ...]

    @property
    def word(self) -> str:
        """Return the verdict as a heading."""
        return VERDICTS[self.verdict.word][0]

    @property
    def kind(self) -> str:
        """Return the kind of notice that the verdict is shown as."""
        return VERDICTS[self.verdict.word][1]


def outcome_of(given: MarginInput, basis: Basis) -> Outcome:
    """Return what the figures come to for a bike."""
    result = check(given)
    shop = basis.shop
    return Outcome(
        given=given,
        result=result,
        verdict=verdict(
            result, given, basis.deal_breakers, basis.leave_reasons, locale=shop.locale
        ),
        steps=steps_of(given, result, shop),
        around=tuple(_around(given, share) for share in AROUND),
    )


def kept_input(row: MarginCheck, currency: str) -> MarginInput:
    """Return the figures of a saved check."""
    return MarginInput(
        resale_price=row.resale_price,
        purchase_price=row.purchase_price,
        refurbishment_cost=row.refurbishment_cost,
        selling_fee_share=row.selling_fee_share,
        selling_fee_net=row.selling_fee_net,
        warranty_share=row.warranty_share,
        scheme=Scheme(row.scheme),
        vat_rate=row.vat_rate,
        target_profit=row.target_profit,
        currency=currency,
    )


def steps_of(given: MarginInput, result: MarginResult, shop: Shop) -> tuple[Step, ...]:
    """Return the way from the resale price to the profit, each row as it is printed."""
    margin = given.resale_price - given.purchase_price
    return (
        Step("Expected resale price", "as the buyer pays it", given.resale_price),
        Step("less the price asked", "as the seller gets it", -given.purchase_price),
        Step("Margin", "", margin, is_sum=True),
        Step(*_vat_words(given, margin, shop), -result.vat),
        Step("less selling fees", _fee_words(given, shop), -result.fees),
        Step(
            "less warranty reserve",
            f"{_percent(given.warranty_share)} of {_money(given.resale_price, shop)}",
            -result.reserve,
        ),
        Step("less the work", "at the shop’s own cost", -result.refurbishment),
        Step("Profit", "", result.profit, is_sum=True),
    )


def _vat_words(given: MarginInput, margin: Decimal, shop: Shop) -> tuple[str, str]:
    """Return what VAT is taken off and how it is reckoned."""
    if given.scheme == Scheme.NONE:
        return "less VAT", "not registered: none"
    rate = 100 * given.vat_rate
    fraction = f"{_plain(rate)}/{_plain(100 + rate)}"
    if given.scheme == Scheme.ORDINARY:
        return "less VAT in the price", f"{_money(given.resale_price, shop)} × {fraction}"
    if margin <= 0:
        return "less VAT on the margin", "no margin: none"
    return "less VAT on the margin", f"{_money(margin, shop)} × {fraction}"


def _fee_words(given: MarginInput, shop: Shop) -> str:
    """Return how the selling fees are reckoned."""
    parts = []
    if given.selling_fee_share:
        share = _percent(given.selling_fee_share)
        parts.append(f"{share} of {_money(given.resale_price, shop)}")
    if given.selling_fee_net or not parts:
        parts.append(f"{_money(given.selling_fee_net, shop)} fixed")
    return " and ".join(parts)


def _around(given: MarginInput, share: Decimal) -> Around:
    """Return what comes of a resale price that differs by a share."""
    price = quantise(given.resale_price * (1 + share), given.currency)
    result = check(replace(given, resale_price=price))
    words = f"{_percent(abs(share))} {'less' if share < 0 else 'more'}" if share else "as expected"
    return Around(words, price, result.profit, result.ceiling_price)


def _money(amount: Decimal, shop: Shop) -> str:
    """Return an amount as the shop writes it."""
    return format_money(amount, shop.currency, shop.locale)


def _percent(share: Decimal) -> str:
    """Return a fraction as per cent without needless zeros."""
    return f"{_plain(share * 100)} %"


def _plain(number: Decimal) -> str:
    """Return a number without needless zeros."""
    return f"{number.normalize():f}"
