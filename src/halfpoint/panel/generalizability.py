"""Generalizability: which part of a mark is the wine, and how many tasters and sites would do.

A component belongs to a set of facets: {wine, taster} is what one taster adds to one wine. A
facet nested in another carries both names: tasters within sites are {site, taster}.
Brennan (2001), Generalizability Theory, Springer, chapters 2 to 5.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import prod

import numpy as np

from halfpoint.errors import TooFewMarks
from halfpoint.panel.two_way import Floats

WINE = 'wine'
Facets = frozenset[str]


@dataclass(frozen=True, slots=True)
class Component:
    """A variance component: `estimate` as it came out, `variance` as it is used.

    A component cannot be less than nothing: an estimate below zero is used as zero and both are
    told (Brennan 2001, section 3.4.1). Sums of squares stand only where the design is balanced.
    """

    facets: Facets
    estimate: float
    df: int | None = None
    sum_of_squares: float | None = None
    mean_square: float | None = None

    @property
    def variance(self) -> float:
        """What is used: never below zero."""
        return max(0.0, self.estimate)


@dataclass(frozen=True, slots=True)
class Decision:
    """What a panel of these numbers would reach.

    `relative` (Eρ²) says how well it would order wines, `absolute` (Φ) how well it would give
    them the mark they deserve; the error variances are those of a wine's mean.
    """

    counts: Mapping[str, int]
    relative: float
    absolute: float
    relative_error: float
    absolute_error: float


def crossed(marks: Floats, facets: Sequence[str]) -> tuple[Component, ...]:
    """Components of complete marks, one axis a facet, every level met with every other.

    Args:
        marks: one mark in each cell, shape as `facets` names the axes; one facet is 'wine'.
        facets: names of the axes.

    Expected mean squares of the random model: Brennan (2001), section 3.3.

    Raises:
        TooFewMarks: an axis with one level, or a mark is missing.
    """
    _check(marks, facets)
    squares = {part: _squares(marks, facets, part) for part in _sets(facets)}
    levels = dict(zip(facets, marks.shape, strict=True))
    df = {part: prod(levels[name] - 1 for name in part) for part in squares}
    return _components(squares, df, levels)


def nested(marks: Floats) -> tuple[Component, ...]:
    """Components of wines by tasters within sites, shape (wines, sites, tasters at each).

    Brennan (2001), section 3.2.3: the p x (r:t) design.

    Raises:
        TooFewMarks: an axis with one level, or a mark is missing.
    """
    names = (WINE, 'site', 'taster')
    within = frozenset({'taster'})
    squares: dict[Facets, float] = {}
    df: dict[Facets, int] = {}
    for component in crossed(marks, names):
        # What tells tasters apart does so within a site only.
        facets = component.facets | {'site'} if within <= component.facets else component.facets
        squares[facets] = squares.get(facets, 0.0) + (component.sum_of_squares or 0.0)
        df[facets] = df.get(facets, 0) + (component.df or 0)
    return _components(squares, df, dict(zip(names, marks.shape, strict=True)))


def from_fit(
    *, wine: float, taster: float, left: float, site: float = 0.0, bottle: float = 0.0
) -> tuple[Component, ...]:
    """Components of the main estimate with wines taken at random, whatever marks are missing.

    Tasters sit within sites and a bottle is a wine at a site; `left` is the rest.
    """
    sets = (
        (frozenset({WINE}), wine),
        (frozenset({'site'}), site),
        (frozenset({'site', 'taster'}), taster),
        (frozenset({WINE, 'site'}), bottle),
        (frozenset({WINE, 'site', 'taster'}), left),
    )
    return tuple(Component(facets, variance) for facets, variance in sets)


def decide(components: Iterable[Component], counts: Mapping[str, int]) -> Decision:
    """What a panel with this many levels of each facet would reach (tasters per site).

    Brennan (2001), equations 4.19 to 4.22: the error of a mean is each component divided by how
    many levels of its facets it is averaged over.
    """
    true = relative = absolute = 0.0
    for component in components:
        others = component.facets - {WINE}
        share = component.variance / prod(counts[name] for name in others)
        if not others:
            true = share
            continue
        absolute += share
        relative += share if WINE in component.facets else 0.0
    return Decision(dict(counts), _part(true, relative), _part(true, absolute), relative, absolute)


def _part(true: float, error: float) -> float:
    return true / (true + error) if true + error > 0.0 else float('nan')


def _sets(facets: Sequence[str]) -> Iterator[Facets]:
    for size in range(1, len(facets) + 1):
        yield from map(frozenset, combinations(facets, size))


def _squares(marks: Floats, facets: Sequence[str], part: Facets) -> float:
    """Sum of squares of one set: means over the rest, less what smaller sets explain."""
    effect = marks
    for axis, name in enumerate(facets):
        mean = effect.mean(axis=axis, keepdims=True)
        effect = effect - mean if name in part else mean
    return float(np.square(effect).sum() * (marks.size / effect.size))


def _components(
    squares: Mapping[Facets, float], df: Mapping[Facets, int], levels: Mapping[str, int]
) -> tuple[Component, ...]:
    """Solve the expected mean squares: each set's holds every component of a set that has it."""
    sets = tuple(squares)
    mean = np.array([squares[part] / df[part] for part in sets])
    over = [prod(levels[name] for name in levels if name not in part) for part in sets]
    expected = np.array(
        [[n * (part <= other) for other, n in zip(sets, over, strict=True)] for part in sets],
        dtype=np.float64,
    )
    estimates = np.linalg.solve(expected, mean)
    return tuple(
        Component(part, float(estimate), df[part], squares[part], float(square))
        for part, estimate, square in zip(sets, estimates, mean, strict=True)
    )


def _check(marks: Floats, facets: Sequence[str]) -> None:
    if marks.ndim != len(facets) or min(marks.shape, default=0) < 2:
        raise TooFewMarks(
            f"{' by '.join(map(str, marks.shape))} of {', '.join(facets)}",
            where="generalizability",
            expected="at least two of each",
        )
    if np.isnan(marks).any():
        raise TooFewMarks(
            f"{int(np.isnan(marks).sum())} of {marks.size} marks are missing",
            where="generalizability",
            expected="one mark in each cell",
            remedy="take the components of the main estimate instead",
        )
