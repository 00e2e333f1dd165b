"""The pen of a page: how dark it draws, and how much of a circle it usually fills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.ink.amounts import Amounts
from halfpoint.collect.paper.read.ink.strokes import Strokes
from halfpoint.collect.paper.read.ink.targets import Targets
from halfpoint.collect.paper.read.middle import median, quantile
from halfpoint.collect.paper.read.scale import COARSE, FINE, cut

Floats = NDArray[np.float32]
# A bubble is marked beyond doubt above so many spreads of the empty ones, and with this much
# more ink than the next; only such bubbles say what the pen is like.
_SURE_SPREADS, _SURE_SHARE = 6.0, 3.0
_FEWEST = 3
# Strokes of this size tell the pen where marks do not (mm²).
_LARGE = 1.5
_UNKNOWN_AMOUNT, _UNKNOWN_DARK = 0.1, 0.25


@dataclass(frozen=True, slots=True)
class Pen:
    """`amount` is the ink in a usual mark, `dark` how dark its strokes are; both 0 to 1."""

    amount: float
    dark: float
    marks: int

    @property
    def is_known(self) -> bool:
        """Whether enough marks told it."""
        return self.marks >= _FEWEST


def pen_of(dark: Floats, amounts: Amounts, targets: Targets) -> Pen:
    """The pen of a page by its sure marks."""
    tops, darks = [], []
    for run in targets.runs:
        values = np.sort(amounts.bubbles[run.first : run.first + run.count])
        beyond = _SURE_SPREADS * amounts.bubble_spread
        if values[-1] > beyond and values[-1] > _SURE_SHARE * max(values[-2], 1e-6):
            top = run.first + int(np.argmax(amounts.bubbles[run.first : run.first + run.count]))
            tops.append(float(values[-1]))
            darks.append(_darkest(dark, targets, top))
    if len(tops) < _FEWEST:
        return Pen(_UNKNOWN_AMOUNT, _UNKNOWN_DARK, len(tops))
    return Pen(median(tops), median(darks), len(tops))


def pen_of_strokes(dark: Floats, strokes: Strokes, targets: Targets) -> Pen:
    """The pen of a page without filled circles, by the strokes on its lines.

    Codes and names are printed on the page and not on the form, so that strokes elsewhere are
    no sign of the pen.
    """
    found = []
    for run in targets.runs:
        own = targets.centres[run.first : run.first + run.count]
        half = float(targets.diameters[run.first]) * 0.8
        (left, top), (right, bottom) = own.min(axis=0) - half, own.max(axis=0) + half
        area = Rectangle(float(left), float(top), float(right - left), float(bottom - top))
        labels = strokes.within(area)
        inked = (labels > 0) & (strokes.areas[labels] > _LARGE)
        found.append(cut(dark, area, COARSE)[inked])
    inks = np.concatenate(found)
    darkness = float(quantile(inks, 0.7)) if len(inks) else _UNKNOWN_DARK
    return Pen(_UNKNOWN_AMOUNT, darkness, 0)


def _darkest(dark: Floats, targets: Targets, bubble: int) -> float:
    x, y = targets.centres[bubble]
    half = targets.diameters[bubble] * 0.3
    middle = Rectangle(x - half, y - half, 2 * half, 2 * half)
    return float(quantile(cut(dark, middle, FINE).ravel(), 0.9))
