"""Severity of tasters and effects of bottles, against Henderson's mixed-model equations."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.estimate.dense import dense
from tests.estimate.tastings import ordinary, tasting

from halfpoint.errors import EstimateError
from halfpoint.estimate.weigh import Fit, fit_mark


def assert_like_henderson(frame, fit: Fit) -> None:
    """Severity, bottle effects and their standard errors solve the equations."""
    names = tuple(name for name in fit.reml.layout.effects if name != 'wine')
    covariates = tuple(c.name for c in fit.weighing.design.covariates)
    brute = dense(frame, names, wines=fit.form, covariates=covariates)
    _, effects, covariance, places = brute.henderson(fit.reml.ratios)
    found = fit.predictions
    if found.severity is not None:
        expected = effects[names.index('taster')]
        assert expected == pytest.approx(found.severity, abs=1e-6)
    if found.bottles is None:
        return
    at = names.index('bottle')
    cells = sorted(set(frame.select('site', 'wine').rows()))
    design = fit.weighing.design
    own = [
        (design.site.labels[s], design.wine.labels[w])
        for s, w in zip(found.bottles.site.tolist(), found.bottles.wine.tolist(), strict=True)
    ]
    assert sorted(own) == cells
    order = [cells.index(cell) for cell in own]
    assert effects[at][order] == pytest.approx(found.bottles.effect, abs=1e-6)
    if places[at] is None:
        assert np.zeros(len(own)) == pytest.approx(found.bottles.se)
    else:
        spread = np.sqrt(np.diagonal(covariance)[places[at]] * fit.reml.residual)
        assert spread[order] == pytest.approx(found.bottles.se, rel=1e-5, abs=1e-7)


@settings(max_examples=15, deadline=None)
@given(frame=ordinary, covariates=st.sampled_from([(), ('position',)]))
def test_tasters_within_sites(frame, covariates) -> None:
    """The nested layout's predictions, with gaps, repeats and variances of zero."""
    try:
        fit = fit_mark(frame, covariates=covariates)
    except EstimateError:
        return
    assert_like_henderson(frame, fit)


@pytest.mark.parametrize('seed', range(4))
@pytest.mark.parametrize('form', ['fixed', 'random'])
def test_tasters_across_sites(seed, form) -> None:
    """The crossed layout's predictions, wines fixed and random."""
    frame = tasting(crossing=True, missing=0.2, pours=2, sd=(1, 0.5, 0.8, 0.5), seed=seed)
    assert_like_henderson(frame, fit_mark(frame, wines=form))


def test_bottles_outnumber_tasters() -> None:
    """When bottles have the most levels they are the effect eliminated, with the same answer."""
    frame = tasting(sites=5, tasters=2, wines=6, pours=2, crossing=True, sd=(1, 0.5, 0.8, 0.5))
    assert_like_henderson(frame, fit_mark(frame))


@pytest.mark.parametrize('seed', range(3))
def test_bottles_of_random_wines(seed) -> None:
    """The nested layout's predictions with wines random."""
    frame = tasting(missing=0.2, sd=(1, 0.5, 0.8, 0.5), seed=seed)
    assert_like_henderson(frame, fit_mark(frame, wines='random'))


def test_severity_is_below_the_others() -> None:
    """A taster two points below the rest is predicted below zero, shrunken."""
    frame = tasting(sd=(0.3, 0.2, 0.2, 0.5), seed=1)
    harsh = frame.with_columns(
        total=pl.col('total') - pl.when(pl.col('taster') == 't003').then(2.0).otherwise(0.0)
    )
    severity = fit_mark(harsh).predictions.severity
    assert 3 == int(np.argmin(severity))
    assert -2.5 < severity[3] < -1.0
