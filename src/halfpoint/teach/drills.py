"""Triangle and duo-trio drills: what to pour, and what the answers say.

One person answers many times, or many people once each; the statistics are the same (ISO 4120,
ISO 10399), and live in `plan.difference`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import bdtrc, betaincinv

from halfpoint.errors import UsageError
from halfpoint.plan.codes import draw_codes
from halfpoint.plan.difference import (
    CHANCE,
    MOST_ANSWERS,
    NeededAnswers,
    Test,
    difference_power,
    fewest_right,
    needed_answers,
)

ORDERS: dict[Test, tuple[str, ...]] = {
    # Every order of two of one and one of the other, equally often.
    'triangle': ('ABB', 'BAB', 'BBA', 'AAB', 'ABA', 'BAA'),
    # The first glass is the reference.
    'duo-trio': ('AAB', 'ABA', 'BAB', 'BBA'),
}
MOST_ROUNDS = 60
HALF_TELL = 0.5


@dataclass(frozen=True, slots=True)
class Round:
    """Glasses of one round in serving order: codes, what is in each, and the code that is right.

    In a triangle the odd one is right; in a duo-trio the one like the first glass, whose code
    is 'first'.
    """

    number: int
    codes: tuple[str, ...]
    contents: tuple[str, ...]
    right: str


@dataclass(frozen=True, slots=True)
class Drill:
    """Rounds of a drill, for whoever pours; `pours` glasses of wines A and B in all."""

    test: Test
    rounds: tuple[Round, ...]
    pours: tuple[int, int]
    fewest_right: int | None
    power: float


@dataclass(frozen=True, slots=True)
class Answers:
    """What right answers say: chance `p` of so many by guessing alone, and the share that tells.

    `share` is of people, or for one person of times, who truly tell; `low` to `high` holds it
    95 times in 100 or more often. `needed` is how many answers show a difference that half tell.
    """

    test: Test
    answers: int
    right: int
    fewest_right: int | None
    p: float
    share: float
    low: float
    high: float
    power: float
    needed: NeededAnswers | None
    sentence: str


def draw_drill(test: Test, rounds: int, seed: int) -> Drill:
    """Serving instructions: every order as often as can be, in a random sequence, random codes.

    Raises:
        UsageError: fewer than 1 or more than 60 rounds.
    """
    if not 1 <= rounds <= MOST_ROUNDS:
        raise UsageError(
            f"{rounds} rounds",
            where="--rounds",
            expected=f"1 to {MOST_ROUNDS} rounds, and few enough to stay fresh: six at a sitting",
        )
    rng = np.random.default_rng(seed)
    orders = ORDERS[test]
    whole = [*orders] * (rounds // len(orders))
    rest = rng.choice(len(orders), rounds % len(orders), replace=False)
    drawn = [*whole, *(orders[at] for at in rest)]
    served = [drawn[at] for at in rng.permutation(rounds)]
    glasses = 3 if test == 'triangle' else 2
    codes = iter(draw_codes(rounds * glasses, rng))
    made = tuple(
        _round(test, number, order, [next(codes) for _ in range(glasses)])
        for number, order in enumerate(served, start=1)
    )
    return Drill(
        test=test,
        rounds=made,
        pours=(sum(order.count('A') for order in served), sum(o.count('B') for o in served)),
        fewest_right=fewest_right(rounds, test),
        power=difference_power(rounds, HALF_TELL, test),
    )


def _round(test: Test, number: int, order: str, codes: list[str]) -> Round:
    if test == 'triangle':
        odd = next(at for at, wine in enumerate(order) if order.count(wine) == 1)
        return Round(number, tuple(codes), tuple(order), codes[odd])
    like = 1 + order[1:].index(order[0])
    return Round(number, ('first', *codes), tuple(order), codes[like - 1])


def judge(test: Test, answers: int, right: int) -> Answers:
    """What so many right answers of so many say.

    p = P(X ≥ right) by guessing; the share is (right/n - p0)/(1 - p0), from 0, and its interval
    that of Clopper and Pearson (1934), Biometrika 26, 404-413, brought to the same scale.

    Raises:
        UsageError: no answers, or more right than there are.
    """
    if not 0 <= right <= answers or not 1 <= answers <= MOST_ANSWERS:
        raise UsageError(
            f"{right} right of {answers}",
            where="--right",
            expected="1 to 100,000 answers, and not more right than there are",
        )
    chance = CHANCE[test]
    least = float(betaincinv(right, answers - right + 1, 0.025)) if right else 0.0
    most = float(betaincinv(right + 1, answers - right, 0.975)) if right < answers else 1.0
    share, low, high = (_telling(each, chance) for each in (right / answers, least, most))
    p = float(bdtrc(right - 1, answers, chance)) if right else 1.0
    fewest = fewest_right(answers, test)
    return Answers(
        test=test,
        answers=answers,
        right=right,
        fewest_right=fewest,
        p=p,
        share=share,
        low=low,
        high=high,
        power=difference_power(answers, HALF_TELL, test),
        needed=needed_answers(HALF_TELL, test),
        sentence=_sentence(answers, right, fewest, low, high),
    )


def _telling(right: float, chance: float) -> float:
    return max(0.0, (right - chance) / (1.0 - chance))


def _sentence(answers: int, right: int, fewest: int | None, low: float, high: float) -> str:
    share = f"{100 * low:.0f} to {100 * high:.0f} times in 100"
    if fewest is None:
        return (
            f"{right} of {answers} right. With so few rounds even all right could be luck; "
            "a few more will tell."
        )
    if right >= fewest:
        return (
            f"{right} of {answers} right, and {fewest} are enough: the two can be told apart "
            f"(truly told {share}, the rest lucky)."
        )
    return (
        f"{right} of {answers} right; {fewest} would be enough to say that the two can be told "
        f"apart. That does not mean they are alike: truly told {share} is all in keeping with it."
    )
