"""Deciding the boxes: ticked, not ticked, or for a person to see."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.ink.amounts import Amounts
from halfpoint.collect.paper.read.ink.strokes import PIXEL, Strokes
from halfpoint.collect.paper.read.ink.targets import Targets

_TICKED_SPREADS, _TICKED, _TICKED_SHARE = 8.0, 0.03, 0.16
_EMPTY_SPREADS, _EMPTY, _EMPTY_SHARE = 6.0, 0.018, 0.12
# A stroke over several boxes belongs to the one that has this many times as much of it as the
# next.
_HOME = 3.0
# Writing, not a tick: strokes this large (mm²) of which less than this share lies in the box.
_LARGE, _IN_BOX = 14.0, 0.2
# A tick with this many times the usual ink or stroke was probably taken back, and this much ink
# around a word that is no other box's tick may be a ring around it (mm²).
_TAKEN_BACK, _LARGER = 2.0, 2.4
_AROUND_WORD = 1.2
_FEWEST = 4
_UNKNOWN = 0.15


@dataclass(frozen=True, slots=True)
class Ticked:
    """Whether a box is ticked; None, with a reason, when a person must see it."""

    ticked: bool | None
    reason: str = ''


def decide_boxes(amounts: Amounts, strokes: Strokes, targets: Targets) -> tuple[Ticked, ...]:
    """Decide every box of a page, in the order of the targets."""
    empty, ticked = _limits(amounts)
    inked = np.flatnonzero(amounts.boxes > empty)
    inside = {int(n): _inside(strokes, targets, int(n)) for n in inked}
    guests, unsure = _guests(inside)
    usual = _usual(amounts, strokes, inside, ticked)
    ticks = {number for n in inside if n not in guests for number in inside[n]}
    found: list[Ticked] = []
    for number in range(len(targets.boxes)):
        amount = float(amounts.boxes[number])
        if number not in inside or number in guests:
            ringed = _around_word(strokes, targets, number, ticks) > _AROUND_WORD
            found.append(Ticked(None, 'stray') if ringed else Ticked(False))
        elif number in unsure:
            found.append(Ticked(None, 'stray'))
        else:
            found.append(_one(amount, ticked, inside[number], strokes, usual))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Usual:
    """Ink and size of stroke of the page's usual tick; nothing where there are too few."""

    amount: float = float('inf')
    stroke: float = float('inf')


def _usual(
    amounts: Amounts, strokes: Strokes, inside: dict[int, dict[int, float]], limit: float
) -> _Usual:
    sure = [n for n in inside if amounts.boxes[n] > limit]
    if len(sure) < _FEWEST:
        return _Usual()
    sizes = [max((strokes.areas[s] for s in inside[n]), default=0.0) for n in sure]
    return _Usual(float(np.median(amounts.boxes[sure])), float(np.median(sizes)))


def _around_word(strokes: Strokes, targets: Targets, number: int, ticks: set[int]) -> float:
    """Ink on a box and its word that is no tick (mm²)."""
    box = targets.boxes[number][1]
    top, bottom = box.area.top - 1.0, box.area.bottom + 1.0
    found = strokes.inked(
        Rectangle(box.area.left - 0.8, top, box.label.area.right - box.area.left, bottom - top)
    )
    return float((~np.isin(found.numbers, list(ticks))).sum() * PIXEL)


def _limits(amounts: Amounts) -> tuple[float, float]:
    """Below the first a box is empty, above the second it is ticked."""
    sure = amounts.boxes[amounts.boxes > max(_TICKED, _TICKED_SPREADS * amounts.box_spread)]
    usual = float(np.median(sure)) if len(sure) >= _FEWEST else _UNKNOWN
    return (
        max(_EMPTY_SPREADS * amounts.box_spread, _EMPTY, _EMPTY_SHARE * usual),
        max(_TICKED_SPREADS * amounts.box_spread, _TICKED, _TICKED_SHARE * usual),
    )


def _one(
    amount: float, limit: float, inside: dict[int, float], strokes: Strokes, usual: _Usual
) -> Ticked:
    if amount < limit:
        return Ticked(None, 'faint')
    largest = max(inside, key=lambda number: inside[number], default=0)
    size = float(strokes.areas[largest]) if largest else 0.0
    if size > _LARGE and inside[largest] / size < _IN_BOX:
        return Ticked(None, 'stray')
    if amount > _TAKEN_BACK * usual.amount or size > _LARGER * usual.stroke:
        return Ticked(None, 'corrected')
    return Ticked(True)


def _inside(strokes: Strokes, targets: Targets, box: int) -> dict[int, float]:
    """The strokes in a box, each with how much of it lies there (mm²)."""
    left, top, right, bottom = targets.corners[box] + [0.2, 0.2, -0.2, -0.2]
    labels = strokes.within(Rectangle(left, top, right - left, bottom - top))
    numbers, counts = np.unique(labels, return_counts=True)
    return {int(n): c * PIXEL for n, c in zip(numbers, counts, strict=True) if n}


def _guests(inside: dict[int, dict[int, float]]) -> tuple[set[int], set[int]]:
    """Boxes with nothing but the tail of another's tick, and those where that is not sure."""
    where: dict[int, list[int]] = defaultdict(list)
    for box, strokes in inside.items():
        for number in strokes:
            where[number].append(box)
    away: dict[int, float] = defaultdict(float)
    unsure: set[int] = set()
    for number, boxes in where.items():
        if len(boxes) < 2:
            continue
        shares = sorted(((inside[box][number], box) for box in boxes), reverse=True)
        if shares[0][0] < _HOME * shares[1][0]:
            unsure.update(boxes)
            continue
        for share, box in shares[1:]:
            away[box] += share
    guests = {box for box, share in away.items() if share > 0.85 * sum(inside[box].values())}
    unsure |= away.keys() - guests
    return guests - unsure, unsure
