"""Rings around circles: some people ring the mark they mean instead of filling it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.ink.amounts import Amounts
from halfpoint.collect.paper.read.ink.strokes import PIXEL, Strokes
from halfpoint.collect.paper.read.ink.targets import Run, Targets
from halfpoint.collect.paper.read.middle import median, middle_of
from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Array = NDArray[np.float64]
Floats = NDArray[np.float32]
# A ring lies between these distances from the middle of its circle, in diameters.
_INNER, _OUTER = 0.32, 1.08
_TURNS, _STEPS = 32, np.linspace(_INNER, _OUTER, 20)
# It is darker than what is usual there by so many spreads, and never by less than the second.
_SPREADS, _LEAST = 3.0, 0.02
_BLUR, _LEAST_SPREAD = 3, 0.001
# Ink on the line is not the ring's from so far out, looked at a little farther, in diameters.
_BEYOND, _OUT = 1.25, 1.4
# With less of the way around, no curve is told.
_FEWEST, _ROUGHEST = 0.4, 1.0
# So much of the way around is a ring, or half of one.
RING, HALF_RING = 0.8, 0.6
# A page is one of rings when so many lines, and so large a share of those with a mark, have a ring
# with so little ink inside, and so little in any other bubble, as shares of how dark it is drawn:
# beside an outline that is printed too dark, what is filled is the mark. That has so much ink.
_RING_LINES, _RING_PAGE, _HOLLOW, _INK = 4, 0.45, 0.4, 0.022
OTHER_INK = 0.5


@dataclass(frozen=True, slots=True)
class Ring:
    """The bubble most nearly ringed and the share of the way around that is drawn, 0 to 1.

    `next_share` is that of the bubble ringed next most, neighbours left out because a wide ring
    runs into their ground, and `beside` that of the neighbour ringed most.  `others` is the ink on
    the line that is not the ring's (mm²).  `size` is its mean distance from the middle, and
    `rough` how far it is off an oval, both in diameters.  `dark` is how dark it is drawn, and
    `inside` the ink in its bubble as a share of that.
    """

    bubble: int
    share: float
    next_share: float
    beside: float
    others: float
    size: float
    rough: float
    dark: float
    inside: float


@dataclass(frozen=True, slots=True)
class Turns:
    """What lies around each circle, direction by direction; (circles, directions) each.

    `dark` is the darkest place between where rings may lie, above what the page's circles show
    there, `drawn` whether that is a line, and `far` how far out it lies, in diameters.
    """

    dark: Array
    drawn: NDArray[np.bool_]
    far: Array


def turns_of(above: Floats, targets: Targets) -> Turns:
    """What lies around each circle of a page.

    Args:
        above: darkness of the page above the print, `COARSE` pixels a millimetre.
        targets: of the page.
    """
    blurred = np.asarray(cv2.blur(above, (_BLUR, _BLUR)), np.float32)
    found = np.take(blurred, _places(targets, blurred.shape))
    # What all circles show alike is print that lies a little beside its place.
    found -= middle_of(found)
    best = found.argmax(axis=2)
    dark = np.asarray(np.take_along_axis(found, best[..., None], axis=2)[..., 0], float)
    usual = median(dark)
    spread = max(1.4826 * median(np.abs(dark - usual)), _LEAST_SPREAD)
    return Turns(dark, dark > usual + max(_SPREADS * spread, _LEAST), _STEPS[best])


@lru_cache(maxsize=8)
def _places(targets: Targets, shape: tuple[int, int]) -> NDArray[np.intp]:
    """Where to look around each circle, as pixels of an image in one row."""
    turn = 2 * np.pi * (np.arange(_TURNS) + 0.5) / _TURNS
    out = targets.diameters[:, None, None] * _STEPS
    x = targets.centres[:, 0, None, None] + np.cos(turn)[:, None] * out
    y = targets.centres[:, 1, None, None] + np.sin(turn)[:, None] * out
    rows, columns = (_pixel(at, size) for at, size in zip((y, x), shape, strict=True))
    return rows * shape[1] + columns


def ring_of(turns: Turns, amounts: Amounts, strokes: Strokes, targets: Targets, run: Run) -> Ring:
    """The most complete ring on a run."""
    shares = turns.drawn[run.first : run.first + run.count].mean(axis=1)
    best = int(np.argmax(shares))
    at = run.first + best
    apart = np.abs(np.arange(run.count) - best)
    size, rough = _oval(turns.drawn[at], turns.far[at])
    dark = float(turns.dark[at].mean())
    return Ring(
        bubble=best,
        share=float(shares[best]),
        next_share=float(shares[apart > 1].max(initial=0.0)),
        beside=float(shares[apart == 1].max(initial=0.0)),
        others=_others(strokes, targets, run, best),
        size=size,
        rough=rough,
        dark=dark,
        inside=float(amounts.bubbles[at]) / max(dark, _LEAST),
    )


def is_ringed(turns: Turns, amounts: Amounts, targets: Targets) -> bool:
    """Whether most marked lines of a page have one ring that is hollow, and nothing more."""
    shares = turns.drawn.mean(axis=1)
    dark = turns.dark.mean(axis=1)
    hollow = amounts.bubbles < _HOLLOW * dark
    ringed = marked = 0
    for run in targets.runs:
        own = slice(run.first, run.first + run.count)
        most = float(shares[own].max())
        best = int(np.argmax(shares[own]))
        others = np.delete(amounts.bubbles[own], best).max(initial=0.0)
        marked += most > HALF_RING or float(amounts.bubbles[own].max()) > _INK
        alone = bool(others < OTHER_INK * dark[own][best])
        ringed += most >= RING and bool(hollow[own][best]) and alone
    return ringed >= _RING_LINES and ringed >= _RING_PAGE * marked


def _oval(drawn: NDArray[np.bool_], far: Array) -> tuple[float, float]:
    """The mean distance of a ring, and how far it is off an oval around any middle."""
    if drawn.mean() < _FEWEST:
        return 0.0, _ROUGHEST
    waves = _waves()[drawn]
    found, *_ = np.linalg.lstsq(waves, far[drawn], rcond=None)
    left = far[drawn] - waves @ found
    return float(found[0]), float(np.sqrt(np.mean(left**2)))


@cache
def _waves() -> Array:
    """An oval off its middle, as a sum of waves around it; (directions, 5)."""
    turn = 2 * np.pi * (np.arange(_TURNS) + 0.5) / _TURNS
    once, twice = turn, 2 * turn
    waves = (np.ones(_TURNS), np.cos(once), np.sin(once), np.cos(twice), np.sin(twice))
    return np.stack(waves, axis=1)


def _others(strokes: Strokes, targets: Targets, run: Run, bubble: int) -> float:
    """Ink on the circles' height, farther from the ringed circle than a ring goes."""
    own = targets.centres[run.first : run.first + run.count]
    x, y = targets.centres[run.first + bubble]
    diameter = float(targets.diameters[run.first + bubble])
    left, right = float(own[0, 0]) - diameter, float(own[-1, 0]) + diameter
    line = Rectangle(left, y - diameter / 2, right - left, diameter)
    # Counting all of the line and taking off the ring's is faster than measuring all distances.
    start, end = max(left, x - _OUT * diameter), min(right, x + _OUT * diameter)
    found = strokes.inked(replace(line, left=start, width=end - start))
    near = np.count_nonzero(np.hypot(found.x - x, found.y - y) <= _BEYOND * diameter)
    return float((np.count_nonzero(strokes.within(line)) - near) * PIXEL)


def _pixel(places: Array, size: int) -> NDArray[np.intp]:
    return np.clip(np.rint((places + MARGIN) * COARSE - 0.5), 0, size - 1).astype(np.intp)
