"""The resale price in words: how it was found, how sure it is, and what to mind."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from quotes.charts.money import whole_money
from quotes.core.market import Share
from quotes.core.resale import ENOUGH, Fit, Method
from quotes.resale.selectors.basis import ResaleBasis
from quotes.resale.selectors.rows import Likeness
from workshop.bikes.models import Frame
from workshop.shop.models import Shop

QUARTERS = ("January to March", "April to June", "July to September", "October to December")
SMALL = 0.005


@dataclass(frozen=True, slots=True)
class PageWords:
    """What the page of a bike says. ``facts`` are names with what is known of them.

    ``order`` tells how the rows stand, ``against`` what the facts are measured by.
    """

    like: str
    likely: str
    range: str
    method: str
    error: str
    cautions: tuple[str, ...]
    order: str
    against: str
    facts: tuple[tuple[str, str], ...]


def page_words(basis: ResaleBasis, shop: Shop) -> PageWords:
    """Return the basis in words."""
    return PageWords(
        like_words(basis),
        "" if basis.resale.likely is None else _money(basis.resale.likely, shop),
        _range(basis, shop),
        _method(basis),
        _error(basis),
        tuple(_cautions(basis)),
        "nearest in condition first" if basis.age_years is None else "nearest in age first",
        _against(basis),
        tuple(_facts(basis)),
    )


def per_cent(share: float) -> str:
    """Return a share in whole per cent."""
    return f"{abs(share) * 100:.0f}\N{NO-BREAK SPACE}%"


def signed_per_cent(share: float) -> str:
    """Return a share in whole per cent with its sign."""
    return f"{'−' if share <= -SMALL else '+' if share >= SMALL else ''}{per_cent(share)}"


def like_words(basis: ResaleBasis) -> str:
    """Return which bikes the rows are."""
    bike = basis.bike
    if basis.likeness is Likeness.SAME_MODEL:
        return f"the same make and model ({bike.make} {bike.model})"
    if basis.likeness is Likeness.SAME_MAKE:
        return f"the same make ({bike.make}), whatever the model"
    folds = bike.frame == Frame.FOLDING
    return f"{'folding bikes' if folds else 'bikes that do not fold'}, whatever the make"


def _range(basis: ResaleBasis, shop: Shop) -> str:
    found = basis.resale
    if found.low is None or found.high is None:
        return ""
    low, high = _money(found.low, shop), _money(found.high, shop)
    if found.method is Method.REGRESSION:
        return f"Between {low} and {high} about eight times in ten."
    return "" if len(basis.rows) == 1 else f"The prices go from {low} to {high}."


def _method(basis: ResaleBasis) -> str:
    count, like = len(basis.rows), like_words(basis)
    if basis.resale.method is Method.REGRESSION:
        return (
            f"From {count} prices of {like}: a line through their logarithms against age and "
            "condition, in which a few wild prices count for little (Huber’s regression)."
        )
    if count == 1:
        return f"The only price of {like}."
    why = (
        "without the bike’s year no line can be read"
        if basis.age_years is None and count >= ENOUGH
        else f"fewer than {ENOUGH} make no line"
    )
    return f"The middle one of {count} prices of {like}; {why}."


def _error(basis: ResaleBasis) -> str:
    share = basis.resale.error_share
    if share is None:
        return "With one price there is nothing to check it against."
    return (
        "Each price was also foretold from the others alone: half of those guesses were wrong by "
        f"less than {per_cent(share)}."
    )


def _cautions(basis: ResaleBasis) -> Iterator[str]:
    """Yield what to mind before trusting the price."""
    if basis.beyond:
        yield (
            f"The bike is {basis.beyond} than every price used: the line is carried on past what "
            "is known."
        )
    if basis.likeness is Likeness.SAME_FRAME:
        yield (
            f"Fewer than {ENOUGH} prices are of this make, so other makes stand in. "
            "Take it as a rough guide."
        )
    if basis.age_years is None:
        yield "The maker’s year is not known, so the price takes no account of age."
    fit = basis.resale.fit
    if fit and not fit.by_condition:
        yield "All prices are of one condition, so the price takes no account of it."


def _facts(basis: ResaleBasis) -> Iterator[tuple[str, str]]:
    """Yield the facts to see beside the price."""
    if basis.resale.fit:
        yield from _slopes(basis.resale.fit)
    market = basis.market
    for name, share in zip(QUARTERS, market.quarters, strict=True):
        yield f"Seen {name}", share_words(share)
    yield "Asked prices", share_words(market.asked)
    yield "Sold prices", share_words(market.sold)
    if market.days_on_shelf is None:
        yield "Time on the shelf", "not noted of any"
    else:
        days = f"{market.days_on_shelf:.0f} days"
        yield "Time on the shelf", f"{days} in the middle of {_prices(market.shelf_count)}"


def _slopes(fit: Fit) -> Iterator[tuple[str, str]]:
    """Yield what a year and a grade do to the price."""
    if fit.by_age:
        yield "A year older", signed_per_cent(math.expm1(fit.by_age))
    if fit.by_condition:
        yield "A grade better", signed_per_cent(math.expm1(fit.by_condition))


def share_words(share: Share) -> str:
    """Return how some prices stand to what the basis says of them, and how many they are."""
    if share.ratio is None:
        return "none"
    return f"{_beside(share.ratio - 1)} ({_prices(share.count)})"


def _beside(share: float) -> str:
    if abs(share) < SMALL:
        return "just there"
    return f"{per_cent(share)} {'above' if share > 0 else 'below'}"


def _against(basis: ResaleBasis) -> str:
    """Return what the facts are measured by, and what the price takes account of."""
    if basis.resale.method is Method.REGRESSION:
        return (
            "How these prices stand to the line. The likely price takes account of age and "
            "condition, of nothing else."
        )
    return "How these prices stand to the middle one, whatever the age and condition."


def _prices(count: int) -> str:
    return f"{count} price{'' if count == 1 else 's'}"


def _money(amount: Decimal, shop: Shop) -> str:
    return whole_money(amount, shop.currency, shop.locale)
