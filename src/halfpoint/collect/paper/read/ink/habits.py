"""What is usual on a page: how this taster marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.pen import Pen


@dataclass(frozen=True, slots=True)
class Habits:
    """What is usual on a page: how far marks reach, ink near and far, whether marks are rings."""

    reach: float
    reach_spread: float
    near: float
    far: float
    arms: float
    strokes: float
    ink: float
    rings: bool


# A line counts when it has so many spreads of ink, or so much of the usual mark.
_SPREADS, _SHARE, _INK = 8.0, 0.27, 0.022
_FEWEST = 4
RING, HALF_RING = 0.8, 0.6
# A page is one of rings when so many lines, and so large a share of them, are ringed alone.
# Inside a ring there is little ink, as a share of the pen's darkness.
_RING_LINES, _RING_PAGE, _RING_EMPTY = 4, 0.6, 0.3
RING_OTHERS, RING_INSIDE, PART_RING = 2.5, 0.3, 0.65


def habits_of(evidence: Sequence[Evidence], pen: Pen, spread: float) -> Habits:
    """The habits of a page by the lines that are marked."""
    marked = [e for e in evidence if e.most > max(_SPREADS * spread, _SHARE * pen.amount)]
    ringed = sum(is_ring(e, _RING_EMPTY * pen.dark) for e in evidence)
    lines = max(1, sum(e.most > _INK or e.ring.share > HALF_RING for e in evidence))
    rings = ringed >= _RING_LINES and ringed >= _RING_PAGE * lines
    ink = float(np.median([e.ink for e in evidence]))
    if len(marked) < _FEWEST:
        return Habits(0.5, 0.3, 0.1, 0.0, 1.0, 8.0, ink, rings)
    reach = np.array([e.reach for e in marked])
    return Habits(
        reach=float(np.median(reach)),
        reach_spread=1.4826 * float(np.median(np.abs(reach - np.median(reach)))),
        near=float(np.median([e.near for e in marked])),
        far=float(np.median([e.far for e in marked])),
        arms=float(np.median([e.arms for e in marked])),
        strokes=float(np.median([e.strokes for e in marked])),
        ink=ink,
        rings=rings,
    )


def is_ring(evidence: Evidence, inside: float, share: float = RING) -> bool:
    """One ring and nothing else that could be a mark.

    Args:
        evidence: what lies on the line.
        inside: the most ink that may lie in any circle.
        share: how much of the way around must be drawn.
    """
    ring = evidence.ring
    return (
        ring.share >= share
        and ring.next_share < HALF_RING
        and ring.others < RING_OTHERS
        and most_inside(evidence) < inside
    )


def most_inside(evidence: Evidence) -> float:
    """The most ink in any circle: a ring leaves all of them empty, a struck ring does not."""
    return float(evidence.amounts.max(initial=0.0))
