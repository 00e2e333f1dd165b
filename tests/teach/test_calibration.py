"""Calibration against statsmodels, SciPy and a sum over everything that was eliminated."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as some
from scipy import stats
from tests.teach.sample_practice import known

from halfpoint.teach import calibration
from halfpoint.teach.calibration import Floats, Ints, Known, calibrate
from halfpoint.teach.prior import Prior, panel_prior

SCORES = [12.0, 13.5, 14.0, 15.5, 16.0, 17.0]
MARKS = np.array([11.5, 12.0, 13.5, 14.0, 15.5, 15.5])
ALL = np.arange(6)


@pytest.fixture
def textbook(monkeypatch: pytest.MonkeyPatch) -> None:
    """Plain normal and inverse chi-square priors, as textbooks have them."""
    monkeypatch.setattr(calibration, 'UNLIKE_SEVERITY', 1.0)
    monkeypatch.setattr(calibration, 'UNLIKE_FREEDOM', 1e9)
    monkeypatch.setattr(calibration, 'TAILS', 1e9)


@pytest.mark.usefixtures('textbook')
def test_severity_and_spread_are_a_regression_with_a_prior() -> None:
    """Theil and Goldberger's mixed estimation: the prior as two more observations (statsmodels)."""
    noise, level_sd, slope_sd = 1.2, 0.8, 0.3
    prior = Prior(0.2, level_sd, 0.9, slope_sd, noise, 1e7)
    here = known(SCORES, se=1e-9)
    found = calibrate(MARKS, ALL, here, prior)
    x = np.array(SCORES) - here.centre
    rows = np.vstack([np.column_stack([np.ones(6), x]), np.eye(2)])
    y = np.concatenate([MARKS - here.centre, [-0.2, 0.9]])
    sds = np.concatenate([np.full(6, noise), [level_sd, slope_sd]])
    fit = sm.WLS(y, rows, weights=1 / sds**2).fit(cov_type='fixed scale')
    assert (-fit.params[0], fit.params[1]) == pytest.approx(
        (found.severity.value, found.spread.value), abs=2e-4
    )
    assert tuple(fit.bse) == pytest.approx((found.severity.se, found.spread.se), rel=2e-3)


@pytest.mark.usefixtures('textbook')
def test_errors_that_wines_of_the_reference_share_count_as_they_should() -> None:
    """Generalised least squares with the whole covariance of the reference (statsmodels)."""
    covariance = 0.09 + 0.04 * np.eye(6)
    here = Known(np.array(SCORES), covariance, float(np.mean(SCORES)), 1.0, 0.4)
    found = calibrate(MARKS, ALL, here, Prior(0.0, 0.8, 1.0, 1e-6, 1.2, 1e7))
    sigma = np.zeros((7, 7))
    sigma[:6, :6] = covariance + (0.4**2 + 1.2**2) * np.eye(6)
    sigma[6, 6] = 0.8**2
    y = np.append(MARKS - SCORES, 0.0)
    fit = sm.GLS(y, np.ones((7, 1)), sigma=sigma).fit(cov_type='fixed scale')
    expected = pytest.approx((found.severity.value, found.severity.se), rel=1e-4)
    assert (-fit.params[0], fit.bse[0]) == expected


@pytest.mark.usefixtures('textbook')
def test_noise_is_the_conjugate_posterior() -> None:
    """With severity and spread known, the noise variance is inverse gamma (SciPy)."""
    freedom, noise = 8.0, 1.0
    found = calibrate(
        MARKS, ALL, known(SCORES, se=1e-9), Prior(1.0, 1e-6, 1.0, 1e-6, noise, freedom)
    )
    squares = float(np.square(MARKS - SCORES + 1.0).sum())
    posterior = stats.invgamma((freedom + 6) / 2, scale=(freedom * noise**2 + squares) / 2)
    ends = np.sqrt(posterior.ppf([0.025, 0.975]))
    assert tuple(ends) == pytest.approx((found.noise.low, found.noise.high), rel=0.02)
    mean = posterior.expect(np.sqrt)
    assert mean == pytest.approx(found.noise.value, rel=1e-3)


def _summed(mark: Floats, wine: Ints, here: Known, prior: Prior) -> tuple[float, ...]:
    """Severity, spread, noise and repeatability by a sum over all of them, mark by mark."""
    levels = np.linspace(-4.0, 4.0, 81)
    spreads = np.linspace(-0.5, 2.5, 31)
    noises = np.geomspace(0.3, 4.5, 25)
    shares = (np.arange(6) + 0.5) / 6
    same = (wine[:, None] == wine).astype(float)
    reference = (here.covariance + here.bottle_sd**2 * np.eye(here.score.size))[wine][:, wine]
    log_level = np.logaddexp(
        stats.norm.logpdf(levels, 0.0, prior.severity_sd) + np.log(1 - calibration.UNLIKE),
        stats.norm.logpdf(levels, 0.0, calibration.UNLIKE_SEVERITY * prior.severity_sd)
        + np.log(calibration.UNLIKE),
    )
    heights = np.empty((6, 31, 25, 81))
    for p, share in enumerate(shares):
        for q, spread in enumerate(spreads):
            mean = here.centre + spread * (here.score[wine] - here.centre)
            for r, noise in enumerate(noises):
                own = noise**2 * (share * np.eye(mark.size) + (1 - share) * same)
                normal = stats.multivariate_normal(cov=spread**2 * reference + own)
                heights[p, q, r] = normal.logpdf((mark - mean) + levels[:, None])
    v = noises**2
    parts = [
        np.log(chance) + stats.invgamma(nu / 2, scale=nu * prior.noise**2 / 2).logpdf(v) + np.log(v)
        for chance, nu in (
            (1 - calibration.UNLIKE, prior.freedom),
            (calibration.UNLIKE, calibration.UNLIKE_FREEDOM),
        )
    ]
    heights += np.logaddexp(*parts)[:, None] + log_level
    log_spread = stats.t(calibration.TAILS, prior.spread, prior.spread_sd).logpdf(spreads)
    weight = np.exp(heights + log_spread[:, None, None] - heights.max())
    weight /= weight.sum()
    own_sd = np.sqrt(shares)[:, None] * noises
    return (
        float(weight.sum(axis=(0, 1, 2)) @ levels),
        float(weight.sum(axis=(0, 2, 3)) @ spreads),
        float(weight.sum(axis=(0, 1, 3)) @ noises),
        float((weight.sum(axis=(1, 3)) * own_sd).sum()),
    )


def test_what_was_eliminated_can_as_well_be_summed() -> None:
    """Mark by mark, with SciPy's multivariate normal over a grid of every unknown."""
    here = Known(np.array([12.0, 14.0, 17.0]), 0.05 + 0.05 * np.eye(3), 14.2, 1.0, 0.4)
    wine = np.array([0, 1, 1, 2])
    mark = np.array([11.0, 14.0, 12.5, 15.0])
    prior = panel_prior(0.8, 0.3, 1.0, 12.0)
    found = calibrate(mark, wine, here, prior)
    assert found.repeatability is not None
    assert _summed(mark, wine, here, prior) == pytest.approx(
        (
            found.severity.value,
            found.spread.value,
            found.noise.value,
            found.repeatability.value,
        ),
        abs=0.01,
    )


def test_the_plain_correlation_has_fishers_interval() -> None:
    """SciPy's pearsonr and its confidence interval."""
    found = calibrate(MARKS, ALL, known(SCORES), panel_prior(0.9, 0.25, 1.1))
    scipy = stats.pearsonr(SCORES, MARKS)
    ends = scipy.confidence_interval()
    assert found.plain_r is not None
    assert (scipy.statistic, *ends) == pytest.approx(
        (found.plain_r.value, found.plain_r.low, found.plain_r.high)
    )


def test_three_wines_brand_nobody() -> None:
    """Three low marks move the estimate part of the way, and the interval stays wide."""
    low = np.array([10.5, 11.0, 13.0])
    three = calibrate(low, np.arange(3), known(SCORES[:3]), panel_prior(0.9, 0.25, 1.1))
    plain = float(np.mean(np.array(SCORES[:3]) - low))
    assert 0.2 * plain < three.severity.value < 0.9 * plain
    assert three.severity.high - three.severity.low > 2.0


def test_one_wine_says_only_a_little_of_the_level() -> None:
    """From one wine spread, noise and agreement are left as the panel's and are not told."""
    found = calibrate(np.array([12.0]), np.array([3]), known(SCORES), panel_prior(0.9, 0.25, 1.1))
    assert (1, 1, False, None, None) == (
        found.wines, found.marks, found.told, found.repeatability, found.plain_r,
    )  # fmt: skip
    assert found.spread.value == pytest.approx(1.0, abs=0.1)


def test_the_same_mark_for_everything_is_not_taken_for_steadiness() -> None:
    """A learner who always gives one mark is told nothing of spread, noise or agreement."""
    found = calibrate(np.full(6, 14.0), ALL, known(SCORES), panel_prior(0.9, 0.25, 1.1))
    assert (True, False, None) == (found.same_mark, found.told, found.plain_r)


def test_a_mark_that_is_no_number_is_refused() -> None:
    """Neither no marks nor an infinite one can be calibrated."""
    for bad in (np.array([]), np.array([np.inf])):
        with pytest.raises(ValueError, match='finite'):
            calibrate(bad, np.zeros(bad.size, dtype=np.int64), known(SCORES), panel_prior(1, 1, 1))


def test_marks_without_error_at_all_are_borne() -> None:
    """Marks equal to the reference give a spread near 1 and finite figures throughout."""
    found = calibrate(np.array(SCORES), ALL, known(SCORES), panel_prior(0.9, 0.25, 1.1))
    figures = [found.severity, found.spread, found.noise, found.agreement]
    assert all(np.isfinite([one.value, one.se, one.low, one.high]).all() for one in figures)
    assert found.spread.holds(1.0)
    assert found.severity.holds(0.0)


@settings(deadline=None, max_examples=40)
@given(
    some.lists(some.tuples(some.integers(0, 5), some.integers(0, 40)), min_size=1, max_size=30),
    some.floats(0.0, 3.0),
    some.sampled_from([0.05, 0.3, 5.0]),
)
def test_any_marks_give_finite_figures_in_their_intervals(
    marked: list[tuple[int, int]], se: float, sd: float
) -> None:
    """Whatever is marked, every figure is finite, within its interval, and possible."""
    wine = np.array([place for place, _ in marked])
    mark = np.array([half / 2 for _, half in marked])
    found = calibrate(mark, wine, known(SCORES, se=se), panel_prior(sd, sd / 4, sd))
    for one in (found.severity, found.spread, found.noise, found.agreement):
        assert np.isfinite([one.value, one.se]).all()
        assert one.low < one.value < one.high
    assert found.noise.low > 0.0
    assert -1.0 <= found.agreement.low <= found.agreement.high <= 1.0
    assert (found.repeatability is None) == (found.second_pours == 0)


def test_many_marks_leave_little_of_the_prior() -> None:
    """Four hundred wines: within three standard errors of the truth, which are small (by hand)."""
    rng = np.random.default_rng(2)
    scores = rng.normal(14.0, 2.0, 400)
    mark = 14.0 - 1.5 + 0.6 * (scores - 14.0) + rng.normal(0.0, 1.0, 400)
    here = Known(scores, 1e-6 * np.eye(400), 14.0, 2.0, 0.0)
    found = calibrate(mark, np.arange(400), here, panel_prior(0.9, 0.25, 1.1))
    # Errors of a regression: 1/√400, 1/(2√400), 1/√800.
    for one, truth, se in (
        (found.severity, 1.5, 0.05),
        (found.spread, 0.6, 0.025),
        (found.noise, 1.0, 0.0354),
    ):
        assert se == pytest.approx(one.se, rel=0.1)
        assert abs(one.value - truth) < 3 * se
