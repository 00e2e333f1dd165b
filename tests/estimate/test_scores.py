"""Scores, their uncertainty and degrees of freedom, where theory gives them exactly."""

from __future__ import annotations

import warnings

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from scipy.stats import f_oneway, ttest_rel
from tests.estimate.dense import dense
from tests.estimate.tastings import ordinary, tasting

from halfpoint.errors import EstimateError
from halfpoint.estimate.scores import all_alike, satterthwaite
from halfpoint.estimate.weigh import fit_mark, weigh_mark


def blocks(tasters: int = 9, wines: int = 5, seed: int = 1):
    """Every taster marks every wine once: complete blocks, with real severity."""
    frame = tasting(sites=1, tasters=tasters, wines=wines, sd=(1.5, 0, 0, 0.8), gap=0.2, seed=seed)
    return frame.drop('site')


def test_two_wines_are_the_paired_t_test() -> None:
    """Two wines by n tasters: the paired t test, n − 1 degrees of freedom (ttest_rel)."""
    frame = blocks(tasters=11, wines=2).sort('taster', 'wine')
    first, second = (frame.filter(wine=w)['total'].to_numpy() for w in ('w00', 'w01'))
    expected = ttest_rel(first, second)
    pair = weigh_mark(frame).pairs[0]
    assert float(np.mean(first - second)) == pytest.approx(pair.difference)
    assert expected.df == pytest.approx(pair.df, rel=1e-4)
    assert expected.pvalue == pytest.approx(pair.p, rel=1e-4)
    interval = expected.confidence_interval(0.95)
    assert (interval.low, interval.high) == pytest.approx((pair.low, pair.high), rel=1e-4)


def test_complete_blocks_have_the_degrees_of_freedom_of_theory() -> None:
    """Differences have (n − 1)(p − 1) degrees of freedom and variance 2σ²/n."""
    fit = fit_mark(blocks(tasters=9, wines=5))
    first, second = np.triu_indices(5, 1)
    se, df = fit.scores.pairs(first, second)
    assert np.full(10, 8 * 4) == pytest.approx(df, rel=1e-4)
    assert np.full(10, np.sqrt(2 * fit.reml.residual / 9)) == pytest.approx(se)


def test_the_f_test_is_the_analysis_of_variance() -> None:
    """In complete blocks F, its degrees of freedom and p are those of statsmodels' anova_lm."""
    frame = blocks(tasters=9, wines=5)
    with warnings.catch_warnings():
        warnings.simplefilter('ignore')
        import pandas as pd
        from statsmodels.formula.api import ols
        from statsmodels.stats.anova import anova_lm

        data = pd.DataFrame(frame.to_dict(as_series=False))
        table = anova_lm(ols('total ~ C(taster) + C(wine)', data=data).fit())
    test = all_alike(fit_mark(frame).scores)
    assert table.loc['C(wine)', 'F'] == pytest.approx(test.f, rel=1e-7)
    assert (table.loc['C(wine)', 'df'], table.loc['Residual', 'df']) == pytest.approx(
        (test.num_df, test.den_df), rel=1e-4
    )
    assert table.loc['C(wine)', 'PR(>F)'] == pytest.approx(test.p, rel=1e-3)


def test_without_random_effects_the_f_test_is_one_way() -> None:
    """No random effects: scipy's f_oneway."""
    frame = blocks()
    groups = [part['total'].to_numpy() for _, part in frame.group_by('wine')]
    expected = f_oneway(*groups)
    test = all_alike(fit_mark(frame, effects=[]).scores)
    assert (expected.statistic, expected.pvalue) == pytest.approx((test.f, test.p))


def test_sites_with_their_own_bottles_are_the_units() -> None:
    """Balanced sites with bottles leave differences (S − 1)(p − 1) degrees of freedom."""
    # Site by wine means are then the data: Searle, Casella and McCulloch (1992), section 4.4.
    frame = tasting(sites=6, tasters=5, wines=4, sd=(0.5, 2.0, 1.0, 0.5), seed=2)
    fit = fit_mark(frame)
    means = (
        frame.group_by('site', 'wine')
        .agg(pl.col('total').mean())
        .sort('site', 'wine')['total']
        .to_numpy()
    )
    table = means.reshape(6, 4)
    left = table - table.mean(0) - table.mean(1)[:, None] + table.mean()
    variance = 2 / 6 * (left**2).sum() / 15
    se, df = fit.scores.pairs(*np.triu_indices(4, 1))
    assert np.full(6, np.sqrt(variance)) == pytest.approx(se, rel=1e-5)
    assert np.full(6, 15.0) == pytest.approx(df, rel=1e-3)


@settings(max_examples=15, deadline=None)
@given(frame=ordinary)
def test_fixed_scores_by_henderson(frame) -> None:
    """Scores and their covariance solve Henderson's mixed-model equations."""
    try:
        fit = fit_mark(frame)
    except EstimateError:
        return
    brute = dense(frame, fit.reml.layout.effects)
    beta, _, covariance, _ = brute.henderson(fit.reml.ratios)
    wines = fit.scores.wines
    assert beta == pytest.approx(fit.estimates, rel=1e-6)
    expected = covariance[:wines, :wines] * fit.reml.residual
    assert expected == pytest.approx(fit.scores.covariance, rel=1e-5, abs=1e-7 * expected.max())


@settings(max_examples=15, deadline=None)
@given(frame=ordinary)
def test_random_scores_by_henderson(frame) -> None:
    """Random wines: μ + b with the covariance of prediction minus truth."""
    try:
        fit = fit_mark(frame, wines='random')
    except EstimateError:
        return
    names = fit.reml.layout.effects[:-1]
    if fit.reml.ratios[-1] < 1e-6:
        return
    beta, effects, covariance, places = dense(frame, names, wines='random').henderson(
        fit.reml.ratios
    )
    assert beta[0] + effects[-1] == pytest.approx(fit.estimates, rel=1e-6)
    wines = fit.scores.wines
    load = np.zeros((wines, covariance.shape[0]))
    load[:, 0] = 1.0
    load[:, places[-1]] = np.eye(wines)
    expected = load @ covariance @ load.T * fit.reml.residual
    assert expected == pytest.approx(fit.scores.covariance, rel=1e-5, abs=1e-7 * expected.max())


def test_shrunken_scores_are_the_random_ones() -> None:
    """The shrunken score of a fixed fit is the score with wines random."""
    frame = tasting(missing=0.2, seed=5)
    fixed, chance = fit_mark(frame), fit_mark(frame, wines='random')
    assert chance.estimates == pytest.approx(fixed.shrunken, abs=1e-4)


def test_shrunken_scores_are_nearer_to_each_other() -> None:
    """Shrinkage draws scores together and keeps balanced ones in order."""
    fit = fit_mark(tasting(seed=5))
    assert np.ptp(fit.shrunken) < np.ptp(fit.estimates)
    assert np.argsort(fit.estimates).tolist() == np.argsort(fit.shrunken).tolist()


def test_degrees_of_freedom_by_hand() -> None:
    """2f²/(∇fᵀV∇f) for one parameter; infinite for no slope; never below one."""
    found = satterthwaite(np.array([2.0, 3.0, 1.0]), np.array([[1.0, 0.0, 9.0]]), np.array([[0.5]]))
    assert [16.0, np.inf, 1.0] == pytest.approx(found.tolist())


def test_contrasts_of_wines_and_covariates() -> None:
    """A difference as a contrast is the pair's; a mean of wines carries the centre."""
    frame = tasting(seed=9, missing=0.1)
    fit = fit_mark(frame, covariates=['position'])
    pair = fit.contrast(np.array([1.0, -1.0, 0.0, 0.0]))
    se, df = fit.scores.pairs(np.array([0]), np.array([1]))
    assert (se[0], df[0]) == pytest.approx((pair.se, pair.df))
    assert fit.estimates[0] - fit.estimates[1] == pytest.approx(pair.estimate)
    assert fit.estimates.mean() == pytest.approx(fit.contrast(np.full(4, 0.25)).estimate)
