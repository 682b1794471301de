"""Changing many parts in one go: what is wished, and what each part is before and after it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import Enum
from hashlib import sha256
from typing import Any

from inventory.core.money import minor_unit
from inventory.core.selling import Rounding, selling_price
from inventory.parts.models import Part, VatCode
from inventory.shopfacts import shop_facts

FIELDS = ("price_net", "markup", "ending", "vat_code", "minimum", "place", "active")
TOLD_BY = (*FIELDS, "cost_net")
"""What a preview shows or reckons with: a part in which any of it has changed is another one."""
LARGEST_PRICE = Decimal(9_999_999)


class PriceRule(Enum):
    """Where new selling prices come from."""

    STAYS = "stays"
    OWN = "own"
    MARKUP = "markup"
    SHARE = "share"


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to become of each part; None and an empty ``vat_code`` leave a thing as it is.

    ``share`` is the mark-up on the cost, or by how much the price of now rises, as a fraction.
    Prices end as ``ending`` says, VAT included; where it is None, as each part's own. With
    ``keep_rule`` the mark-up and the ending become the parts' own.
    """

    price: PriceRule = PriceRule.STAYS
    share: Decimal = Decimal(0)
    ending: Rounding | None = None
    keep_rule: bool = False
    vat_code: str = ""
    minimum: Decimal | None = None
    place: str | None = None
    active: bool | None = None


@dataclass(frozen=True, slots=True)
class Money:
    """What prices are reckoned with: VAT rates by kind, and the currency's smallest step."""

    rates: Mapping[str, Decimal]
    unit: Decimal


def money_on(day: dt.date) -> Money:
    """Return what prices are reckoned with on a day."""
    facts = shop_facts()
    rates = {code: facts.vat_rate(code, day) for code in VatCode.values}
    return Money(rates, minor_unit(facts.currency()))


@dataclass(frozen=True, slots=True)
class Outcome:
    """A part as it is, what differs on it afterwards, and why its price stays where it does."""

    part: Part
    after: Mapping[str, object]
    stays: str = ""

    @property
    def changes(self) -> bool:
        """Tell whether anything is another afterwards."""
        return bool(self.after)

    @property
    def price_net(self) -> Decimal:
        """Return the selling price afterwards, net."""
        found = self.after.get("price_net", self.part.price_net)
        assert isinstance(found, Decimal)  # noqa: S101 - for the type
        return found

    @property
    def vat_code(self) -> str:
        """Return the kind of VAT afterwards."""
        return str(self.after.get("vat_code", self.part.vat_code))

    @property
    def rise(self) -> Decimal:
        """Return by how much the price rises, net."""
        now: Decimal = self.part.price_net
        return self.price_net - now


def outcome(part: Part, wish: Wish, money: Money) -> Outcome:
    """Return what a part is like before and after."""
    wished: dict[str, object] = {
        "vat_code": wish.vat_code or part.vat_code,
        "minimum": part.minimum if wish.minimum is None else wish.minimum,
        "place": part.place if wish.place is None else wish.place,
        "active": part.active if wish.active is None else wish.active,
    }
    price, stays = _price(part, wish, money)
    if price is not None:
        wished["price_net"] = price
        wished |= _rule(part, wish)
    differing = {name: each for name, each in wished.items() if each != getattr(part, name)}
    return Outcome(part, differing, stays)


def _rule(part: Part, wish: Wish) -> dict[str, object]:
    """Return the mark-up and the ending that become the part's own."""
    if not wish.keep_rule:
        return {}
    ending = {"ending": wish.ending.value} if wish.ending else {}
    return ending | ({"markup": wish.share} if wish.price is PriceRule.MARKUP else {})


def _price(part: Part, wish: Wish, money: Money) -> tuple[Decimal | None, str]:
    """Return the new price, net, or None with the reason why it stays."""
    ending = wish.ending or Rounding(part.ending)
    rate = money.rates[wish.vat_code or part.vat_code]
    match wish.price:
        case PriceRule.STAYS:
            return None, ""
        case PriceRule.OWN if part.markup is None:
            return None, "It has no mark-up of its own."
        case PriceRule.OWN | PriceRule.MARKUP if not part.cost_net:
            return None, "Its cost is not known."
        case PriceRule.OWN:
            base, share = part.cost_net, part.markup or Decimal(0)
        case PriceRule.MARKUP:
            base, share = part.cost_net, wish.share
        case PriceRule.SHARE:
            base, share = part.price_net * (1 + wish.share), Decimal(0)
    price = selling_price(base, share, ending, vat_rate=rate, unit=money.unit)
    if price > LARGEST_PRICE:
        return None, "The price would be too high to be kept."
    return price, ""


@dataclass(slots=True)
class Tally:
    """What the outcomes of many parts come to; ``seal`` tells whether two of them are the same."""

    parts: int = 0
    changing: int = 0
    dearer: int = 0
    cheaper: int = 0
    stays: dict[str, int] = field(default_factory=dict)
    _seal: Any = field(default_factory=sha256, repr=False)

    def add(self, each: Outcome) -> None:
        """Count an outcome."""
        self.parts += 1
        self.changing += each.changes
        self.dearer += each.rise > 0
        self.cheaper += each.rise < 0
        if each.stays:
            self.stays[each.stays] = self.stays.get(each.stays, 0) + 1
        before = [str(getattr(each.part, name)) for name in TOLD_BY]
        after = sorted((name, str(value)) for name, value in each.after.items())
        self._seal.update(repr((each.part.pk, before, after)).encode())

    @property
    def seal(self) -> str:
        """Return a short text that differs where any part, before or after, does."""
        return str(self._seal.hexdigest())


def outcomes(parts: Iterable[Part], wish: Wish, money: Money) -> Iterator[Outcome]:
    """Yield what becomes of each part."""
    return (outcome(part, wish, money) for part in parts)
