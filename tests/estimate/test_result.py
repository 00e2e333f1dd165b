"""The whole result: what must not matter does not, and what must, does."""

from __future__ import annotations

import dataclasses
import math

import polars as pl
import pytest
from tests.estimate.tastings import tasting

from halfpoint.estimate.findings import Findings
from halfpoint.estimate.result import About, Model, find_result
from halfpoint.estimate.weigh import MarkToWeigh


def result(frame: pl.DataFrame, columns=('total',), **model) -> Findings:
    marks = [MarkToWeigh(column, column.title()) for column in columns]
    return find_result(frame, marks, Model(**model), About('Invented', 'sheet', 'here'))


def numbers(thing, path='') -> dict[str, float]:
    """Every number in the findings, by where it stands."""
    if dataclasses.is_dataclass(thing):
        parts = {f.name: getattr(thing, f.name) for f in dataclasses.fields(thing)}
    elif isinstance(thing, dict):
        parts = thing
    elif isinstance(thing, tuple | list):
        parts = dict(enumerate(thing))
    else:
        return {path: thing} if isinstance(thing, int | float) else {}
    return {
        k: v for name, part in parts.items() for k, v in numbers(part, f'{path}.{name}').items()
    }


def assert_same(expected: Findings, found: Findings, tolerance: float = 1e-6) -> None:
    one, other = numbers(expected), numbers(found)
    assert one.keys() == other.keys()
    assert one == pytest.approx(other, rel=tolerance, abs=tolerance)


FRAME = tasting(missing=0.15, seed=11, gap=0.8)


@pytest.fixture(scope='module', params=['fixed', 'random'])
def form(request) -> str:
    return request.param


def test_the_same_seed_gives_the_same_result(form) -> None:
    """To the last digit; another seed changes the drawn figures only."""
    one, again = result(FRAME, form=form, seed=1), result(FRAME, form=form, seed=1)
    assert one == again
    other = result(FRAME, form=form, seed=2)
    assert one.total.components == other.total.components
    assert [w.adjusted for w in one.total.wines] == [w.adjusted for w in other.total.wines]
    assert [w.p_best for w in one.total.wines] == pytest.approx(
        [w.p_best for w in other.total.wines], abs=0.02
    )
    assert [w.p_best for w in one.total.wines] != [w.p_best for w in other.total.wines]


def test_the_order_of_rows_does_not_matter(form) -> None:
    """Shuffled rows say the same."""
    assert_same(
        result(FRAME, form=form), result(FRAME.sample(fraction=1, shuffle=True, seed=3), form=form)
    )


def test_what_tasters_and_sites_are_called_does_not_matter(form) -> None:
    """Other names in another order say the same of the wines."""
    renamed = FRAME.with_columns(
        taster='x' + pl.col('taster').str.reverse(), site='y' + pl.col('site').str.reverse()
    )
    one, other = result(FRAME, form=form).total, result(renamed, form=form).total
    for field in ('wines', 'pairs', 'components', 'criterion'):
        kept, found = numbers(getattr(one, field)), numbers(getattr(other, field))
        assert kept == pytest.approx(found, rel=1e-6, abs=1e-6)


def test_coded_columns_say_the_same(form) -> None:
    """Names may come as text, as categories or as numbers."""
    coded = FRAME.with_columns(pl.col('taster', 'site', 'wine').cast(pl.Categorical))
    assert_same(result(FRAME, form=form), result(coded, form=form), 1e-12)
    counted = FRAME.with_columns(wine=pl.col('wine').str.slice(1).cast(pl.Int64))
    assert numbers(result(FRAME).total.pairs) == pytest.approx(numbers(result(counted).total.pairs))


def test_a_constant_added_moves_the_scores_alone(form) -> None:
    """A million points more on every mark: differences, errors and places stay."""
    one = result(FRAME, form=form).total
    other = result(FRAME.with_columns(total=pl.col('total') + 1e6), form=form).total
    assert numbers(one.pairs) == pytest.approx(numbers(other.pairs), rel=1e-5, abs=1e-6)
    assert numbers(one.components) == pytest.approx(numbers(other.components), rel=1e-4, abs=1e-6)
    for before, after in zip(one.wines, other.wines, strict=True):
        assert before.adjusted + 1e6 == pytest.approx(after.adjusted, abs=1e-6)
        assert (before.wine, before.rank_probability) == (after.wine, after.rank_probability)


@pytest.mark.parametrize('scale', [1e9, 1e-9])
def test_another_unit_scales_everything(form, scale) -> None:
    """Marks in another unit: scores scale, variances with the square, chances not at all."""
    one = result(FRAME, form=form).total
    other = result(FRAME.with_columns(total=pl.col('total') * scale), form=form).total
    for before, after in zip(one.wines, other.wines, strict=True):
        assert before.adjusted * scale == pytest.approx(after.adjusted, rel=1e-6)
        assert (before.se * scale, before.df) == pytest.approx((after.se, after.df), rel=1e-4)
        assert before.rank_probability == pytest.approx(after.rank_probability, abs=1e-3)
        assert before.letters == after.letters
    for name, component in one.components.items():
        found = other.components[name]
        assert component.variance * scale**2 == pytest.approx(found.variance, rel=1e-4, abs=0)
        assert component.high * scale**2 == pytest.approx(found.high, rel=1e-3, abs=0)
    for before, after in zip(one.pairs, other.pairs, strict=True):
        assert before.p_adjusted == pytest.approx(after.p_adjusted, rel=1e-3)


def test_findings_hang_together(form) -> None:
    """Order, intervals, chances, letters and pairs agree with each other."""
    found = result(FRAME, form=form).total
    scores = [wine.adjusted for wine in found.wines]
    assert sorted(scores, reverse=True) == scores
    assert 1.0 == pytest.approx(sum(wine.p_best for wine in found.wines))
    by_name = {wine.wine: wine for wine in found.wines}
    for wine in found.wines:
        assert wine.low < wine.adjusted < wine.high
        assert 1 <= wine.rank_low <= wine.rank_high <= len(scores)
        assert 1.0 == pytest.approx(sum(wine.rank_probability), abs=1e-4)
    for pair in found.pairs:
        a, b = by_name[pair.a], by_name[pair.b]
        assert a.adjusted - b.adjusted == pytest.approx(pair.difference)
        assert bool(set(a.letters) & set(b.letters)) == (pair.p_adjusted >= 0.05)
        assert (pair.low <= 0.0 <= pair.high) == (pair.p_adjusted >= 0.05)
        assert pair.p <= pair.p_adjusted
    assert FRAME.height == sum(wine.marks for wine in found.wines)


def test_counts_and_plain_means_are_the_tables(form) -> None:
    """Tasters, sites, marks and raw means by polars' own group-by."""
    table = FRAME.group_by('wine').agg(
        pl.col('taster').n_unique(), pl.col('site').n_unique(), pl.len(), pl.col('total').mean()
    )
    expected = {row[0]: row[1:] for row in table.rows()}
    for wine in result(FRAME, form=form).total.wines:
        counts = (wine.tasters, wine.sites, wine.marks, wine.raw_mean)
        assert expected[wine.wine] == pytest.approx(counts)


def test_categories_are_weighed_like_the_total() -> None:
    """Each category says what it would say alone; one that cannot be weighed says why."""
    frame = FRAME.with_columns(aroma=pl.col('total') / 3, appearance=pl.lit(3.0))
    found = result(frame, ('total', 'aroma', 'appearance'))
    alone = result(frame, ('aroma',)).total
    assert numbers(alone.pairs) == pytest.approx(numbers(found.categories['aroma'].pairs))
    flat = found.categories['appearance']
    assert ('Not weighed: every mark in "appearance" is 3.',) == flat.notes
    assert {None} == {wine.adjusted for wine in flat.wines}
    assert {3.0} == {wine.raw_mean for wine in flat.wines}


def test_a_level_that_nobody_varies_is_adjusted_away() -> None:
    """A covariate's effect is found, with the position centred at its mean."""
    late = FRAME.with_columns(total=pl.col('total') - 2.0 * pl.col('position'))
    (covariate,) = result(late, covariates=('position',)).total.covariates
    assert covariate.low < -2.0 < covariate.high
    plain = result(FRAME, covariates=('position',)).total
    assert plain.covariates[0].estimate - 2.0 == pytest.approx(covariate.estimate)


def test_parts_are_weighed_apart() -> None:
    """Tasters who share no wines: no joint order, each part like a tasting of its own."""
    half = pl.col('taster') < 't006'
    apart = tasting(seed=11).filter(half == (pl.col('wine') < 'w02'))
    found = result(apart)
    assert not found.connected
    assert [('w00', 'w01'), ('w02', 'w03')] == [part.wines for part in found.parts]
    assert ({None}, ()) == ({wine.adjusted for wine in found.total.wines}, found.total.pairs)
    for part in found.parts:
        alone = result(apart.filter(pl.col('wine').is_in(part.wines)))
        assert alone.total == part.result
        assert part.marks == alone.marks


def test_second_pours_are_noted() -> None:
    """When tasters had wines twice the result names the effect that would use it."""
    twice = tasting(pours=2, seed=12)
    assert any('taster:wine' in note for note in result(twice).notes)
    assert () == result(twice, effects=('taster', 'site', 'taster:wine')).notes
    assert () == result(FRAME).notes


def test_severity_and_bottles_are_counted() -> None:
    """Every taster is in the picture of severity, every bottle in the list."""
    frame = tasting(sites=3, tasters=8, sd=(1.5, 0.3, 0.8, 0.5), seed=13)
    found = result(frame).total
    assert 24 == sum(found.severity.counts)
    assert len(found.severity.edges) == len(found.severity.counts) + 1
    assert {(b.site, b.wine) for b in found.bottles} == set(frame.select('site', 'wine').rows())


def test_many_wines_keep_to_the_pairs_that_matter() -> None:
    """Beyond 120 wines: the leader against each, neighbours, and no letters."""
    frame = tasting(sites=1, tasters=12, wines=125, gap=0.1, seed=14).drop('site')
    found = result(frame).total
    assert 124 + 123 == len(found.pairs)
    assert {''} == {wine.letters for wine in found.wines}
    assert found.wine_test is None
    assert all(math.isfinite(number) for number in numbers(found).values())
