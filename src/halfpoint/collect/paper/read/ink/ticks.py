"""Deciding the boxes: ticked, not ticked, or for a person to see."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.ink.amounts import Amounts
from halfpoint.collect.paper.read.ink.ground import Ground
from halfpoint.collect.paper.read.ink.pen import Pen
from halfpoint.collect.paper.read.ink.strokes import PIXEL, Strokes
from halfpoint.collect.paper.read.ink.targets import Targets

# Stroke in a box, in mm²: below the first there is none to speak of, from the second it is a tick.
_TRACE, _TICK, _TICK_UNKNOWN, _TICK_OF_USUAL = 0.2, 0.9, 1.5, 0.5
# Ink without a stroke: a shade that is no sharper than this is the other side showing through.
_SHADE_SPREADS, _SHADE, _SHADE_OF_PEN, _SHARP = 6.0, 0.018, 0.12, 0.06
# A stroke over several boxes belongs to the one that has so many times as much of it as the next.
_HOME, _LARGEST_TICK = 3.0, 13.0
# A stroke that leaves its box farther than a tick does, in millimetres: left, down, or right
# without going up; or one of which so little lies in the box.
_LEFT, _DOWN, _DOWN_USUAL, _RIGHT, _UP, _IN_BOX = 2.2, 0.95, 0.8, 2.6, 0.8, 0.4
# A box blotted out, unless that is how this taster ticks; and ticks larger than is usual.
_BLOT, _BLOT_STROKE, _FILLS, _LARGER, _DARKER = 0.78, 6.2, 0.6, 1.3, 1.8
_LARGEST = 2.6
_MESS, _MESS_BEYOND = 0.6, 1.15
# Ink for its strokes, against the pen's; and how much sharper than its mean a stroke is.
_PALE, _PALE_SHARP, _BOX_AREA = 0.57, 1.5, 9.0
# Ink around a word that is no box's tick may be a ring around it (mm²); and with so much ink of
# others close by, what lies in a box may be a part of a word.
_THIN, _THIN_SHARP = 0.01, 0.075
# By a pen lighter than this, a tick may be no sharper than what stands out from the sharpness of
# the page's empty boxes by so many of its spreads.
_LIGHT_PEN, _STANDS_OUT, _LEAST_SPREAD = 0.42, 3.5, 0.0015
_BLURRED, _BLIND, _BLIND_LEAST = 0.55, 0.36, 0.1
_AROUND_WORD, _WORDS, _WORDS_NEAR = 1.2, 1.0, 2.5
_FEWEST = 3
# The print that must be seen, the darkest ground around a box, also as a share of the ink in it,
# and the most that the paper may change nearby.
_SEEN, _SEEN_TICKED, _AROUND, _AROUND_SHARE, _UNEVEN = 0.25, -0.3, 0.05, 0.4, 0.09


@dataclass(frozen=True, slots=True)
class Ticked:
    """Whether a box is ticked; None, with a reason, when a person must see it."""

    ticked: bool | None
    reason: str = ''


@dataclass(frozen=True, slots=True)
class Inked:
    """What lies in one box.

    Ink, how sharp it is, also in spreads above the usual box of the page, and its strokes (mm² in
    the box by number).
    """

    amount: float
    sharp: float
    standing_out: float
    strokes: Mapping[int, float]

    @property
    def stroke(self) -> float:
        """All strokes in the box (mm²)."""
        return sum(self.strokes.values())

    @property
    def main(self) -> int:
        """The number of the largest, 0 without any."""
        return max(self.strokes, key=lambda number: self.strokes[number], default=0)


@dataclass(frozen=True, slots=True)
class Usual:
    """The page's usual tick: ink, its strokes in the box and in all (mm²), how far it goes down."""

    amount: float
    stroke: float
    size: float
    down: float


def decide_boxes(
    amounts: Amounts, strokes: Strokes, ground: Ground, targets: Targets, pen: Pen
) -> tuple[Ticked, ...]:
    """Decide every box of a page, in the order of the targets."""
    above = _standing_out(amounts.box_sharpness)
    boxes = [_inked(amounts, strokes, targets, above, n) for n in range(len(targets.boxes))]
    drawn = {n: box for n, box in enumerate(boxes) if box.stroke >= _TRACE}
    guests, unsure = _guests(drawn, strokes)
    usual = _usual(drawn, strokes, targets, guests | unsure)
    marks = {number for n in drawn if n not in guests for number in drawn[n].strokes}
    found = dict.fromkeys(unsure, Ticked(None, 'stray'))
    for number in drawn.keys() - guests - unsure:
        corners = targets.corners[number]
        if _words_near(strokes, corners, marks) > _WORDS:
            found[number] = Ticked(None, 'stray')
        else:
            found[number] = _drawn(drawn[number], strokes, corners, pen, usual)
    own = {s for n, ticked in found.items() if ticked.ticked for s in drawn[n].strokes}
    for number in range(len(boxes)):
        if number not in found:
            ringed = _around_word(strokes, targets, number, own) > _AROUND_WORD
            shaded = (
                Ticked(False)
                if number in guests
                else _shaded(
                    boxes[number],
                    amounts,
                    pen,
                    float(ground.boxes_seen[number]),
                    _is_blind(strokes, targets, number, pen),
                )
            )
            found[number] = Ticked(None, 'stray') if ringed else shaded
    return tuple(
        Ticked(None, 'stain') if _is_hidden(boxes[n], found[n], ground, n) else found[n]
        for n in range(len(boxes))
    )


def _is_hidden(box: Inked, found: Ticked, ground: Ground, number: int) -> bool:
    """Whether what is decided may be the work of a stain or a fold, or lost in glare."""
    if found.ticked is None:
        return False
    if ground.boxes_seen[number] < (_SEEN_TICKED if found.ticked else _SEEN):
        return True
    inked = bool(found.ticked) or box.amount > _SHADE
    shade = max(_AROUND, _AROUND_SHARE * box.amount)
    return inked and bool(
        ground.boxes_around[number] > shade or ground.boxes_uneven[number] > _UNEVEN
    )


def _standing_out(sharpness: NDArray[np.float64]) -> NDArray[np.float64]:
    """How many spreads each box is sharper than the usual one of the page."""
    if not len(sharpness):
        return sharpness
    usual = float(np.median(sharpness))
    spread = 1.4826 * float(np.median(np.abs(sharpness - usual)))
    return np.asarray((sharpness - usual) / max(spread, _LEAST_SPREAD), float)


def _inked(
    amounts: Amounts,
    strokes: Strokes,
    targets: Targets,
    above: NDArray[np.float64],
    number: int,
) -> Inked:
    left, top, right, bottom = targets.corners[number] + [0.2, 0.2, -0.2, -0.2]
    labels = strokes.within(Rectangle(left, top, right - left, bottom - top))
    numbers, counts = np.unique(labels[labels > 0], return_counts=True)
    inside = {int(n): float(c * PIXEL) for n, c in zip(numbers, counts, strict=True)}
    sharp = float(amounts.box_sharpness[number])
    return Inked(float(amounts.boxes[number]), sharp, float(above[number]), inside)


def _shaded(box: Inked, amounts: Amounts, pen: Pen, seen: float, blind: bool) -> Ticked:
    """A box without a stroke: empty, unless what shade there is may be a very light tick."""
    shade = max(_SHADE_SPREADS * amounts.box_spread, _SHADE)
    sharp = box.amount > shade and (box.sharp > _SHARP or seen < _BLURRED)
    deep = box.amount > max(shade, _SHADE_OF_PEN * pen.dark)
    thin = box.amount > _THIN and box.sharp > _THIN_SHARP
    if pen.dark < _LIGHT_PEN:
        thin = thin or box.standing_out > _STANDS_OUT
    lost = blind and box.sharp > _SHARP and box.amount > shade / 2
    return Ticked(None, 'faint') if sharp or deep or lost or thin else Ticked(False)


def _is_blind(strokes: Strokes, targets: Targets, number: int, pen: Pen) -> bool:
    """Whether noise hides lighter strokes here than this pen's."""
    left, top, right, bottom = targets.corners[number]
    least = strokes.least_at((left + right) / 2, (top + bottom) / 2)
    return least > _BLIND * pen.dark and least > _BLIND_LEAST


def _drawn(
    box: Inked, strokes: Strokes, corners: NDArray[np.float64], pen: Pen, usual: Usual | None
) -> Ticked:
    """A box with strokes in it that are no other box's."""
    size = float(strokes.areas[box.main])
    if _strays(strokes.boxes[box.main], corners, usual) or box.strokes[box.main] < _IN_BOX * size:
        return Ticked(None, 'stray')
    beyond = _beyond(strokes.boxes[box.main], corners)
    if _is_shade(box, pen):
        return Ticked(None, 'stain')
    if _is_taken_back(box, size, beyond, pen, usual):
        return Ticked(None, 'corrected')
    least = _TICK_UNKNOWN if usual is None else max(_TICK, _TICK_OF_USUAL * usual.stroke)
    return Ticked(True) if box.stroke >= least else Ticked(None, 'faint')


def _strays(stroke: NDArray[np.float64], corners: NDArray[np.float64], usual: Usual | None) -> bool:
    """Whether a stroke leaves its box in another way than ticks do."""
    left, up = corners[:2] - stroke[:2]
    right, down = stroke[2:] - corners[2:]
    lowest = _DOWN if usual is None else max(_DOWN, usual.down + _DOWN_USUAL)
    return bool(left > _LEFT or down > lowest or (right > _RIGHT and up < _UP))


def _words_near(strokes: Strokes, corners: NDArray[np.float64], ticks: set[int]) -> float:
    """Ink to the left of a box and below it, where no tail of a tick goes, of no tick (mm²)."""
    left, top = corners[0] - _WORDS_NEAR, corners[1] + 0.5
    right, bottom = corners[2], corners[3] + _WORDS_NEAR
    found = strokes.inked(Rectangle(left, top, right - left, bottom - top))
    return float((~np.isin(found.numbers, list(ticks))).sum() * PIXEL)


def _is_shade(box: Inked, pen: Pen) -> bool:
    """Whether what lies in a box is wide and pale, unlike this pen's strokes."""
    paleness = box.amount / max(pen.dark * box.stroke / _BOX_AREA, 1e-6)
    return paleness < _PALE and box.sharp < _PALE_SHARP * box.amount


def _beyond(stroke: NDArray[np.float64], corners: NDArray[np.float64]) -> float:
    """How far a stroke leaves its box, on the side where it does so most (mm)."""
    return float(max(*(corners[:2] - stroke[:2]), *(stroke[2:] - corners[2:])))


def _is_taken_back(box: Inked, size: float, beyond: float, pen: Pen, usual: Usual | None) -> bool:
    """Whether a box may have been ticked and then blotted out."""
    if box.amount > _MESS * pen.dark and box.stroke > _BLOT_STROKE and beyond > _MESS_BEYOND:
        return True
    blot = box.amount > _BLOT * pen.dark and box.stroke > _BLOT_STROKE
    if usual is None:
        return blot
    fills = usual.amount > _FILLS * pen.dark
    larger = size > (_LARGER if fills else _LARGEST) * usual.size
    darker = not fills and box.amount > _DARKER * usual.amount and box.stroke > _BLOT_STROKE / 2
    return larger or (blot and not fills) or darker


def _usual(
    drawn: Mapping[int, Inked], strokes: Strokes, targets: Targets, but: Iterable[int]
) -> Usual | None:
    """The usual tick; None where too few boxes are plainly ticked."""
    left_out = set(but)
    sure = [n for n, box in drawn.items() if n not in left_out and box.stroke >= _TICK]
    if len(sure) < _FEWEST:
        return None
    down = [strokes.boxes[drawn[n].main][3] - targets.corners[n, 3] for n in sure]
    return Usual(
        amount=float(np.median([drawn[n].amount for n in sure])),
        stroke=float(np.median([drawn[n].stroke for n in sure])),
        size=float(np.median([strokes.areas[drawn[n].main] for n in sure])),
        down=float(np.median(down)),
    )


def _around_word(strokes: Strokes, targets: Targets, number: int, ticks: set[int]) -> float:
    """Ink on a box and its word that is no tick (mm²)."""
    box = targets.boxes[number][1]
    top, bottom = box.area.top - 1.0, box.area.bottom + 1.0
    found = strokes.inked(
        Rectangle(box.area.left - 0.8, top, box.label.area.right - box.area.left, bottom - top)
    )
    return float((~np.isin(found.numbers, list(ticks))).sum() * PIXEL)


def _guests(drawn: Mapping[int, Inked], strokes: Strokes) -> tuple[set[int], set[int]]:
    """Boxes with nothing but the tail of another's tick, and those where that is not sure."""
    where: dict[int, list[int]] = defaultdict(list)
    for box, inked in drawn.items():
        for number in inked.strokes:
            where[number].append(box)
    away: dict[int, float] = defaultdict(float)
    unsure: set[int] = set()
    for number, boxes in where.items():
        if len(boxes) > 1:
            home, *others = _by_share(drawn, boxes, number)
            large = strokes.areas[number] > _LARGEST_TICK
            if large or drawn[home].strokes[number] < _HOME * drawn[others[0]].strokes[number]:
                unsure.update(boxes)
            else:
                for box in others:
                    away[box] += drawn[box].strokes[number]
    guests = {box for box, share in away.items() if share > 0.85 * drawn[box].stroke}
    return guests - unsure, unsure | (away.keys() - guests)


def _by_share(drawn: Mapping[int, Inked], boxes: Sequence[int], number: int) -> list[int]:
    return sorted(boxes, key=lambda box: drawn[box].strokes[number], reverse=True)
