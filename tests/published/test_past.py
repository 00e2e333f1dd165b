"""Past tastings taken together: random-effects meta-analysis.

statsmodels' `combine_effects` (checked by its authors against R's metafor) for everything that
is given the difference τ between studies; SciPy's integration over both unknowns for the rest.
Data: eight schools, Rubin (1981), J. Educ. Stat. 6, 377.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from scipy.integrate import simpson
from scipy.stats import chi2, norm
from statsmodels.stats.meta_analysis import combine_effects

from halfpoint.plan.past import _given, pool, standard_error

EFFECT = np.array([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0])
SE = np.array([15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0])
# Standard deviations of five made-up years that clearly differ.
YEARS = np.array([1.2, 1.6, 1.1, 1.9, 1.4])
YEARS_SE = np.array([0.05, 0.08, 0.06, 0.10, 0.05])


@pytest.mark.parametrize(('found', 'se'), [(EFFECT, SE / 3.0), (YEARS, YEARS_SE)])
@pytest.mark.parametrize('method', ['dl', 'pm'])
def test_given_how_years_differ_the_mean_is_that_of_a_meta_analysis(
    found: np.ndarray, se: np.ndarray, method: str
) -> None:
    """Mean and standard error at the τ of DerSimonian and Laird, and of Paule and Mandel."""
    reference = combine_effects(found, se**2, method_re=method, atol=1e-10)
    tau = sqrt(reference.tau2)
    mean, variance, _ = _given(found, se, np.array([0.0, tau]), 1.0)
    expected = [reference.mean_effect_fe, reference.mean_effect_re]
    errors = [reference.sd_eff_w_fe, reference.sd_eff_w_re]
    assert expected == pytest.approx(mean.tolist(), rel=1e-6)
    assert errors == pytest.approx(np.sqrt(variance).tolist(), rel=1e-6)


# Schools are lifted by 50 points, as no standard deviation lies below zero.
@pytest.mark.parametrize(
    ('found', 'se', 'scale'), [(EFFECT + 50.0, SE, 10.0), (YEARS, YEARS_SE, 0.3)]
)
def test_over_all_that_years_may_differ_it_is_the_integral(
    found: np.ndarray, se: np.ndarray, scale: float
) -> None:
    """Posterior means of μ and τ, and the range of the next, by Simpson's rule over both."""
    reach = 10 * np.sqrt(found.var() + (se**2).mean())
    mu = np.linspace(found.mean() - reach, found.mean() + reach, 1601)[:, None]
    tau = np.linspace(0.0, 8 * scale, 801)
    density = np.exp(-0.5 * (tau / scale) ** 2) * np.ones_like(mu)
    for y, s in zip(found, se, strict=True):
        density = density * norm.pdf(y, mu, np.sqrt(s**2 + tau**2)) * 10

    def over(what: np.ndarray) -> float:
        return float(simpson(simpson(what * density, x=tau), x=mu[:, 0]))

    whole = over(np.ones_like(density))
    made = pool(found, se, scale)
    assert over(mu) / whole == pytest.approx(made.usual, rel=1e-4)
    assert over(tau) / whole == pytest.approx(made.between, rel=1e-3)
    for end, share in ((made.low, 0.025), (made.high, 0.975)):
        below = over(np.asarray(norm.cdf(end, mu, np.maximum(tau, 1e-12)))) / whole
        assert share == pytest.approx(below, abs=1e-3)


def test_many_years_that_are_alike_are_as_good_as_one_long_one() -> None:
    """With the years hardly differing, the mean is that of fixed effects, and so is its error."""
    alike = np.full(40, 1.5)
    made = pool(alike, np.full(40, 0.3), 1e-6)
    reach = norm.ppf(0.975) * 0.3 / sqrt(40)
    assert [1.5, 1.5 - reach, 1.5 + reach] == pytest.approx([made.usual, made.low, made.high])


def test_one_year_says_itself_and_how_sure() -> None:
    """One tasting: its own figure, and a range from its error and a half-normal of years."""
    # Last year lies τ from the usual and so does the next: 0.1² + 2 E τ², and E τ² of a half-normal
    # is its scale squared. The tails are a little heavier than normal ones.
    made = pool(np.array([1.5]), np.array([0.1]), 0.3)
    assert 1.5 == pytest.approx(made.usual)
    assert 0.3 * sqrt(2 / pi) == pytest.approx(made.between, rel=1e-4)
    half = (made.high - made.low) / 2
    assert 1.96 * sqrt(0.1**2 + 2 * 0.3**2) < half < 2.3 * sqrt(0.1**2 + 2 * 0.3**2)


def test_standard_errors_come_from_intervals() -> None:
    """Of a mean square with 30 degrees of freedom: 1 / √(2·30) of its root, within 7 %."""
    # A variance s² with ν degrees of freedom has the interval ν s²/χ², and √s² a standard error of
    # about s/√(2ν) (Kendall and Stuart, volume 1).
    low, high = (30.0 / chi2.ppf(share, 30) for share in (0.975, 0.025))
    assert 1.0 / sqrt(60.0) == pytest.approx(standard_error(1.0, low, high), rel=0.07)
    assert 0.5 / 1.96 == pytest.approx(standard_error(0.0, 0.0, 0.25), rel=1e-4)
    assert 0.5 == standard_error(0.25, None, None)
