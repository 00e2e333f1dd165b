"""What lies in and around each box: ink, strokes, whose they are, and the page's usual tick."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.ink.strokes import PIXEL, Strokes
from halfpoint.collect.paper.read.ink.targets import Targets

Array = NDArray[np.float64]
# Less of a stroke in a box is a trace, with so much it is drawn on (mm²).
TRACE, _DRAWN = 0.06, 0.9
# A box reaches so far beyond its outline, in millimetres, where strokes in it are looked for.
_INSET = 0.2
# Around a box and its word, and around the box alone, on each side.
_AROUND_WORD, _BEFORE_WORD, _BESIDE = 1.0, 0.8, 1.6
# A stroke that is more in its box than this many times what is in another is at home there.
_HOME = 3.0
_FEWEST, _USUAL_SIZE = 3, 40.0


@dataclass(frozen=True, slots=True)
class Inked:
    """Strokes in one box.

    `strokes` has the size in the box (mm²) of each by its number.  `others` is the largest part
    that another box has of its main stroke, `boxes` in how many that lies.  `word` is the ink
    around the box and its word that is in no box's strokes, and `beside` that to the left, above,
    to the right and below the box (mm²).
    """

    strokes: Mapping[int, float]
    others: float
    boxes: int
    word: float
    beside: tuple[float, float, float, float]

    @property
    def stroke(self) -> float:
        """All strokes in the box (mm²)."""
        return sum(self.strokes.values())

    @property
    def main(self) -> int:
        """The number of the largest, 0 without any."""
        return max(self.strokes, key=lambda number: self.strokes[number], default=0)

    @property
    def is_home(self) -> bool:
        """Whether its main stroke is a tick of this box, and of no other."""
        return self.stroke >= _DRAWN and self.strokes[self.main] > _HOME * self.others

    @property
    def is_guest(self) -> bool:
        """Whether its main stroke lies more in another box."""
        return self.others > self.strokes.get(self.main, 0.0)


@dataclass(frozen=True, slots=True)
class Usual:
    """The page's usual tick: `stroke` in the box and `size` in all (mm²), and how it leaves.

    `beyond` is how far, to the left, up, to the right and down (mm); `count` how many told it.
    """

    stroke: float
    size: float
    beyond: tuple[float, float, float, float]
    count: int


NOT_KNOWN = Usual(2.5, 4.0, (0.0, 0.3, 0.3, 0.0), 0)


def inked_boxes(strokes: Strokes, targets: Targets) -> list[Inked]:
    """What lies in every box, in the order of the targets."""
    inside = [_strokes_in(strokes, corners) for corners in targets.corners]
    parts: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for box, own in enumerate(inside):
        for number, size in own.items():
            parts[number].append((size, box))
    ticks = np.zeros(len(strokes.areas), bool)
    ticks[[number for number in parts if strokes.areas[number] < _USUAL_SIZE]] = True
    return [_inked(strokes, targets, box, own, parts, ticks) for box, own in enumerate(inside)]


def usual_of(boxes: Sequence[Inked], strokes: Strokes, targets: Targets) -> Usual:
    """The usual tick, `NOT_KNOWN` where too few boxes are plainly ticked."""
    sure = [number for number, box in enumerate(boxes) if box.is_home]
    if len(sure) < _FEWEST:
        return NOT_KNOWN
    mains = [boxes[number].main for number in sure]
    left, up, right, down = np.median(
        [beyond(strokes, main, targets.corners[n]) for main, n in zip(mains, sure, strict=True)],
        axis=0,
    )
    return Usual(
        stroke=float(np.median([boxes[number].stroke for number in sure])),
        size=float(np.median([strokes.areas[main] for main in mains])),
        beyond=(float(left), float(up), float(right), float(down)),
        count=len(sure),
    )


def beyond(strokes: Strokes, number: int, corners: Array) -> tuple[float, float, float, float]:
    """How far a stroke leaves a box to the left, up, to the right and down (mm)."""
    out = strokes.boxes[number] - corners
    return float(-out[0]), float(-out[1]), float(out[2]), float(out[3])


def _strokes_in(strokes: Strokes, corners: Array) -> dict[int, float]:
    left, top = corners[:2] + _INSET
    wide, high = corners[2:] - corners[:2] - 2 * _INSET
    labels = strokes.within(Rectangle(left, top, wide, high))
    counts = np.bincount(labels[labels > 0])
    found = np.flatnonzero(counts * PIXEL >= TRACE)
    return {int(number): float(counts[number] * PIXEL) for number in found}


def _inked(
    strokes: Strokes,
    targets: Targets,
    number: int,
    own: Mapping[int, float],
    parts: Mapping[int, Sequence[tuple[float, int]]],
    ticks: NDArray[np.bool_],
) -> Inked:
    main = max(own, key=lambda each: own[each], default=0)
    elsewhere = [size for size, box in parts.get(main, ()) if box != number]
    box = targets.boxes[number][1]
    top, bottom = box.area.top - _AROUND_WORD, box.area.bottom + _AROUND_WORD
    before = box.area.left - _BEFORE_WORD
    around = Rectangle(before, top, box.label.area.right - box.area.left, bottom - top)
    labels = strokes.within(around)
    return Inked(
        strokes=own,
        others=max(elsewhere, default=0.0),
        boxes=len(elsewhere) + bool(own),
        word=_foreign(labels, ticks),
        beside=_beside(strokes, targets.corners[number], main),
    )


def _beside(strokes: Strokes, corners: Array, main: int) -> tuple[float, float, float, float]:
    """Ink of others than the main stroke on the four sides of a box."""
    left, top, right, bottom = corners
    wide, high = right - left, bottom - top
    sides = (
        Rectangle(left - _BESIDE, top - _BESIDE, _BESIDE, high + 2 * _BESIDE),
        Rectangle(left, top - _BESIDE, wide, _BESIDE),
        Rectangle(right, top - _BESIDE, _BESIDE, high + 2 * _BESIDE),
        Rectangle(left, bottom, wide, _BESIDE),
    )
    found = (strokes.within(side) for side in sides)
    before, above, after, below = (
        float(np.count_nonzero((labels > 0) & (labels != main)) * PIXEL) for labels in found
    )
    return before, above, after, below


def _foreign(labels: NDArray[np.int32], ticks: NDArray[np.bool_]) -> float:
    inked = labels[labels > 0]
    return float(np.count_nonzero(~ticks[inked]) * PIXEL)
