"""The simulator has the moments that it says it has. Outside: NumPy and SciPy, and theory."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from halfpoint.demo.scenario import settings
from halfpoint.demo.simulate import (
    Settings,
    draw_finish,
    draw_marks,
    draw_ticks,
    draw_truth,
)

LARGE = (100,) * 60


@pytest.fixture(scope='module')
def plain() -> Settings:
    """A sheet without ceiling or steps, where theory is exact; no spread, no bad bottle."""
    return replace(
        settings(), top=np.full(5, 1e6), quality=settings().quality + 1000, step=1e-9,
        tasters_per_site=LARGE, spread=0.0, steadiness=0.0, spoiled=None,
        lost_sheets=0.0, lost_pours=0.0,
    )  # fmt: skip


def test_tasters_rooms_and_bottles_have_their_spread(plain: Settings) -> None:
    """Drawn severities, rooms and bottles are normal about 0 with the variances asked for."""
    truth = draw_truth(np.random.default_rng(11), plain)
    for drawn, sd in [
        (truth.severity, plain.severity),
        (truth.room, plain.room),
        (truth.bottle.ravel(), plain.bottle),
    ]:
        low, high = stats.chi2.interval(0.999, len(drawn), scale=sd**2 / len(drawn))
        assert low < np.mean(drawn**2) < high
        assert stats.kstest(drawn / sd, 'norm').pvalue > 0.001


def test_what_is_left_has_the_variance_of_taste_and_categories(plain: Settings) -> None:
    """The total less all that was drawn is noise: taste² plus the sum of the categories'²."""
    rng = np.random.default_rng(12)
    truth = draw_truth(rng, plain)
    total = draw_marks(rng, plain, truth).sum(axis=2)
    left = (
        total
        - plain.quality.sum(axis=1)
        - truth.severity[:, None]
        - truth.room[truth.site, None]
        - truth.bottle[truth.site]
        - plain.order_slope * (truth.position - 4.5)
    )
    variance = plain.taste**2 + np.sum(plain.category**2)
    low, high = stats.chi2.interval(0.999, left.size, scale=variance / left.size)
    assert low < np.mean(left**2) < high
    assert abs(np.mean(left)) < 4 * np.sqrt(variance / left.size)


def test_order_effect_is_found_again(plain: Settings) -> None:
    """Least squares of the total on the place, within wine, gives the slope back (SciPy)."""
    rng = np.random.default_rng(13)
    truth = draw_truth(rng, plain)
    total = draw_marks(rng, plain, truth).sum(axis=2)
    level = total - total.mean(axis=1, keepdims=True)
    level -= level.mean(axis=0)
    fit = stats.linregress(truth.position.ravel() - 4.5, level.ravel())
    assert plain.order_slope == pytest.approx(fit.slope, abs=4 * fit.stderr)


def test_spread_stretches_differences_of_wines(plain: Settings) -> None:
    """Without noise a taster's own slope on the wines' quality is the spread that was drawn."""
    still = replace(plain, spread=0.3, taste=0.0, category=np.zeros(5), bottle=0.0, order_slope=0.0)
    rng = np.random.default_rng(14)
    truth = draw_truth(rng, still)
    total = draw_marks(rng, still, truth).sum(axis=2)
    quality = still.quality.sum(axis=1)
    slopes = np.polyfit(quality - quality.mean(), total.T, 1)[0]
    np.testing.assert_allclose(slopes, truth.spread, atol=1e-6)


def test_marks_are_on_the_step_and_within_the_sheet() -> None:
    """Every mark is a half point between nothing and the top of its category."""
    plan = settings()
    rng = np.random.default_rng(15)
    marks = draw_marks(rng, plan, draw_truth(rng, plan))
    there = marks[~np.isnan(marks).any(axis=2)]
    assert np.all(there * 2 == np.round(there * 2))
    assert np.all((there >= 0) & (there <= plan.top))


def test_looks_like_an_amateur_tasting() -> None:
    """One taster from another about a point; about a point and a half within; wines about 0.9."""
    plan = settings()
    figures = []
    for seed in range(20):
        rng = np.random.default_rng(seed)
        total = draw_marks(rng, plan, draw_truth(rng, plan)).sum(axis=2)
        total = total[~np.isnan(total).any(axis=1)]
        figures.append((
            total.mean(axis=1).std(ddof=1),
            total.std(axis=1, ddof=1).mean(),
            total.mean(axis=0).std(ddof=1),
        ))  # fmt: skip
    severity, within, wines = np.mean(figures, axis=0)
    assert 0.9 < severity < 1.25
    assert 1.3 < within < 1.65
    assert 0.8 < wines < 1.05


def test_sheets_are_lost_as_often_as_asked() -> None:
    """Lost sheets and pours come out in their share (binomial 99.9 % range, SciPy)."""
    plan = replace(settings(), tasters_per_site=LARGE, lost_sheets=0.05, lost_pours=0.0)
    rng = np.random.default_rng(16)
    marks = draw_marks(rng, plan, draw_truth(rng, plan))
    gone = int(np.isnan(marks).all(axis=(1, 2)).sum())
    low, high = stats.binom.interval(0.999, len(marks), 0.05)
    assert low <= gone <= high


def test_spoiled_bottle_takes_its_points() -> None:
    """The room with the spoiled bottle has its effect, and no other."""
    plan = settings()
    truth = draw_truth(np.random.default_rng(17), plan)
    assert plan.spoiled is not None
    assert plan.spoiled.points == truth.bottle[plan.spoiled.site, plan.spoiled.wine]
    assert 1 == np.sum(truth.bottle < -2)


def test_finish_goes_with_the_mark_for_aftertaste() -> None:
    """About 12 s go with 1½ and 33 s with 2½ (common practice, no source); no mark, no seconds."""
    rng = np.random.default_rng(18)
    marks = np.repeat([[1.5, 2.5, np.nan]], 4000, axis=0)
    seconds = np.median(draw_finish(rng, marks, timed=1.0)[:, :2], axis=0)
    assert [12, 33] == pytest.approx(seconds.tolist(), abs=1.01)
    assert np.isnan(draw_finish(rng, marks)[:, 2]).all()


def test_ticks_come_with_their_chance() -> None:
    """With no differences of eagerness, a word is ticked in its share (binomial, SciPy)."""
    chance = np.array([[0.05, 0.4], [0.4, 0.05]])
    ticks = draw_ticks(np.random.default_rng(19), chance, 5000, eagerness=0.0)
    counts = ticks.sum(axis=0)
    low, high = stats.binom.interval(0.999, 5000, chance)
    assert np.all((low <= counts) & (counts <= high))
