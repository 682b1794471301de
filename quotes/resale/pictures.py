"""Price against age as a picture: the rows, the line through them, and the bike."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from quotes.charts.chart import Axis, Chart
from quotes.charts.money import money_axis, whole_money
from quotes.charts.scatter import Point, Sort, Target, Words, scatter
from quotes.core.resale import Method
from quotes.resale.models import PriceKind
from quotes.resale.selectors.basis import ResaleBasis
from quotes.resale.selectors.rows import Row
from workshop.shop.models import Shop

STEPS = 40
SORTS = {Sort.FULL: "sold", Sort.RING: "asked", Sort.CROSS: "dropped"}


def price_by_age(basis: ResaleBasis, shop: Shop) -> Chart | None:
    """Return the scatter plot, or None where there is no row to show."""
    points = [_point(each.row) for each in basis.rows]
    points += [_point(each.row, Sort.CROSS) for each in basis.dropped]
    if not points or not basis.has_price:
        return None
    name = "age then, years"
    axes = (Axis(name, lambda value: f"{float(value):g}"), _prices(shop))
    words = Words("Price against age", _description(basis, shop), "bike", _curve_name(basis), SORTS)
    target = _target(basis)
    ages = [float(point.x) for point in points] + ([float(target.x)] if target else [])
    curve = _curve(basis, min(ages), max(ages))
    return scatter("price-by-age", words, axes, points, curve=curve, target=target)


def _prices(shop: Shop) -> Axis:
    return money_axis("price", shop.currency, shop.locale)


def _point(row: Row, sort: Sort | None = None) -> Point:
    kind = Sort.RING if row.kind is PriceKind.ASKED else Sort.FULL
    return Point(f"{row.name} {row.maker_year}", row.age_years, row.price, sort or kind)


def _target(basis: ResaleBasis) -> Target | None:
    """Return the bike's place; None where its age is not known."""
    found = basis.resale
    if basis.age_years is None or found.likely is None:
        return None
    low, high = found.low or found.likely, found.high or found.likely
    return Target(basis.bike.stock_no, basis.age_years, found.likely, low, high)


def _curve(basis: ResaleBasis, first: float, last: float) -> Sequence[tuple[float, float]]:
    """Return the line at the condition that the bike is sold in; a point has no line."""
    if first == last:
        return ()
    ages = [first + (last - first) * step / STEPS for step in range(STEPS + 1)]
    prices = [basis.resale.line(age, int(basis.condition)) for age in ages]
    return [(age, price) for age, price in zip(ages, prices, strict=True) if price is not None]


def _curve_name(basis: ResaleBasis) -> str:
    if basis.resale.method is Method.REGRESSION:
        return f"fitted, condition {int(basis.condition)}"
    return "median"


def _description(basis: ResaleBasis, shop: Shop) -> str:
    """Return what the picture shows, for those who do not see it."""
    rows = [each.row for each in basis.rows]
    prices, ages = [row.price for row in rows], [row.age_years for row in rows]
    words = [
        f"{len(rows)} prices from {_money(min(prices), shop)} to {_money(max(prices), shop)}",
        f"at ages of {min(ages)} to {max(ages)} years.",
    ]
    found = basis.resale
    if found.likely is not None and found.low is not None and found.high is not None:
        years = "" if basis.age_years is None else f", {basis.age_years} years old,"
        words.append(
            f"{basis.bike.stock_no}{years} is foretold {_money(found.likely, shop)}, "
            f"between {_money(found.low, shop)} and {_money(found.high, shop)}."
        )
    return " ".join(words)


def _money(amount: Decimal, shop: Shop) -> str:
    return whole_money(amount, shop.currency, shop.locale)
