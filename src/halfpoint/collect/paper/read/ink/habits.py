"""What is usual on a page: how this taster marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.pen import Pen
from halfpoint.collect.paper.read.ink.rings import RING
from halfpoint.collect.paper.read.middle import median, quantile

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Habits:
    """What is usual on a page.

    How far marks reach, ink near and far, how plain they are, in spreads of empty circles; whether
    marks are rings, and how large and dark these are; how the ink of marks is spread, in the order
    of `SPREAD`.
    """

    reach: float
    reach_spread: float
    near: float
    far: float
    arms: float
    strokes: float
    ink: float
    rings: bool
    ring_size: float
    ring_others: float
    ring_dark: float
    plain: float
    spread: Array


# A line counts when it has so many spreads of ink, or so much of the usual mark.
_SPREADS, _SHARE = 8.0, 0.27
_FEWEST = 4


def habits_of(evidence: Sequence[Evidence], pen: Pen, spread: float, *, ringed: bool) -> Habits:
    """The habits of a page by the lines that are marked; `ringed` where that is by rings."""
    least = max(_SPREADS * spread, _SHARE * pen.amount)
    marked = [e for e in evidence if (e.ring.share >= RING if ringed else e.most > least)]
    ink = median([e.ink for e in evidence])
    whole = [e.ring for e in evidence if e.ring.share >= RING]
    size, dark = (
        (median([ring.size for ring in whole]), median([r.dark for r in whole]))
        if whole
        else (0.0, 0.0)
    )
    plain = median([e.plain for e in marked]) if marked else 0.0
    spreads = np.array([e.spread for e in (marked if len(marked) >= _FEWEST else evidence)])
    usual = quantile(spreads.T, 0.5)
    if len(marked) < _FEWEST:
        return Habits(
            0.5, 0.3, 0.1, 0.0, 1.0, 8.0, ink, ringed, size, 0.0, dark, plain, spread=usual
        )
    reach = np.array([e.reach for e in marked])
    return Habits(
        reach=median(reach),
        reach_spread=1.4826 * median(np.abs(reach - median(reach))),
        near=median([e.near for e in marked]),
        far=median([e.far for e in marked]),
        arms=median([e.arms for e in marked]),
        strokes=median([e.strokes for e in marked]),
        ink=ink,
        rings=ringed,
        ring_size=size,
        ring_others=median([e.ring.others for e in marked]),
        ring_dark=dark,
        plain=plain,
        spread=usual,
    )
