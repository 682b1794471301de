"""The resale price: known lines are found again, wild prices do not carry them away."""

from __future__ import annotations

import math
import random
from decimal import Decimal

import numpy as np
import pytest

from quotes.core.resale import ENOUGH, Comparable, Method, fit_log_price, huber, resale_price


def synthetic(count, *, wild_share=0.0, seed=3):
    """Rows on log price = 6.4 − 0.08·age + 0.12·condition, with 3 % noise and some wild ones."""
    rnd = random.Random(seed)
    rows = []
    for at in range(count):
        age, grade = rnd.randint(0, 15), rnd.randint(1, 5)
        log_price = 6.4 - 0.08 * age + 0.12 * grade + rnd.gauss(0, 0.03)
        if at < count * wild_share:
            log_price += rnd.choice((1.0, 1.4, 1.8))
        rows.append(Comparable(f"r{at}", Decimal(f"{math.exp(log_price):.2f}"), age, grade))
    return rows


@pytest.mark.parametrize("wild_share", [0.0, 0.2])
def test_known_parameters_come_back_even_with_a_fifth_of_the_rows_wild(wild_share):
    fit = fit_log_price(synthetic(60, wild_share=wild_share))
    assert fit.by_age == pytest.approx(-0.08, abs=0.006)
    assert fit.by_condition == pytest.approx(0.12, abs=0.02)
    assert fit.intercept == pytest.approx(6.4, abs=0.08)


def test_huber_agrees_with_statsmodels():
    import statsmodels.api as sm

    rows = synthetic(40, wild_share=0.2)
    design = np.column_stack(
        [np.ones(40), [row.age_years for row in rows], [row.condition for row in rows]]
    ).astype(float)
    target = np.log([float(row.price) for row in rows])
    ours, scale = huber(design, target)
    theirs = sm.RLM(target, design, M=sm.robust.norms.HuberT()).fit(maxiter=500, tol=1e-12)
    assert ours == pytest.approx(theirs.params, abs=1e-6)
    assert scale == pytest.approx(theirs.scale, rel=1e-5)


def test_a_price_is_foretold_with_a_range_around_it():
    found = resale_price(synthetic(40), age_years=5, condition=3, currency="GBP")
    assert found.method is Method.REGRESSION
    assert float(found.likely) == pytest.approx(math.exp(6.4 - 0.4 + 0.36), rel=0.03)
    assert found.low < found.likely < found.high
    assert found.error_share < 0.05
    assert len(found.used) == 40


def test_a_fact_that_never_changes_is_left_out():
    rows = [Comparable(str(n), Decimal(100 + n), 4, 3) for n in range(ENOUGH)]
    fit = fit_log_price(rows)
    assert (fit.by_age, fit.by_condition) == (0.0, 0.0)


def test_below_eight_rows_the_median_speaks():
    rows = [Comparable(str(n), Decimal(price), 3, 3) for n, price in enumerate((200, 260, 900))]
    found = resale_price(rows, 3, 3, "GBP")
    assert (found.method, found.likely, found.low, found.high) == (
        Method.MEDIAN,
        Decimal("260.00"),
        Decimal(200),
        Decimal(900),
    )
    # Left out one by one, the others foretell 580, 550 and 230: errors 1.900, 1.115, 0.744.
    assert found.error_share == pytest.approx(290 / 260)


def test_one_row_has_no_error_to_show():
    assert resale_price([Comparable("a", Decimal(200), 3, 3)], 3, 3, "GBP").error_share is None


def test_no_rows_give_no_price():
    found = resale_price([], 3, 3, "GBP")
    assert (found.method, found.likely) == (Method.NO_BASIS, None)


def test_a_price_of_nothing_is_refused():
    with pytest.raises(ValueError, match="above zero: x"):
        resale_price([Comparable("x", Decimal(0), 3, 3)], 3, 3, "GBP")


def test_each_row_is_foretold_from_the_others_in_their_order():
    rows = synthetic(30)
    found = resale_price(rows, 5, 3, "GBP")
    assert tuple(each.key for each in found.foretold) == found.used
    for at in (0, 17):
        alone = fit_log_price([*rows[:at], *rows[at + 1 :]])
        price = math.exp(alone.log_price(rows[at].age_years, rows[at].condition))
        assert float(found.foretold[at].price) == pytest.approx(price, abs=0.006)
        assert found.foretold[at].error_share == pytest.approx(price / float(rows[at].price) - 1)
    assert found.error_share == pytest.approx(
        float(np.median([abs(each.error_share) for each in found.foretold]))
    )


def test_below_eight_rows_each_is_foretold_by_the_median_of_the_others():
    rows = [Comparable(str(n), Decimal(price), 3, 3) for n, price in enumerate((200, 260, 900))]
    found = resale_price(rows, 3, 3, "GBP").foretold
    assert [each.price for each in found] == [
        Decimal("580.00"),
        Decimal("550.00"),
        Decimal("230.00"),
    ]
    assert [each.error_share for each in found] == pytest.approx([1.9, 29 / 26, -67 / 90])


def test_one_row_is_foretold_by_nothing():
    assert resale_price([Comparable("a", Decimal(200), 3, 3)], 3, 3, "GBP").foretold == ()


def test_without_an_age_the_median_speaks_however_many_rows_there_are():
    rows = synthetic(21)
    found = resale_price(rows, None, 3, "GBP")
    assert found.method is Method.MEDIAN
    assert found.likely == sorted(row.price for row in rows)[10]


def test_the_line_is_the_fit_the_median_or_nothing():
    rows = synthetic(20)
    fitted = resale_price(rows, 5, 3, "GBP")
    assert fitted.line(5, 3) == pytest.approx(float(fitted.likely), abs=0.006)
    assert fitted.line(9, 3) < fitted.line(5, 3) < fitted.line(5, 5)
    middle = resale_price(rows[:3], 5, 3, "GBP")
    assert middle.line(1, 5) == float(middle.likely)
    assert resale_price([], 5, 3, "GBP").line(1, 5) is None
