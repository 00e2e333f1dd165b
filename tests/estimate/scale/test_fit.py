"""The fit of scale use: its likelihood, its limits and what comes back of known tasters."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import chi2, multivariate_normal

from halfpoint.errors import NoVariation, TooFewMarks
from halfpoint.estimate.scale.fit import ScaleFit, fit_scale
from halfpoint.estimate.scale.likelihood import Parameters, height, node_count
from halfpoint.estimate.scale.sums import taster_wines
from halfpoint.estimate.weigh import weigh_mark


def simulated(seed: int, tasters: int, wines: int, *, spread: float = 0.3, freedom: float = 8.0):
    """Marks that follow the model, three in a hundred missing, and the truth behind them."""
    rng = np.random.default_rng(seed)
    scores = np.linspace(13.0, 16.0, wines)
    taster, wine = np.indices((tasters, wines)).reshape(2, -1)
    severity, slope = rng.normal(0, 1.5, tasters), rng.normal(0, spread, tasters)
    noise = 1.2 * np.sqrt(freedom / rng.chisquare(freedom, tasters))
    mark = (scores[wine] - severity[taster] + slope[taster] * (scores - scores.mean())[wine]
            + rng.normal(0, 1, len(wine)) * noise[taster])  # fmt: skip
    kept = rng.random(len(wine)) < 0.97
    return mark[kept], taster[kept], wine[kept], scores, severity, slope, noise


def test_likelihood_of_one_taster() -> None:
    """The likelihood is SciPy's multivariate normal, integrated over the noise by quadrature."""
    mark, wine = np.array([14.5, 15.0, 17.5, 12.0]), np.array([0, 1, 2, 1])
    at = Parameters(np.array([14.0, 15.0, 16.5]), 0.9, 0.4, 1.1, 6.0)
    sums = taster_wines(mark, np.zeros(4, dtype=np.int64), wine)
    x = (at.scores - at.scores.mean())[wine]
    outer = at.severity**2 * np.ones((4, 4)) + at.spread**2 * np.outer(x, x)

    def joint(log_v: float) -> float:
        v = np.exp(log_v)
        normal = multivariate_normal(at.scores[wine], outer + v * np.eye(4)).pdf(mark)
        scaled = at.freedom * at.noise**2 / v
        return float(normal * chi2(at.freedom).pdf(scaled) * scaled)

    expected = np.log(quad(joint, -9, 9, epsabs=0, epsrel=1e-11)[0])
    assert pytest.approx(expected, abs=1e-7) == height(sums, at, node_count(sums)).loglik


@given(st.integers(0, 2**32 - 1))
@settings(max_examples=20, deadline=None)
def test_gradient(seed: int) -> None:
    """The gradient is that of central differences."""
    rng = np.random.default_rng(seed)
    mark, taster, wine, scores, *_ = simulated(seed, 12, 5)
    sums = taster_wines(mark - 14.5, taster, wine)
    point = np.concatenate(
        [
            scores - 14.5 + rng.normal(0, 0.3, 5),
            rng.uniform(0.1, 2, 2),
            [rng.normal(0, 0.5), rng.normal(2, 0.5)],
        ]
    )

    def at(values: np.ndarray) -> Parameters:
        return Parameters(
            values[:5], values[5], values[6], np.exp(values[7] / 2), np.exp(values[8])
        )

    for index in range(9):
        step = np.zeros(9)
        step[index] = 1e-5
        ahead, behind = (
            height(sums, at(point + step), 400),
            height(sums, at(point - step), 400),
        )
        expected = (ahead.loglik - behind.loglik) / 2e-5
        found = height(sums, at(point), 400).gradient[index]
        assert pytest.approx(expected, abs=2e-3, rel=1e-4) == found


@pytest.fixture(scope='module')
def many() -> tuple[ScaleFit, np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Six hundred tasters and eight wines."""
    mark, taster, wine, *truth = simulated(1, 600, 8)
    return (fit_scale(mark, taster, wine), *truth)


def test_parameters_come_back(many) -> None:
    """With many tasters the spreads over tasters are found."""
    fit = many[0]
    assert pytest.approx(1.5, abs=0.15) == fit.severity_sd
    assert pytest.approx(0.3, abs=0.06) == fit.spread_sd
    assert pytest.approx(1.2, abs=0.06) == fit.noise_sd
    assert 5.0 < fit.freedom < 13.0
    assert fit.p_spread < 1e-6


def test_intervals_hold(many) -> None:
    """Intervals of severity, spread and noise hold what they should about 95 times in 100."""
    fit, _, severity, slope, noise = many
    for found, truth in ((fit.severity, severity), (fit.spread, 1 + slope), (fit.noise, noise)):
        inside = ((found.low <= truth) & (truth <= found.high)).mean()
        assert pytest.approx(0.95, abs=0.035) == inside


def test_scores(many) -> None:
    """Scores of wines lie within four standard errors of the truth."""
    fit, scores, *_ = many
    assert (np.abs(fit.scores.value - scores) < 4 * fit.scores.se).all()


def test_a_steady_panel_is_the_main_estimate() -> None:
    """Where spread and noise do not differ, wine differences are those of the main estimate."""
    mark, taster, wine, *_ = simulated(3, 60, 6, spread=0.0, freedom=1e9)
    frame = pl.DataFrame(
        {'taster': taster.astype(str), 'wine': [f'w{w}' for w in wine], 'total': mark}
    )
    main = weigh_mark(frame, effects=['taster'])
    adjusted = np.array([w.adjusted for w in sorted(main.wines, key=lambda w: w.wine)])
    fit = fit_scale(mark, taster, wine)
    apart = (fit.scores.value - fit.scores.value.mean()) - (adjusted - adjusted.mean())
    assert np.abs(apart).max() < 0.1
    assert fit.p_spread > 0.05
    mean_noise = fit.noise_sd * (fit.freedom / (fit.freedom - 2.0)) ** 0.5
    assert pytest.approx(main.components['residual'].variance ** 0.5, rel=0.05) == mean_noise


def test_steady_tasters_count_for_more() -> None:
    """With a few very erratic tasters, standard errors are below those of plain averages."""
    mark, taster, wine, *_ = simulated(4, 80, 5, freedom=2.5)
    fit = fit_scale(mark, taster, wine)
    difference = np.array([1.0, -1.0, 0, 0, 0])
    own = np.sqrt(difference @ fit.covariance @ difference)
    frame = pl.DataFrame(
        {'taster': taster.astype(str), 'wine': [f'w{w}' for w in wine], 'total': mark}
    )
    (pair,) = (p for p in weigh_mark(frame, effects=['taster']).pairs if {p.a, p.b} == {'w0', 'w1'})
    assert own < 0.9 * pair.se


def test_always_the_same_mark() -> None:
    """A taster who always gives the same mark gets a finite spread below 1."""
    mark, taster, wine, *_ = simulated(5, 40, 6)
    mark = np.where(taster == 7, 15.0, mark)
    fit = fit_scale(mark, taster, wine)
    assert 0.0 < fit.spread.value[7] < 1.0
    assert np.isfinite(fit.noise.value).all()


def test_one_mark_each() -> None:
    """A taster with one mark is drawn to the panel, with a wide interval."""
    mark, taster, wine, *_ = simulated(6, 30, 6)
    kept = (taster != 3) | (wine == 2)
    fit = fit_scale(mark[kept], taster[kept], wine[kept])
    assert pytest.approx(1.0, abs=0.1) == fit.spread.value[3]
    assert fit.severity.se[3] > np.median(fit.severity.se)


def test_refusals() -> None:
    """Two wines, one taster, or tasters who agree to the last digit are refused."""
    mark, taster, wine, *_ = simulated(7, 10, 2)
    with pytest.raises(TooFewMarks):
        fit_scale(mark, taster, wine)
    with pytest.raises(TooFewMarks):
        fit_scale(np.arange(9.0), np.zeros(9, dtype=int), np.arange(9))
    taster, wine = np.indices((6, 4)).reshape(2, -1)
    with pytest.raises(NoVariation):
        fit_scale(14.0 + wine, taster, wine)
