"""Rings around circles: some people ring the mark they mean instead of filling it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.ink.strokes import PIXEL, Strokes
from halfpoint.collect.paper.read.ink.targets import Run, Targets

# A ring lies between these distances from the middle of its circle, in diameters.
_INNER, _OUTER = 0.42, 1.05
_SECTORS = 16
_LEAST_INK = 0.8


@dataclass(frozen=True, slots=True)
class Ring:
    """The bubble most nearly ringed and the share of the way around that is drawn, 0 to 1.

    `next_share` is that of the bubble ringed next most, neighbours left out because a wide ring
    runs into their ground; `others` is the ink on the line that is not the ring's (mm²).
    """

    bubble: int
    share: float
    next_share: float
    others: float


def ring_of(strokes: Strokes, targets: Targets, run: Run) -> Ring:
    """The most complete ring on a run."""
    shares = np.array([_share(strokes, targets, run.first + n) for n in range(run.count)])
    best = int(np.argmax(shares))
    if shares[best] == 0:
        return Ring(0, 0.0, 0.0, 0.0)
    apart = np.abs(np.arange(run.count) - best) > 1
    return Ring(
        bubble=best,
        share=float(shares[best]),
        next_share=float(shares[apart].max(initial=0.0)),
        others=_others(strokes, targets, run, best),
    )


def _share(strokes: Strokes, targets: Targets, bubble: int) -> float:
    x, y = targets.centres[bubble]
    diameter = float(targets.diameters[bubble])
    half = _OUTER * diameter
    found = strokes.inked(Rectangle(x - half, y - half, 2 * half, 2 * half))
    distance = np.hypot(found.x - x, found.y - y)
    chosen = (distance > _INNER * diameter) & (distance < half)
    if chosen.sum() * PIXEL < _LEAST_INK:
        return 0.0
    turn = np.arctan2(found.y[chosen] - y, found.x[chosen] - x) / (2 * np.pi)
    sectors = np.unique(np.floor(turn * _SECTORS).astype(int) % _SECTORS)
    return len(sectors) / _SECTORS


def _others(strokes: Strokes, targets: Targets, run: Run, bubble: int) -> float:
    """Ink on the circles' height, farther from the ringed circle than a ring goes."""
    own = targets.centres[run.first : run.first + run.count]
    x, y = targets.centres[run.first + bubble]
    diameter = float(targets.diameters[run.first + bubble])
    left, right = float(own[0, 0]) - diameter, float(own[-1, 0]) + diameter
    found = strokes.inked(Rectangle(left, y - diameter / 2, right - left, diameter))
    return float((np.hypot(found.x - x, found.y - y) > 1.25 * diameter).sum() * PIXEL)
