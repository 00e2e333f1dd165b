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

_TICKED_SPREADS, _TICKED, _TICKED_SHARE = 10.0, 0.05, 0.3
_EMPTY_SPREADS, _EMPTY, _EMPTY_SHARE = 6.0, 0.018, 0.12
# A stroke over several boxes belongs to the one that has this many times as much of it as the
# next.
_HOME = 3.0
# Writing, not a tick: strokes this large (mm²) of which less than this share lies in the box.
_LARGE, _IN_BOX = 14.0, 0.2
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
    found = [Ticked(False)] * len(targets.boxes)
    for number in inside:
        found[number] = _one(
            float(amounts.boxes[number]), ticked, inside[number], strokes,
            guest=number in guests, unsure=number in unsure,
        )  # fmt: skip
    return tuple(found)


def _limits(amounts: Amounts) -> tuple[float, float]:
    """Below the first a box is empty, above the second it is ticked."""
    sure = amounts.boxes[amounts.boxes > max(_TICKED, _TICKED_SPREADS * amounts.box_spread)]
    usual = float(np.median(sure)) if len(sure) >= _FEWEST else _UNKNOWN
    return (
        max(_EMPTY_SPREADS * amounts.box_spread, _EMPTY, _EMPTY_SHARE * usual),
        max(_TICKED_SPREADS * amounts.box_spread, _TICKED, _TICKED_SHARE * usual),
    )


def _one(
    amount: float,
    limit: float,
    inside: dict[int, float],
    strokes: Strokes,
    *,
    guest: bool,
    unsure: bool,
) -> Ticked:
    if guest:
        return Ticked(False)
    if unsure:
        return Ticked(None, 'stray')
    if amount < limit:
        return Ticked(None, 'faint')
    largest = max(inside, key=lambda number: inside[number], default=0)
    if largest and strokes.areas[largest] > _LARGE:
        if inside[largest] / strokes.areas[largest] < _IN_BOX:
            return Ticked(None, 'stray')
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
