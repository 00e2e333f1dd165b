"""Lines as a hand draws them: smooth curves through a few points, with a wobble."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Line = NDArray[np.float64]
Points = Sequence[tuple[float, float]] | Line


@lru_cache(maxsize=64)
def _basis(steps: int) -> NDArray[np.float64]:
    """Weights (steps, 4) of a Catmull-Rom span (Catmull and Rom, 1974), its end left out."""
    t = np.arange(steps) / steps
    t2, t3 = t * t, t * t * t
    return 0.5 * np.stack(
        (-t3 + 2 * t2 - t, 3 * t3 - 5 * t2 + 2, -3 * t3 + 4 * t2 + t, t3 - t2), axis=1
    )


def through(points: Points, steps: int = 6) -> Line:
    """A smooth line (n, 2) through all points; a point given twice makes a corner."""
    knots = np.asarray(points, float)
    padded = np.concatenate((knots[:1], knots, knots[-1:]))
    spans = np.stack([padded[k : len(padded) - 3 + k] for k in range(4)], axis=1)
    curve = np.einsum('sk,nkd->nsd', _basis(steps), spans).reshape(-1, 2)
    return np.concatenate((curve, knots[-1:]))


def straight(start: tuple[float, float], end: tuple[float, float], bend: float = 0.0) -> Line:
    """From start to end, bowed sideways by a share of its length."""
    a, b = np.array(start, float), np.array(end, float)
    t = np.linspace(0, 1, max(4, int(np.hypot(*(b - a)) / 0.4) + 2))[:, None]
    side = np.array((a[1] - b[1], b[0] - a[0]))
    return np.asarray(a + (b - a) * t + side * bend * 4 * t * (1 - t))


def wobbled(rng: np.random.Generator, line: Line, amount: float, every: int = 3) -> Line:
    """The line with the hand's tremor: noise that is smooth over some points."""
    knots = max(2, len(line) // every + 1)
    noise = rng.normal(0, amount, (knots, 2))
    at = np.linspace(0, knots - 1, len(line))
    along = np.arange(knots)
    return line + np.stack([np.interp(at, along, noise[:, axis]) for axis in (0, 1)], axis=1)


def turned(line: Line, angle: float) -> Line:
    """Turned about the zero point, in radians."""
    c, s = np.cos(angle), np.sin(angle)
    return line @ np.array(((c, s), (-s, c)))
