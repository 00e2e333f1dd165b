"""The REML criterion and its gradient, against matrices as large as the marks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import approx_fprime
from tests.estimate.dense import dense
from tests.estimate.tastings import tasting, tastings

from halfpoint.errors import EstimateError
from halfpoint.estimate.criterion import criterion
from halfpoint.estimate.crossed import CrossedLayout
from halfpoint.estimate.nested import NestedLayout
from halfpoint.estimate.weigh import Weighing, prepare

RATIOS = st.sampled_from([0.0, 1e-9, 0.01, 0.5, 2.0, 40.0])
MODELS = st.sampled_from(
    [('taster',), ('site',), ('bottle',), ('taster', 'site'), ('taster', 'site', 'bottle'), ()]
)


def prepared(frame, effects, form, covariates=()) -> Weighing | None:
    """The weighing, or None where so few marks are left that effects coincide."""
    try:
        return prepare(frame, ['total'], effects=effects, form=form, covariates=covariates)
    except EstimateError:
        return None


def crossed(weighing: Weighing, form: str) -> CrossedLayout:
    """The layout for crossing effects, also where the nested one would do."""
    design = weighing.design
    return CrossedLayout(
        design, design.responses[:, 0], design.effects, random_wines=form == 'random'
    )


def assert_like_dense(layout, brute, ratios) -> None:
    """Value, gradient, σ² and estimates are those of the brute-force computation."""
    at = criterion(layout.evaluate(ratios), layout.marks)
    assert brute.criterion(ratios) == pytest.approx(at.value(), rel=1e-9, abs=1e-8)
    assert brute.variance(ratios) == pytest.approx(at.variance, rel=1e-8)
    assert brute.criterion(ratios, 0.7) == pytest.approx(at.value_at(0.7), rel=1e-9, abs=1e-8)
    expected = brute.gradient(ratios)
    assert expected == pytest.approx(
        at.gradient(), rel=1e-6, abs=1e-6 * (1 + np.abs(at.pull).max(initial=0))
    )
    beta, *_ = brute.henderson(ratios)
    assert beta[: at.coefficients.size] == pytest.approx(
        at.coefficients + centre_of(brute, at), rel=1e-7, abs=1e-7
    )


def centre_of(brute, at):
    """Halfpoint centres the marks; wines and intercept carry the centre, covariates do not."""
    covariates = np.abs(brute.X.sum(axis=0)) < 1e-9
    return np.where(covariates, 0.0, brute.y.mean())


@settings(max_examples=40, deadline=None)
@given(
    frame=tastings,
    effects=MODELS,
    form=st.sampled_from(['fixed', 'random']),
    covariates=st.sampled_from([(), ('position',)]),
    ratios=st.tuples(RATIOS, RATIOS, RATIOS, RATIOS),
)
def test_both_layouts_equal_brute_force(frame, effects, form, covariates, ratios) -> None:
    """Nested and crossed layouts give the criterion and gradient of the full matrices."""
    weighing = prepared(frame, effects, form, covariates)
    brute = dense(frame, effects, wines=form, covariates=covariates)
    if weighing is None or np.linalg.matrix_rank(brute.X) < brute.X.shape[1]:
        return
    if frame.height <= brute.X.shape[1]:
        return
    chosen = np.array(ratios[: len(effects) + (form == 'random')])
    nested = weighing.layout('total', form)
    assert isinstance(nested, NestedLayout)
    assert_like_dense(nested, brute, chosen)
    assert_like_dense(crossed(weighing, form), brute, chosen)


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 1000),
    form=st.sampled_from(['fixed', 'random']),
    effects=st.sampled_from(
        [('taster', 'site'), ('taster', 'site', 'bottle'), ('taster:wine', 'taster', 'position')]
    ),
    ratios=st.tuples(RATIOS, RATIOS, RATIOS, RATIOS),
)
def test_tasters_across_sites_equal_brute_force(seed, form, effects, ratios) -> None:
    """When tasters go from site to site the crossed layout is taken, and is right."""
    frame = tasting(crossing=True, missing=0.2, pours=2, seed=seed)
    weighing = prepare(frame, ['total'], effects=effects, form=form)
    layout = weighing.layout('total', form)
    assert isinstance(layout, CrossedLayout)
    chosen = np.array(ratios[: len(effects) + (form == 'random')])
    assert_like_dense(layout, dense(frame, effects, wines=form), chosen)


@pytest.mark.parametrize('form', ['fixed', 'random'])
@pytest.mark.parametrize('crossing', [False, True])
def test_gradient_is_the_slope_of_the_criterion(form, crossing) -> None:
    """The analytic gradient agrees with finite differences of the criterion itself."""
    frame = tasting(crossing=crossing, missing=0.2, seed=5)
    weighing = prepare(frame, ['total'], form=form)
    layout = weighing.layout('total', form)
    ratios = np.array([0.8, 0.3, 0.2, 0.5])[: len(layout.effects)]

    def value(at):
        return criterion(layout.evaluate(at), layout.marks).value()

    numeric = approx_fprime(ratios, value, 1e-6)
    assert numeric == pytest.approx(
        criterion(layout.evaluate(ratios), layout.marks).gradient(), rel=1e-4, abs=1e-4
    )


def test_gradient_with_the_residual_held() -> None:
    """With σ² free as well, its slope and those of the ratios agree with finite differences."""
    layout = prepare(tasting(missing=0.2, seed=6), ['total']).layout('total', 'fixed')
    point = np.array([0.8, 0.3, 0.2, 0.6])

    def value(at):
        return criterion(layout.evaluate(at[:-1]), layout.marks).value_at(at[-1])

    exact = criterion(layout.evaluate(point[:-1]), layout.marks).gradient_at(point[-1])
    assert approx_fprime(point, value, 1e-6) == pytest.approx(exact, rel=1e-4, abs=1e-4)


def test_a_ratio_of_zero_is_the_limit_of_small_ones() -> None:
    """The criterion and its gradient run smoothly into a variance of zero."""
    layout = prepare(tasting(seed=7), ['total']).layout('total', 'fixed')
    at_zero = criterion(layout.evaluate(np.zeros(3)), layout.marks)
    for small in (1e-6, 1e-8, 1e-10):
        near = criterion(layout.evaluate(np.full(3, small)), layout.marks)
        assert at_zero.value() == pytest.approx(near.value(), abs=1e3 * small + 1e-9)
        assert at_zero.gradient() == pytest.approx(near.gradient(), rel=1e3 * small + 1e-6)
