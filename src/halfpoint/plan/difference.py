"""Can people tell these two apart at all: triangle and duo-trio tests.

In a triangle test (ISO 4120) a taster finds the odd one of three, by chance 1 time in 3; in a
duo-trio test (ISO 10399) the one of two that is like the reference, by chance 1 in 2.  The
number right is binomial.  When a share d of tasters truly tell, the others guess, and the
chance of a right answer is d + (1 − d)·p0.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from typing import Literal

from scipy.special import bdtrc

Test = Literal['triangle', 'duo-trio']

CHANCE: dict[Test, float] = {'triangle': 1.0 / 3.0, 'duo-trio': 0.5}
MOST_ANSWERS = 100_000


def fewest_right(answers: int, test: Test, alpha: float = 0.05) -> int | None:
    """Fewest right answers of so many that say a difference is there; None if not even all do.

    The smallest x with P(X ≥ x) ≤ alpha by guessing alone.

    Raises:
        ValueError: no answers, more than 100,000, or alpha not within (0, 1).
    """
    _check(answers, alpha)
    # A hair for the rounding of a tail that equals alpha, as 1/2⁵ does 0.03125.
    bound = alpha * (1.0 + 1e-12)
    right = range(1, answers + 1)
    place = bisect_left(
        right, True, key=lambda x: bool(bdtrc(x - 1, answers, CHANCE[test]) <= bound)
    )
    return right[place] if place < answers else None


def chance_of_right(true_share: float, test: Test) -> float:
    """Chance of a right answer when this share of tasters truly tell and the rest guess.

    Raises:
        ValueError: a share outside 0 to 1.
    """
    if not 0.0 <= true_share <= 1.0:
        raise ValueError(f'the share of tasters who tell must be from 0 to 1: {true_share}')
    return true_share + (1.0 - true_share) * CHANCE[test]


def difference_power(answers: int, true_share: float, test: Test, alpha: float = 0.05) -> float:
    """How often so many answers show a difference that this share of tasters tell; exact."""
    needed = fewest_right(answers, test, alpha)
    if needed is None:
        return 0.0
    return float(bdtrc(needed - 1, answers, chance_of_right(true_share, test)))


@dataclass(frozen=True, slots=True)
class NeededAnswers:
    """So many answers, of which so many right show a difference, with this power."""

    answers: int
    right: int
    power: float


def needed_answers(
    true_share: float, test: Test, *, alpha: float = 0.05, power: float = 0.8
) -> NeededAnswers | None:
    """Fewest answers from which on the power is never again below what is asked.

    The power saws up and down with the number of answers, since the right ones are whole.
    None when some 6,000 answers would not do.

    Raises:
        ValueError: a share of 0 or outside 0 to 1, or alpha or power not within (0, 1).
    """
    _check(1, alpha)
    if not 0.0 < power < 1.0:
        raise ValueError(f'power must be above 0 and below 1: {power}')
    if true_share <= 0.0:
        raise ValueError('where nobody can tell, no number of tasters is enough')
    chance_of_right(true_share, test)
    limit = 64
    while limit <= 8_192:
        short = [n for n in range(1, limit) if difference_power(n, true_share, test, alpha) < power]
        last = short[-1] if short else 0
        # Beyond a third more, the saw's teeth do not come down again.
        if last * 4 // 3 + 8 < limit:
            right = fewest_right(last + 1, test, alpha)
            found = difference_power(last + 1, true_share, test, alpha)
            return None if right is None else NeededAnswers(last + 1, right, found)
        limit *= 2
    return None


def _check(answers: int, alpha: float) -> None:
    if not 1 <= answers <= MOST_ANSWERS:
        raise ValueError(f'answers must be from 1 to {MOST_ANSWERS:,}: {answers}')
    if not 0.0 < alpha < 1.0:
        raise ValueError(f'alpha must be above 0 and below 1: {alpha}')
