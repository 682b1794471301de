"""The resale price from comparables: robust regression where there are enough, else the median.

With at least ``ENOUGH`` rows the logarithm of the price is regressed on age and condition by
Huber's M-estimator (Huber 1964; iteratively reweighted least squares, scale from the median
absolute deviation, tuning constant 1.345), so that a few wild prices do not carry the line away.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from statistics import median
from typing import TYPE_CHECKING

from inventory.core.money import quantise

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]

ENOUGH = 8
"""Rows needed for a regression; below that the median speaks."""

HUBER = 1.345
"""Huber's tuning constant: 95 % efficiency where errors are normal (Huber 1981)."""

MAD_TO_SIGMA = 0.6744897501960817
"""The median absolute deviation of a standard normal: Φ⁻¹(3/4)."""

ROUNDS = 200
TOLERANCE = 1e-10


class Method(StrEnum):
    """How the price was found."""

    REGRESSION = "regression"
    MEDIAN = "median"
    NO_BASIS = "no basis"


@dataclass(frozen=True, slots=True)
class Comparable:
    """A known price of a like bike: gross, as asked or paid; age in years; condition 1 to 5."""

    key: str
    price: Decimal
    age_years: int
    condition: int


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted line: log price = intercept + by_age · years + by_condition · grade."""

    intercept: float
    by_age: float
    by_condition: float
    scale: float

    def log_price(self, age_years: float, condition: float) -> float:
        """Return the natural logarithm of the price foreseen."""
        return self.intercept + self.by_age * age_years + self.by_condition * condition


@dataclass(frozen=True, slots=True)
class Foretold:
    """What the other rows foretell for one row (leave one out): the gross price and its error.

    ``error_share`` is signed: 0.1 where the others say a tenth more than the row's own price.
    """

    key: str
    price: Decimal
    error_share: float


@dataclass(frozen=True, slots=True)
class Resale:
    """What a bike should bring: likely, and a range that holds about eight times in ten.

    Below ``ENOUGH`` rows the range is the lowest and highest price seen. ``error_share`` is the
    median of the relative errors made when each row is foretold from the others (leave one out),
    without their signs; ``foretold`` has those errors row by row, in the order of ``used``, and
    is empty where there is one row only.
    """

    method: Method
    likely: Decimal | None
    low: Decimal | None
    high: Decimal | None
    used: tuple[str, ...]
    error_share: float | None
    fit: Fit | None = None
    foretold: tuple[Foretold, ...] = ()

    def line(self, age_years: float, condition: float) -> float | None:
        """Return the price that the basis gives at an age and a condition, not rounded.

        It is the fitted line, or the median where there is no fit; None without any basis.
        """
        if self.fit is not None:
            return math.exp(self.fit.log_price(age_years, condition))
        return None if self.likely is None else float(self.likely)


def huber(design: Matrix, target: Matrix) -> tuple[Matrix, float]:
    """Return coefficients and scale of Huber's robust regression.

    ``design`` is (rows × coefficients) with a column of ones for the intercept.
    """
    import numpy as np

    def solve(left: Matrix, right: Matrix) -> Matrix:
        return np.linalg.lstsq(left, right, rcond=None)[0].astype(np.float64)

    weights: Matrix = np.ones(len(target))
    found: Matrix = np.zeros(design.shape[1])
    scale = 0.0
    for _ in range(ROUNDS):
        root = np.sqrt(weights)
        newer = solve(design * root[:, None], target * root)
        rest: Matrix = target - design @ newer
        scale = float(np.median(np.abs(rest)) / MAD_TO_SIGMA)
        done = bool(np.max(np.abs(newer - found)) < TOLERANCE)
        found = newer
        if done or scale < TOLERANCE:
            break
        weights = HUBER / np.maximum(np.abs(rest) / scale, HUBER)
    return found, scale


def fit_log_price(rows: Sequence[Comparable]) -> Fit:
    """Fit log price on age and condition; a fact that is the same in all rows is left out."""
    return _fit(*_arrays(rows))


def resale_price(
    rows: Sequence[Comparable], age_years: int | None, condition: int, currency: str
) -> Resale:
    """Foretell the gross resale price of a bike of that age and condition.

    Where the age is not known there is nothing to regress on, and the median speaks.

    Raises:
        ValueError: a comparable has a price of zero or below.
    """
    bad = [row.key for row in rows if row.price <= 0]
    if bad:
        raise ValueError(f"A comparable needs a price above zero: {', '.join(bad)}.")
    if not rows:
        return Resale(Method.NO_BASIS, None, None, None, (), None)
    if len(rows) < ENOUGH or age_years is None:
        return _by_median(rows, currency)
    return _by_regression(rows, age_years, condition, currency)


def _by_regression(
    rows: Sequence[Comparable], age_years: int, condition: int, currency: str
) -> Resale:
    fit = fit_log_price(rows)
    slips = _leave_one_out(rows)
    centre = fit.log_price(age_years, condition)
    low, high = _tenths(slips)
    foretold = tuple(
        Foretold(row.key, _money(math.log(row.price) - slip, currency), math.expm1(-slip))
        for row, slip in zip(rows, slips, strict=True)
    )
    return Resale(
        Method.REGRESSION,
        likely=_money(centre, currency),
        low=_money(centre + low, currency),
        high=_money(centre + high, currency),
        used=tuple(row.key for row in rows),
        error_share=_usual(foretold),
        fit=fit,
        foretold=foretold,
    )


def _by_median(rows: Sequence[Comparable], currency: str) -> Resale:
    prices = [row.price for row in rows]
    foretold = tuple(
        _foretold(row, median([*prices[:at], *prices[at + 1 :]]), currency)
        for at, row in enumerate(rows)
        if len(rows) > 1
    )
    return Resale(
        Method.MEDIAN,
        quantise(median(prices), currency),
        min(prices),
        max(prices),
        tuple(row.key for row in rows),
        _usual(foretold),
        foretold=foretold,
    )


def _foretold(row: Comparable, price: Decimal, currency: str) -> Foretold:
    return Foretold(row.key, quantise(price, currency), float(price / row.price) - 1)


def _usual(foretold: Sequence[Foretold]) -> float | None:
    """Return the median of the errors without their signs."""
    return median(abs(each.error_share) for each in foretold) if foretold else None


def _arrays(rows: Sequence[Comparable]) -> tuple[Matrix, Matrix, Matrix]:
    """Return ages, grades and logarithms of the prices."""
    import numpy as np

    ages = np.array([row.age_years for row in rows], dtype=np.float64)
    grades = np.array([row.condition for row in rows], dtype=np.float64)
    return ages, grades, np.log(np.array([float(row.price) for row in rows]))


def _fit(ages: Matrix, grades: Matrix, log_prices: Matrix) -> Fit:
    import numpy as np

    kept = [facts for facts in (ages, grades) if np.ptp(facts) > 0]
    found, scale = huber(np.column_stack([np.ones(len(ages)), *kept]), log_prices)
    rest = iter(found[1:].tolist())
    by_age = next(rest) if np.ptp(ages) > 0 else 0.0
    by_condition = next(rest) if np.ptp(grades) > 0 else 0.0
    return Fit(float(found[0]), by_age, by_condition, scale)


def _leave_one_out(rows: Sequence[Comparable]) -> list[float]:
    """Return each row's log price less what the other rows foretell for it."""
    import numpy as np

    ages, grades, logs = _arrays(rows)
    slips = []
    for at, row in enumerate(rows):
        fit = _fit(*(np.delete(facts, at) for facts in (ages, grades, logs)))
        slips.append(float(logs[at]) - fit.log_price(row.age_years, row.condition))
    return slips


def _tenths(slips: Sequence[float]) -> tuple[float, float]:
    """Return the first and the ninth tenth."""
    import numpy as np

    low, high = np.quantile(slips, (0.1, 0.9))
    return float(low), float(high)


def _money(log_price: float, currency: str) -> Decimal:
    return quantise(Decimal(repr(math.exp(log_price))), currency)
