"""Triangle and duo-trio tests."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from halfpoint.plan.difference import (
    CHANCE,
    Test,
    chance_of_right,
    difference_power,
    fewest_right,
    needed_answers,
)

TESTS: tuple[Test, ...] = ('triangle', 'duo-trio')


@given(st.integers(1, 400), st.sampled_from(TESTS), st.floats(1e-4, 0.5))
def test_fewest_right_is_where_guessing_gets_rare(answers: int, test: Test, alpha: float) -> None:
    """By scipy.stats.binom: at that number guessing is rare enough, at one fewer it is not."""
    found = fewest_right(answers, test, alpha)
    guessed = binom(answers, CHANCE[test])
    least = answers + 1 if found is None else found
    assert found is None or guessed.sf(found - 1) <= alpha * (1 + 1e-9)
    assert guessed.sf(least - 2) > alpha * (1 - 1e-9)


@given(st.integers(1, 300), st.sampled_from(TESTS), st.floats(0, 1))
def test_power_is_the_binomial_tail(answers: int, test: Test, share: float) -> None:
    """By scipy.stats.binom at the chance of a right answer."""
    needed = fewest_right(answers, test)
    chance = chance_of_right(share, test)
    expected = 0.0 if needed is None else float(binom.sf(needed - 1, answers, chance))
    assert difference_power(answers, share, test) == pytest.approx(expected, abs=1e-10)


def test_chance_of_right_goes_from_guessing_to_certainty() -> None:
    """Nobody telling leaves chance; all telling leaves none; half and half lies between."""
    assert [1 / 3, 2 / 3, 1.0] == pytest.approx(
        [chance_of_right(share, 'triangle') for share in (0.0, 0.5, 1.0)]
    )
    assert 0.75 == chance_of_right(0.5, 'duo-trio')


@pytest.mark.parametrize('test', TESTS)
@pytest.mark.parametrize('share', [0.2, 0.35, 0.6, 1.0])
def test_needed_answers_hold_from_there_on(test: Test, share: float) -> None:
    """One answer fewer would not do, and none of the next hundred numbers falls short."""
    found = needed_answers(share, test)
    assert found is not None
    assert difference_power(found.answers - 1, share, test) < 0.8 <= found.power
    after = range(found.answers, found.answers + 100)
    assert min(difference_power(n, share, test) for n in after) >= 0.8
    assert fewest_right(found.answers, test) == found.right


def test_hardly_anybody_telling_takes_too_many() -> None:
    """A share of one in a thousand is beyond any tasting."""
    assert needed_answers(0.001, 'triangle') is None


@pytest.mark.parametrize('answers', [0, -3, 100_001])
def test_impossible_numbers_of_answers_are_refused(answers: int) -> None:
    """None, fewer, or more than any test has."""
    with pytest.raises(ValueError, match='answers must be'):
        fewest_right(answers, 'triangle')


@pytest.mark.parametrize(
    ('share', 'alpha', 'power'),
    [(0.0, 0.05, 0.8), (-0.1, 0.05, 0.8), (1.1, 0.05, 0.8), (0.3, 0.0, 0.8), (0.3, 0.05, 1.0)],
)
def test_impossible_shares_and_levels_are_refused(share: float, alpha: float, power: float) -> None:
    """Nobody telling, shares beyond 0 to 1, certainty."""
    with pytest.raises(ValueError, match=r'must be|no number'):
        needed_answers(share, 'duo-trio', alpha=alpha, power=power)
