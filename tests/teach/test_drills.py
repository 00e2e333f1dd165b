"""Difference drills against SciPy and statsmodels; the tables are in tests/published."""

from __future__ import annotations

from collections import Counter

import pytest
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from halfpoint.errors import UsageError
from halfpoint.plan.difference import Test
from halfpoint.teach.drills import draw_drill, judge


@pytest.mark.parametrize(('test', 'chance'), [('triangle', 1 / 3), ('duo-trio', 0.5)])
@pytest.mark.parametrize(('answers', 'right'), [(6, 4), (12, 9), (12, 12), (7, 0), (30, 15)])
def test_p_and_interval_are_exact(test: Test, chance: float, answers: int, right: int) -> None:
    """SciPy's binomial test, statsmodels' Clopper-Pearson interval, brought to who truly tells."""
    found = judge(test, answers, right)
    p = stats.binomtest(right, answers, chance, alternative='greater').pvalue
    low, high = proportion_confint(right, answers, method='beta')
    assert p == pytest.approx(found.p)
    telling = [max(0.0, (x - chance) / (1 - chance)) for x in (right / answers, low, high)]
    assert telling == pytest.approx([found.share, found.low, found.high])


def test_power_is_that_of_the_binomial() -> None:
    """12 rounds, half truly told: chance of 8 or more right at 2 in 3 (SciPy)."""
    found = judge('triangle', 12, 5)
    assert 8 == found.fewest_right
    assert stats.binom(12, 2 / 3).sf(7) == pytest.approx(found.power)


@pytest.mark.parametrize(('test', 'orders'), [('triangle', 6), ('duo-trio', 4)])
def test_every_order_is_served_equally_often(test: Test, orders: int) -> None:
    """Twelve rounds hold every order of glasses as often as any other, codes all different."""
    drill = draw_drill(test, 12, 5)
    counts = Counter(one.contents for one in drill.rounds)
    assert [12 // orders] * orders == sorted(counts.values())
    codes = [code for one in drill.rounds for code in one.codes if code != 'first']
    assert len(codes) == len(set(codes))
    assert (18, 18) == drill.pours


def test_the_right_glass_is_right() -> None:
    """The odd one of three differs from both others; the other kind is like the first."""
    for one in draw_drill('triangle', 12, 1).rounds:
        wine = one.contents[one.codes.index(one.right)]
        assert 1 == one.contents.count(wine)
    for one in draw_drill('duo-trio', 12, 1).rounds:
        assert one.contents[0] == one.contents[one.codes.index(one.right)]
        assert one.right != 'first'


def test_the_same_seed_serves_the_same() -> None:
    """A seed says it all, and another says otherwise."""
    assert draw_drill('triangle', 6, 3) == draw_drill('triangle', 6, 3)
    assert draw_drill('triangle', 6, 3) != draw_drill('triangle', 6, 4)


@pytest.mark.parametrize(('answers', 'right'), [(0, 0), (3, 4), (3, -1), (100_001, 1)])
def test_impossible_answers_are_refused(answers: int, right: int) -> None:
    """More right than there are, or none at all, is asked about again."""
    with pytest.raises(UsageError, match='not more right than there are'):
        judge('triangle', answers, right)


def test_failing_to_tell_is_not_called_alike() -> None:
    """Too few right are not said to show that two wines are the same."""
    assert "does not mean they are alike" in judge('triangle', 12, 5).sentence
    assert "could be luck" in judge('triangle', 2, 2).sentence
    assert "can be told apart" in judge('triangle', 12, 9).sentence
