"""Which wines the marks can tell apart, and the clean breaks in the order."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from halfpoint.estimate.findings import MarkFindings, PairFinding, WineFinding

LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class Tier:
    """Wines between two clean breaks; `alike` when no pair among them can be told apart."""

    wines: tuple[str, ...]
    alike: bool


def ordered(marks: MarkFindings) -> tuple[WineFinding, ...]:
    """The wines, highest adjusted score first; without one, by raw mean."""
    return tuple(sorted(marks.wines, key=lambda w: (-_score(w), w.wine)))


def with_figures(marks: MarkFindings) -> tuple[WineFinding, ...]:
    """As `ordered`, without the wines of which nothing is told because too few marked them."""
    return tuple(wine for wine in ordered(marks) if not is_withheld(wine))


def is_withheld(wine: WineFinding) -> bool:
    """Whether the wine's figures were left out."""
    return wine.adjusted is None and not math.isfinite(wine.raw_mean)


def _score(wine: WineFinding) -> float:
    score = wine.raw_mean if wine.adjusted is None else wine.adjusted
    return score if math.isfinite(score) else -math.inf


def is_told_apart(pair: PairFinding) -> bool:
    """Whether the marks tell the two wines apart, all pairs being asked at once."""
    return pair.p_adjusted < LEVEL


def told_from(marks: MarkFindings, wine: str) -> frozenset[str]:
    """The wines that the marks can tell from this one."""
    return frozenset(
        pair.b if pair.a == wine else pair.a
        for pair in marks.pairs
        if wine in (pair.a, pair.b) and is_told_apart(pair)
    )


def tiers(marks: MarkFindings) -> tuple[Tier, ...]:
    """The order cut at every clean break: all wines above told from all wines below.

    A pair that is not in `marks.pairs` counts as not told apart.
    """
    names = [wine.wine for wine in with_figures(marks)]
    place = {name: i for i, name in enumerate(names)}
    apart = [
        (min(place[p.a], place[p.b]), max(place[p.a], place[p.b]))
        for p in marks.pairs
        if is_told_apart(p) and p.a in place and p.b in place
    ]
    cuts = [0, *_clean_breaks(len(names), apart), len(names)]
    return tuple(
        Tier(tuple(names[start:end]), not _any_within(apart, start, end))
        for start, end in pairwise(cuts)
        if start < end
    )


def _clean_breaks(count: int, told: Sequence[tuple[int, int]]) -> list[int]:
    steps = [0] * (count + 1)
    for high, low in told:
        steps[high] += 1
        steps[low] -= 1
    straddling = list(accumulate(steps))
    return [i + 1 for i in range(count - 1) if straddling[i] == (i + 1) * (count - i - 1)]


def _any_within(told: Sequence[tuple[int, int]], start: int, end: int) -> bool:
    return any(start <= high and low < end for high, low in told)
