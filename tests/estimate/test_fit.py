"""The REML optimum, against brute force and statsmodels' MixedLM."""

from __future__ import annotations

import warnings

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.estimate.dense import dense
from tests.estimate.tastings import ordinary, tasting

from halfpoint.errors import EstimateError
from halfpoint.estimate.weigh import fit_mark, fit_one, prepare


def statsmodels_fit(frame: pl.DataFrame, group: str, components: dict[str, str]):
    """MixedLM with REML: a random intercept for `group`, further components within it."""
    with warnings.catch_warnings():
        warnings.simplefilter('ignore')
        import pandas as pd
        from statsmodels.regression.mixed_linear_model import MixedLM

        model = MixedLM.from_formula(
            'total ~ 0 + C(wine)',
            groups=group,
            re_formula='1',
            vc_formula=components or None,
            data=pd.DataFrame(frame.to_dict(as_series=False)),
        )
        return model.fit(reml=True, method=['bfgs'], gtol=1e-8, maxiter=500)


def test_one_random_effect_as_statsmodels() -> None:
    """Tasters random: variances, scores and standard errors are MixedLM's."""
    frame = tasting(sites=1, tasters=20, wines=5, missing=0.25, seed=3)
    ours = fit_mark(frame.drop('site'))
    theirs = statsmodels_fit(frame, 'taster', {})
    assert theirs.scale == pytest.approx(ours.reml.residual, rel=1e-4)
    assert float(np.ravel(theirs.cov_re)[0]) == pytest.approx(
        ours.reml.variances()['taster'], rel=1e-4
    )
    assert np.asarray(theirs.fe_params) == pytest.approx(ours.estimates, rel=1e-6)
    assert np.asarray(theirs.bse_fe) == pytest.approx(ours.scores.each()[0], rel=1e-4)
    assert -2 * theirs.llf == pytest.approx(ours.reml.value, rel=1e-7)


def test_two_random_effects_as_statsmodels() -> None:
    """Tasters within sites, in MixedLM's form of variance components."""
    frame = tasting(sites=12, tasters=5, wines=4, missing=0.2, sd=(1.0, 0.9, 0.0, 0.7), seed=4)
    ours = fit_mark(frame, effects=['taster', 'site'])
    theirs = statsmodels_fit(frame, 'site', {'taster': '0 + C(taster)'})
    variances = ours.reml.variances()
    assert -2 * theirs.llf == pytest.approx(ours.reml.value, rel=1e-7)
    assert theirs.scale == pytest.approx(variances['residual'], rel=1e-3)
    assert float(theirs.vcomp[0]) == pytest.approx(variances['taster'], rel=1e-3)
    assert float(np.ravel(theirs.cov_re)[0]) == pytest.approx(variances['site'], rel=1e-3)
    assert np.asarray(theirs.fe_params) == pytest.approx(ours.estimates, rel=1e-5)


@settings(max_examples=15, deadline=None)
@given(frame=ordinary, form=st.sampled_from(['fixed', 'random']))
def test_no_better_optimum_by_brute_force(frame, form) -> None:
    """From several starts a general optimiser finds no lower criterion in ordinary tastings."""
    try:
        ours = fit_mark(frame, wines=form)
    except EstimateError:
        return
    names = tuple(name for name in ours.reml.layout.effects if name != 'wine')
    brute = dense(frame, names, wines=form)
    assert brute.criterion(ours.reml.ratios) == pytest.approx(ours.reml.value, abs=1e-6)
    assert ours.reml.value <= brute.fit()[1] + 1e-5


@settings(max_examples=15, deadline=None)
@given(frame=ordinary)
def test_the_optimum_is_one(frame) -> None:
    """The gradient vanishes for variances above zero and does not fall at those of zero."""
    try:
        fit = fit_mark(frame)
    except EstimateError:
        return
    slope = fit.reml.at.gradient()
    scaled = slope * fit.reml.ratios
    assert np.zeros(slope.size) == pytest.approx(scaled, abs=1e-3)
    assert (slope[fit.reml.ratios == 0.0] >= -1e-6).all()
    assert (np.linalg.eigvalsh(fit.reml.curvature) > 0.0).all()


def test_no_effect_at_all_is_ordinary_least_squares() -> None:
    """Without random effects: plain means, pooled variance, n − p degrees of freedom."""
    frame = tasting(seed=8)
    fit = fit_mark(frame, effects=[])
    groups = [g['total'].to_numpy() for _, g in sorted(frame.group_by('wine'), key=lambda g: g[0])]
    pooled = sum(((g - g.mean()) ** 2).sum() for g in groups) / (frame.height - len(groups))
    assert [g.mean() for g in groups] == pytest.approx(fit.estimates)
    assert pooled == pytest.approx(fit.reml.residual)
    assert frame.height - len(groups) == pytest.approx(fit.scores.each()[1][0])


@pytest.mark.parametrize('room', [0.0, 0.5])
@pytest.mark.parametrize('crossing', [False, True])
@pytest.mark.parametrize('less', [1, 40, 500])
def test_beginning_at_another_fit_ends_at_the_same_optimum(room, crossing, less) -> None:
    """Begun where fewer marks led to: the same figures to rounding, from fewer evaluations."""
    sd = (1.0, room, 0.4, 0.7)
    frame = tasting(sites=12, tasters=12, wines=6, crossing=crossing, sd=sd, seed=6)
    last = fit_mark(frame.head(frame.height - less)).reml
    weighing = prepare(frame, ['total'])
    cold, carried = fit_one(weighing, 'total'), fit_one(weighing, 'total', last)
    assert cold.reml.ratios == pytest.approx(carried.reml.ratios, rel=1e-6, abs=1e-12)
    assert (cold.reml.active == carried.reml.active).all()
    assert cold.estimates == pytest.approx(carried.estimates, rel=1e-10)
    (se, df), (other_se, other_df) = cold.scores.each(), carried.scores.each()
    assert se == pytest.approx(other_se, rel=1e-7)
    # Curvature is taken up to a ten-thousandth of a standard error away from the optimum.
    assert df == pytest.approx(other_df, rel=3e-4)
    if less == 1:
        assert carried.reml.evaluations < 0.7 * cold.reml.evaluations


def test_a_fit_of_other_marks_is_no_harm() -> None:
    """A last fit that has nothing to do with these marks leads to the same optimum."""
    frame = tasting(sites=12, tasters=12, wines=6, seed=6)
    strange = fit_mark(tasting(sites=12, tasters=12, wines=6, sd=(0.1, 3.0, 0.0, 2.0), seed=7))
    weighing = prepare(frame, ['total'])
    cold, carried = fit_one(weighing, 'total'), fit_one(weighing, 'total', strange.reml)
    assert cold.reml.ratios == pytest.approx(carried.reml.ratios, rel=1e-6)
