"""What lies in and around each box: ink, strokes, whose they are, and the page's usual tick."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.counted import Edges, counted, edges_of
from halfpoint.collect.paper.read.ink.strokes import PIXEL, Labels, Strokes
from halfpoint.collect.paper.read.ink.targets import Targets
from halfpoint.collect.paper.read.middle import median

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
    inside = _insides(strokes, targets.corners)
    parts: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for box, own in enumerate(inside):
        for number, size in own.items():
            parts[number].append((size, box))
    mains = [max(own, key=lambda number: own[number], default=0) for own in inside]
    elsewhere = [
        [size for size, other in parts.get(main, ()) if other != box]
        for box, main in enumerate(mains)
    ]
    words = _at_words(strokes, targets, parts)
    besides = _beside(strokes, targets.corners, mains)
    return [
        Inked(
            strokes=own,
            others=max(others, default=0.0),
            boxes=len(others) + bool(own),
            word=float(word),
            beside=(float(beside[0]), float(beside[1]), float(beside[2]), float(beside[3])),
        )
        for own, others, word, beside in zip(inside, elsewhere, words, besides, strict=True)
    ]


def usual_of(boxes: Sequence[Inked], strokes: Strokes, targets: Targets) -> Usual:
    """The usual tick, `NOT_KNOWN` where too few boxes are plainly ticked."""
    sure = [number for number, box in enumerate(boxes) if box.is_home]
    if len(sure) < _FEWEST:
        return NOT_KNOWN
    mains = [boxes[number].main for number in sure]
    over = [beyond(strokes, main, targets.corners[n]) for main, n in zip(mains, sure, strict=True)]
    left, up, right, down = (median(side) for side in zip(*over, strict=True))
    return Usual(
        stroke=median([boxes[number].stroke for number in sure]),
        size=median([strokes.areas[main] for main in mains]),
        beyond=(left, up, right, down),
        count=len(sure),
    )


def beyond(strokes: Strokes, number: int, corners: Array) -> tuple[float, float, float, float]:
    """How far a stroke leaves a box to the left, up, to the right and down (mm)."""
    out = strokes.boxes[number] - corners
    return float(-out[0]), float(-out[1]), float(out[2]), float(out[3])


def _insides(strokes: Strokes, corners: Array) -> list[dict[int, float]]:
    """The size of each stroke in each box (mm²)."""
    first = corners[:, :2] + _INSET
    areas = np.hstack([first, first + (corners[:, 2:] - corners[:, :2] - 2 * _INSET)])
    edges = edges_of(areas, strokes.labels.shape)
    inked = counted(strokes.labels > 0, edges)
    return [
        _strokes_in(strokes, own) if some else {} for own, some in zip(edges, inked, strict=True)
    ]


def _strokes_in(strokes: Strokes, edges: Edges) -> dict[int, float]:
    labels = _within(strokes, edges)
    counts = np.bincount(labels[labels > 0])
    found = np.flatnonzero(counts * PIXEL >= TRACE)
    return {int(number): float(counts[number] * PIXEL) for number in found}


def _within(strokes: Strokes, edges: Edges) -> Labels:
    left, top, right, bottom = edges
    return strokes.labels[top:bottom, left:right]


def _at_words(strokes: Strokes, targets: Targets, inside: Collection[int]) -> Array:
    """Ink around each box and its word that is no tick, by the strokes `inside` boxes (mm²)."""
    foreign = np.ones(len(strokes.areas), bool)
    foreign[[number for number in inside if strokes.areas[number] < _USUAL_SIZE]] = False
    foreign[0] = False
    left, top, _, bottom = targets.corners.T
    right = np.array([box.label.area.right for _, box in targets.boxes])
    before, above = left - _BEFORE_WORD, top - _AROUND_WORD
    areas = np.stack([before, above, before + (right - left), bottom + _AROUND_WORD], axis=1)
    edges = edges_of(areas, strokes.labels.shape)
    labels = strokes.labels.ravel()
    inked = np.flatnonzero(labels != 0)
    pixels = np.zeros(strokes.labels.shape, bool)
    pixels.ravel()[inked] = foreign[labels[inked]]
    return np.asarray(counted(pixels, edges) * PIXEL, float)


def _beside(strokes: Strokes, corners: Array, mains: Sequence[int]) -> Array:
    """Ink of others than the main stroke on the four sides of each box (mm²); (boxes, 4)."""
    left, top, right, bottom = corners.T
    before, above = left - _BESIDE, top - _BESIDE
    after, below = right + _BESIDE, bottom + _BESIDE
    sides = [
        (before, above, left, below),
        (left, above, right, top),
        (right, above, after, below),
        (left, bottom, right, below),
    ]
    areas = np.stack([np.stack(side, axis=1) for side in sides], axis=1)
    edges = edges_of(areas.reshape(-1, 4), strokes.labels.shape)
    pixels = counted(strokes.labels > 0, edges).reshape(-1, 4)
    for box in np.flatnonzero(mains).tolist():
        for side in range(4):
            labels = _within(strokes, edges[4 * box + side])
            pixels[box, side] -= np.count_nonzero(labels == mains[box])
    return np.asarray(pixels * PIXEL, float)
