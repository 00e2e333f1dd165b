"""What to practise next, and why: where a learner is most off, or least is known.

Marks of a learner and of the panel differ, on average over wines, by

    s² + (t - 1)² σ²_wine + v,

severity squared, spread away from 1 times how wines differ, and noise.  Each of these for each
category is a point to practise.  Its worth is the expected square that practice could take away,
mean² + variance, of which the variance counts as far as one more flight would make it known.
Noise counts above the panel's own, since nobody marks without any.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp, pi, sqrt
from typing import Literal

from scipy.special import ndtr

from halfpoint.sheet.form import Sheet
from halfpoint.teach.calibration import FEWEST_WINES, Calibration, Known
from halfpoint.teach.prior import Prior

Aspect = Literal['severity', 'spread', 'steadiness']
ASPECTS: tuple[Aspect, ...] = ('severity', 'spread', 'steadiness')
FLIGHT = 6


@dataclass(frozen=True, slots=True)
class Point:
    """A point to practise, in one category.

    `off` is the expected square that it adds to the gap (points² of the total), as far as marks
    tell; `unknown` what one more flight would make known of it; `worth` their sum. `sure` says
    whether the interval leaves out the panel's own way, and three wines or more say so.
    """

    category: str
    aspect: Aspect
    off: float
    unknown: float
    sure: bool

    @property
    def worth(self) -> float:
        """What practice could take away, as far as it is known or would be."""
        return self.off + self.unknown


def points(
    found: Mapping[str, Calibration],
    known: Mapping[str, Known],
    panel: Mapping[str, Prior],
    sheet: Sheet,
) -> tuple[Point, ...]:
    """Every point to practise, the most worthwhile first.

    Args:
        found: a calibration by category.
        known: the reference by category.
        panel: how tasters of the panel differ, by category.
        sheet: for the order of categories and their weights.
    """
    made = (
        point
        for category in sheet.categories
        if category.key in found and category.key in known
        for point in _of_category(
            category.key,
            category.weight,
            found[category.key],
            known[category.key],
            panel[category.key],
        )
    )
    return tuple(sorted(made, key=lambda one: -one.worth))


def _of_category(
    key: str, weight: float, found: Calibration, known: Known, panel: Prior
) -> Iterator[Point]:
    noise = found.noise.value**2
    enough = found.wines >= FEWEST_WINES
    level, slope = found.severity, found.spread
    taught = _taught(level.se**2, FLIGHT / noise)
    yield Point(
        key,
        'severity',
        weight**2 * level.value**2,
        weight**2 * taught,
        enough and not level.holds(0.0),
    )
    size = (weight * known.wine_sd) ** 2
    taught = _taught(slope.se**2, FLIGHT * known.wine_sd**2 / noise)
    yield Point(
        key,
        'spread',
        size * (slope.value - 1.0) ** 2,
        size * taught,
        enough and not slope.holds(1.0),
    )
    mean, sd = noise + found.noise.se**2, 2.0 * found.noise.value * found.noise.se
    # The variance of a variance with n degrees of freedom is 2 v² / n.
    later = sqrt(max(0.0, sd**2 - _taught(sd**2, FLIGHT / (2.0 * noise**2))))
    certain = _above(mean - panel.noise**2, later)
    taught = _above(mean - panel.noise**2, sd) - certain
    yield Point(
        key,
        'steadiness',
        weight**2 * certain,
        weight**2 * taught,
        enough and found.noise.low > panel.noise,
    )


def _taught(variance: float, information: float) -> float:
    """By how much so much information makes a variance smaller."""
    return variance - 1.0 / (1.0 / variance + information)


def _above(mean: float, sd: float) -> float:
    """Expectation of what a normal figure has above zero."""
    if sd <= 0.0:
        return max(0.0, mean)
    ratio = mean / sd
    return float(sd * exp(-0.5 * ratio**2) / sqrt(2.0 * pi) + mean * ndtr(ratio))
