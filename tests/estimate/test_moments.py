"""Moments: the sums that stand for the marks, and that two halves add."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.estimate.tastings import ordinary, tasting

from halfpoint.errors import EstimateError
from halfpoint.estimate.add_moments import add_moments
from halfpoint.estimate.design import make_design
from halfpoint.estimate.fit import fit_reml
from halfpoint.estimate.moments import Moments, make_moments
from halfpoint.estimate.nested import NestedLayout
from halfpoint.estimate.weigh import fit_mark

EFFECTS = ('taster', 'site', 'bottle')


def moments_of(frame: pl.DataFrame, columns=('total',), covariates=('position',)) -> Moments:
    return make_moments(make_design(frame, columns, effects=[], covariates=covariates))[0]


def fitted(moments: Moments):
    return fit_reml(NestedLayout(moments, EFFECTS, random_wines=False))


@pytest.mark.parametrize(
    'own_wines', [pytest.param(False, id='same wines'), pytest.param(True, id='some wines apart')]
)
@pytest.mark.parametrize('by', ['site', 'taster'])
def test_two_halves_added_are_the_whole(by, own_wines) -> None:
    """Split by site, or by taster so that sites are shared: the same fit as all at once."""
    frame = tasting(sites=4, tasters=6, wines=5, pours=2, missing=0.3, seed=1)
    frame = frame.with_columns(other=pl.col('total') * pl.col('position'))
    levels = frame[by].unique().sort().to_list()
    first = pl.col(by).is_in(levels[: len(levels) // 2])
    if own_wines:
        frame = frame.filter(
            ~(first & (pl.col('wine') == 'w04')) & (first | (pl.col('wine') != 'w00'))
        )
    halves = [moments_of(frame.filter(part), ('total', 'other')) for part in (first, ~first)]
    added, whole = add_moments(*halves), moments_of(frame, ('total', 'other'))
    assert (whole.wines, whole.names, whole.marks) == (added.wines, added.names, added.marks)
    assert whole.centres == pytest.approx(added.centres)
    assert whole.covariate_centres == pytest.approx(added.covariate_centres)
    for name in whole.names:
        expected, found = fitted(whole.select(name)), fitted(added.select(name))
        assert expected.value == pytest.approx(found.value, rel=1e-9)
        assert expected.variances() == pytest.approx(found.variances(), rel=1e-4, abs=1e-7)
        assert expected.at.coefficients == pytest.approx(found.at.coefficients, abs=1e-7)


def test_adding_is_the_same_in_any_order() -> None:
    """Three parts in two orders give one answer."""
    frame = tasting(sites=3, tasters=5, missing=0.2, seed=2)
    a, b, c = (moments_of(frame.filter(site=site)) for site in ('s00', 's01', 's02'))
    one, other = add_moments(add_moments(a, b), c), add_moments(c, add_moments(b, a))
    assert fitted(one).value == pytest.approx(fitted(other).value, rel=1e-10)


def test_different_marks_do_not_add() -> None:
    """Halves of different marks or covariates are refused, saying which."""
    frame = tasting(seed=3)
    with pytest.raises(EstimateError, match='total, position cannot be added to moments of total'):
        add_moments(moments_of(frame), moments_of(frame, covariates=()))


def test_moments_by_hand() -> None:
    """Two tasters at one site, one with two marks and one with one."""
    frame = pl.DataFrame(
        {'taster': ['a', 'a', 'b'], 'wine': ['x', 'y', 'x'], 'total': [3.0, 5.0, 4.0]}
    )
    (block,) = moments_of(frame, covariates=()).blocks
    assert [[2, 0, -1], [0, 1, 1], [-1, 1, 2]] == block.products[0].tolist()
    assert ([1.0, 2.0], [[1.0, 1.0]]) == (block.counts.tolist(), block.tasters.tolist())
    assert [[1, 0, 0], [0, 0, 0], [0, 0, 0]] == block.sums[0, 0].tolist()
    assert [[1, 1, 0], [1, 1, 0], [0, 0, 0]] == block.sums[0, 1].tolist()


@settings(max_examples=25, deadline=None)
@given(frame=ordinary, drop=st.integers(0, 3))
def test_sums_are_those_of_the_marks(frame, drop) -> None:
    """One-taster sites, sites with their own wines, tasters with few marks or second pours."""
    frame = frame.filter(
        ~((pl.col('site') == 's00') & (pl.col('wine') == f'w{drop:02d}'))
        & ~((pl.col('site') == 's01') & (pl.col('taster') != frame.filter(site='s01')['taster'][0]))
        if frame['site'].n_unique() > 1 and frame.filter(site='s01').height
        else pl.lit(True)
    )
    design = make_design(frame, ['total'], effects=[], covariates=['position'])
    moments, _ = make_moments(design)
    seen = 0
    for block in moments.blocks:
        for row, label in enumerate(block.sites):
            mine = frame.select(pl.col('site') == label).to_series().to_numpy()
            wines = [moments.wines[code] for code in block.cells[row]]
            columns = np.column_stack(
                [
                    *(frame['wine'].to_numpy() == wine for wine in wines),
                    design.covariates[0].values,
                    design.responses[:, 0],
                ]
            )[mine].astype(float)
            assert columns.T @ columns == pytest.approx(block.products[row], abs=1e-9)
            tasters = frame['taster'].to_numpy()[mine]
            for k, count in enumerate(block.counts.tolist()):
                rows = [
                    columns[tasters == one].sum(axis=0)
                    for one in np.unique(tasters)
                    if (tasters == one).sum() == count
                ]
                assert len(rows) == block.tasters[row, k]
                expected = sum((np.outer(r, r) for r in rows), np.zeros(block.sums.shape[2:]))
                assert expected == pytest.approx(block.sums[row, k], abs=1e-9)
            seen += int(mine.sum())
    assert frame.height == seen == moments.marks


def test_sites_do_not_matter_without_their_effects() -> None:
    """With tasters alone in the model, sites make no difference, crossed or not."""
    frame = tasting(crossing=True, seed=5)
    with_sites = fit_mark(frame, effects=['taster'])
    without = fit_mark(frame.drop('site'), effects=['taster'])
    assert without.reml.value == pytest.approx(with_sites.reml.value, rel=1e-10)
    assert replace(with_sites.weighing.design, site=None).site is without.weighing.design.site
