"""A decision as pictures: how often what profit and what cost, and what moves the profit."""

from __future__ import annotations

from decimal import Decimal

from inventory.core.money import format_money, quantise
from quotes.charts.histogram import Zone, histogram
from quotes.charts.money import money_axis, whole_money
from quotes.charts.tornado import Swing
from quotes.charts.tornado import tornado as tornado_chart
from quotes.core.deciding import in_a_hundred
from quotes.core.risk import Outlook, Venture
from quotes.core.swings import Bar, Fact, mean_profit, tornado
from quotes.deciding.figures import Charts, Mover
from workshop.shop.models import Shop

MOST = 3
LONGEST = 34
NAMES = {Fact.RESALE: "Resale price", Fact.LIFE: "How hard a life"}


def movers_of(venture: Venture, shop: Shop) -> tuple[Mover, ...]:
    """Return the facts that move the profit most."""
    return tuple(_mover(bar, shop) for bar in tornado(venture)[:MOST])


def _mover(bar: Bar, shop: Shop) -> Mover:
    low, high = _ends(bar, shop)
    return Mover(
        NAMES.get(bar.fact, bar.name), low, high, _amount(bar.low, shop), _amount(bar.high, shop)
    )


def _ends(bar: Bar, shop: Shop) -> tuple[str, str]:
    if bar.fact is Fact.HIDDEN:
        return "not there", f"there, {_money(bar.at_high, shop)}"
    if bar.fact is Fact.LIFE:
        return f"mild, work × {bar.at_low:g}", f"hard, × {bar.at_high:g}"
    return _money(bar.at_low, shop), _money(bar.at_high, shop)


def charts_of(
    venture: Venture,
    outlook: Outlook,
    ceiling: Decimal | None,
    movers: tuple[Mover, ...],
    shop: Shop,
) -> Charts:
    """Return the pictures of a venture."""
    profit = money_axis("profit", shop.currency, shop.locale)
    return Charts(
        profit=histogram(
            "profit-drawn",
            f"Profit, in {len(outlook.profit):,} outcomes drawn",
            _profit_words(outlook, shop),
            profit,
            outlook.profit.tolist(),
            outlook.profit_tenths,
            zones=_zones(venture),
            marks=((float(venture.target), "target"),),
        ),
        cost=histogram(
            "cost-drawn",
            f"Cost of the work, in {len(outlook.cost):,} outcomes drawn",
            _cost_words(outlook, shop),
            money_axis("cost", shop.currency, shop.locale),
            outlook.cost.tolist(),
            outlook.cost_tenths,
        ),
        movers=tornado_chart(
            "profit-movers",
            "What moves the profit most",
            "; ".join(
                f"{each.name}, from {each.at_low} to {each.at_high}: profit from "
                f"{_exact(each.low, shop)} to {_exact(each.high, shop)}"
                for each in movers
            )
            + ".",
            profit,
            mean_profit(venture),
            [_swing(each) for each in movers],
            middle="on average",
        ),
    )


def _zones(venture: Venture) -> tuple[Zone, ...]:
    target = float(venture.target)
    loss = Zone("loses money", "hatched", 0.0)
    reached = Zone("reaches the target", "solid")
    if not target:
        return loss, reached
    return loss, Zone("earns something", "empty", target), reached


def _swing(each: Mover) -> Swing:
    name = each.name if len(each.name) <= LONGEST else each.name[: LONGEST - 1].rstrip() + "…"
    return Swing(name, each.at_low, each.at_high, float(each.low), float(each.high))


def _profit_words(outlook: Outlook, shop: Shop) -> str:
    low, middle, high = (_money(each, shop) for each in outlook.profit_tenths)
    return (
        f"Eight outcomes in ten lie between {low} and {high}, half of them above {middle}. "
        f"The target is reached {in_a_hundred(outlook.reaches_target)} times in 100, money is "
        f"lost {in_a_hundred(outlook.loses_money)} times in 100."
    )


def _cost_words(outlook: Outlook, shop: Shop) -> str:
    low, middle, high = (_money(each, shop) for each in outlook.cost_tenths)
    return f"Eight outcomes in ten lie between {low} and {high}, half of them above {middle}."


def _amount(figure: float, shop: Shop) -> Decimal:
    return quantise(Decimal(repr(figure)), shop.currency)


def _money(figure: float, shop: Shop) -> str:
    return whole_money(Decimal(repr(figure)), shop.currency, shop.locale)


def _exact(amount: Decimal, shop: Shop) -> str:
    return format_money(amount, shop.currency, shop.locale)
