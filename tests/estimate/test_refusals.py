"""What cannot be weighed is refused in words, and whatever is weighed is finite."""

from __future__ import annotations

import math

import numpy as np
import polars as pl
import pytest
from tests.estimate.tastings import tasting
from tests.estimate.test_result import numbers, result

from halfpoint.errors import EstimateError, NoVariation, TooFewMarks
from halfpoint.estimate.result import refuse_lone_taster

FRAME = tasting(seed=21)
TOTAL = pl.col('total')
NUMBER = {name: pl.col(name).str.slice(1).cast(pl.Float64) for name in ('taster', 'site', 'wine')}
FIRST = pl.col('position') == 1.0
ONE = ((pl.col('taster') == 't001') & (pl.col('wine') == 'w02')).cast(pl.Float64)


def gap(column: str, value=None) -> pl.DataFrame:
    return FRAME.with_columns(
        pl.when(FIRST).then(pl.lit(value)).otherwise(pl.col(column)).alias(column)
    )


def covariate(values) -> pl.DataFrame:
    return FRAME.with_columns(x=values)


REFUSED = [
    ('no marks', FRAME[:0], {}, TooFewMarks, 'there are no marks'),
    ('one wine', FRAME.filter(wine='w01'), {}, TooFewMarks, 'one wine only'),
    ('one taster', FRAME.filter(taster='t001'), {}, TooFewMarks, 'leave nothing to judge'),
    ('two marks', FRAME[:2], {}, TooFewMarks, '2 marks of 2 wines'),
    (
        'constant',
        FRAME.with_columns(total=pl.lit(0.1)),
        {},
        NoVariation,
        'every mark in "total" is 0.1',
    ),
    (
        'wine and taster say all',
        FRAME.with_columns(total=0.3 * NUMBER['wine'] + 0.1 * NUMBER['taster']),
        {},
        NoVariation,
        'without remainder',
    ),
    (
        'wine says all',
        FRAME.with_columns(total=12.1 + NUMBER['wine']),
        {},
        NoVariation,
        'without remainder',
    ),
    (
        'taster says all',
        FRAME.with_columns(total=NUMBER['taster']),
        {},
        NoVariation,
        'without remainder',
    ),
    (
        'bottle says all',
        FRAME.with_columns(total=NUMBER['wine'] * NUMBER['site'] * 0.37),
        {},
        NoVariation,
        'without remainder',
    ),
    ('noise of a billionth', tasting(sd=(1, 1, 1, 1e-9)), {}, NoVariation, 'without remainder'),
    ('gap in marks', gap('total'), {}, EstimateError, 'missing or no numbers'),
    ('nan marks', gap('total', math.nan), {}, EstimateError, 'missing or no numbers'),
    ('infinite marks', gap('total', math.inf), {}, EstimateError, 'missing or no numbers'),
    ('gap in wines', gap('wine'), {}, EstimateError, 'marks tell no wine'),
    ('gap in tasters', gap('taster'), {}, EstimateError, 'marks tell no taster'),
    ('gap in sites', gap('site'), {}, EstimateError, 'marks tell no site'),
    ('enormous marks', FRAME.with_columns(TOTAL * 1e300), {}, EstimateError, 'cannot be weighed'),
    ('vanishing marks', FRAME.with_columns(TOTAL * 1e-300), {}, EstimateError, 'cannot be weighed'),
    (
        'covariate by wine',
        covariate(NUMBER['wine']),
        {'covariates': ('x',)},
        EstimateError,
        'cannot be told from the wines',
    ),
    (
        'covariate names the wine',
        covariate(pl.col('wine')),
        {'covariates': ('x',)},
        EstimateError,
        'cannot be told from the wines',
    ),
    (
        'covariate names the site',
        covariate(pl.col('site')),
        {'covariates': ('x',)},
        EstimateError,
        '"site" cannot be told from the wines and covariates',
    ),
    (
        'constant covariate',
        covariate(pl.lit(0.1)),
        {'covariates': ('x',)},
        EstimateError,
        'the same in every row',
    ),
    (
        'constant word',
        covariate(pl.lit('a')),
        {'covariates': ('x',)},
        EstimateError,
        'the same in every row',
    ),
    (
        'two covariates alike',
        covariate(2.0 * pl.col('position')),
        {'covariates': ('x', 'position')},
        EstimateError,
        'from another covariate',
    ),
    (
        'covariate twice',
        FRAME,
        {'covariates': ('position', 'position')},
        EstimateError,
        'stands twice',
    ),
    (
        'gap in covariate',
        gap('position'),
        {'covariates': ('position',)},
        EstimateError,
        'is missing in',
    ),
    (
        'nan in covariate',
        gap('position', math.nan),
        {'covariates': ('position',)},
        EstimateError,
        'is missing in',
    ),
    ('unknown covariate', FRAME, {'covariates': ('x',)}, EstimateError, 'no column "x"'),
    ('covariate is the mark', FRAME, {'covariates': ('total',)}, EstimateError, ''),
    ('unknown effect', FRAME, {'effects': ('x',)}, EstimateError, 'needs a column "x"'),
    ('half an effect', FRAME, {'effects': ('taster:',)}, EstimateError, 'needs a column ""'),
    ('effect twice', FRAME, {'effects': ('taster', 'taster')}, EstimateError, 'stands twice'),
    (
        'effect of one level',
        covariate(pl.lit('a')),
        {'effects': ('taster', 'x')},
        EstimateError,
        'one level only',
    ),
    (
        'effect of each mark',
        FRAME,
        {'effects': ('taster:wine',)},
        EstimateError,
        'one mark for each level',
    ),
    (
        'wine as an effect',
        FRAME,
        {'effects': ('taster', 'wine')},
        EstimateError,
        'cannot be told from the wines',
    ),
    (
        'wine twice',
        FRAME,
        {'effects': ('wine',), 'form': 'random'},
        EstimateError,
        'cannot be told from the wines',
    ),
    (
        'effect coarser than wine',
        covariate(NUMBER['wine'] > 1),
        {'effects': ('taster', 'x')},
        EstimateError,
        '"x" cannot be told from the wines',
    ),
    (
        'sites are tasters',
        FRAME.with_columns(site='taster'),
        {'effects': ('taster', 'site')},
        EstimateError,
        'cannot be told apart',
    ),
    (
        'one effect under two names',
        FRAME,
        {'effects': ('taster', 'site:taster')},
        EstimateError,
        'cannot be told apart',
    ),
    (
        'bottle under two names',
        FRAME,
        {'effects': ('bottle', 'site:wine')},
        EstimateError,
        'cannot be told apart',
    ),
]


@pytest.mark.parametrize(
    ('frame', 'model', 'kind', 'words'),
    [pytest.param(*case[1:], id=case[0]) for case in REFUSED],
)
def test_is_refused_in_words(frame, model, kind, words) -> None:
    """An EstimateError says what was found; no warning, no error of numpy's."""
    with pytest.raises(kind) as refusal:
        result(frame, **model)
    assert words in refusal.value.found
    assert refusal.value.remedy or refusal.value.expected


WEIGHED = [
    ('two by two', tasting(sites=1, tasters=2, wines=2)),
    ('two sites of one taster', tasting(sites=2, tasters=1, wines=2)),
    ('three marks', tasting(sites=1, tasters=2, wines=2)[:3]),
    ('two tasters, many wines', tasting(sites=1, tasters=2, wines=9)),
    ('no variance but the noise', tasting(sd=(0.0, 0.0, 0.0, 0.7), gap=0.0)),
    ('one mark that differs', FRAME.with_columns(total=12.0 + ONE)),
    ('one wild mark', FRAME.with_columns(total=12.0 + 1e6 * ONE)),
    ('whole points', FRAME.with_columns(TOTAL.round())),
    ('a thousandth of noise', tasting(sd=(1.0, 1.0, 1.0, 1e-3))),
    ('offset of a million', FRAME.with_columns(TOTAL + 1e6)),
    ('offset of a thousand billion', FRAME.with_columns(TOTAL + 1e12)),
    ('huge marks', FRAME.with_columns(TOTAL * 1e9)),
    ('tiny marks', FRAME.with_columns(TOTAL * 1e-9)),
    ('every mark five times', pl.concat([FRAME] * 5)),
    ('no site', FRAME.drop('site')),
    ('no taster', FRAME.drop('taster')),
    ('neither', FRAME.drop('taster', 'site')),
    ('one site', FRAME.with_columns(site=pl.lit('here'))),
    ('a site for each taster', FRAME.with_columns(site='taster')),
    ('one taster for each wine', FRAME.filter(NUMBER['taster'] == NUMBER['wine'])),
    ('covariate in billions', FRAME.with_columns(position=1e12 * pl.col('position'))),
]


@pytest.mark.parametrize('form', ['fixed', 'random'])
@pytest.mark.parametrize('frame', [pytest.param(case[1], id=case[0]) for case in WEIGHED])
def test_is_weighed_with_finite_numbers(frame, form) -> None:
    """Odd but weighable marks give a result without a NaN, infinity or warning."""
    found = result(frame, form=form)
    assert {} == {at: n for at, n in numbers(found).items() if not math.isfinite(n)}
    assert frame.height == found.marks


def test_covariate_in_billions_is_weighed() -> None:
    """The unit of a covariate does not matter to the scores."""
    plain = result(FRAME, covariates=('position',)).total
    large = FRAME.with_columns(position=1e12 * pl.col('position') + 1e15)
    scaled = result(large, covariates=('position',)).total
    for before, after in zip(plain.wines, scaled.wines, strict=True):
        assert (before.adjusted, before.se) == pytest.approx((after.adjusted, after.se), rel=1e-6)
    assert plain.covariates[0].p == pytest.approx(scaled.covariates[0].p, rel=1e-3)


def test_wines_taken_as_alike_are_even() -> None:
    """Random wines without any variance: nobody is ahead, not even by the alphabet."""
    rng = np.random.default_rng(5)
    frame = tasting(sites=1, tasters=30, wines=4, gap=0.0, sd=(0.5, 0, 0, 0), seed=1)
    noise = rng.normal(size=(30, 4))
    noise -= noise.mean(axis=0)
    alike = frame.drop('site').with_columns(total=TOTAL + noise.ravel())
    found = result(alike, form='random').total
    assert 0.0 == found.components['wine'].variance
    assert [0.25] * 4 == [wine.p_best for wine in found.wines]
    assert {'a'} == {wine.letters for wine in found.wines}
    assert {(0.0, 1.0, 1.0)} == {(p.difference, p.p, p.p_adjusted) for p in found.pairs}


def test_a_lone_taster_is_refused() -> None:
    """Marks of one taster: nothing tells the wine from the whim."""
    with pytest.raises(TooFewMarks, match='all marks are by one taster'):
        refuse_lone_taster(FRAME.filter(taster='t001'))
    refuse_lone_taster(FRAME)
    refuse_lone_taster(FRAME.drop('taster'))


def test_one_wine_with_a_covariate_is_weighed() -> None:
    """One wine only, but a covariate to speak of: no pairs, no warning."""
    frame = tasting(sites=1, tasters=8, wines=1, pours=4, seed=3).drop('site')
    frame = frame.with_columns(x=pl.Series([0.0, 1.0, 2.0, 3.0] * 8))
    found = result(frame, covariates=('x',)).total
    assert ((), 1.0) == (found.pairs, found.wines[0].p_best)
    assert 1 == len(found.covariates)
