"""What speaks for and against each mark on a line, in figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle, Row
from halfpoint.collect.paper.read.ink.amounts import Amounts
from halfpoint.collect.paper.read.ink.strokes import PIXEL, Strokes
from halfpoint.collect.paper.read.ink.targets import Run, Targets
from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Array = NDArray[np.float64]
# Of a line this much belongs to it, in millimetres: half its height above and below, and the
# place of a bubble before the first and after the last.
_BEFORE_AND_AFTER = 2.6
# Ink this close to the outline of the marked circle is the mark's own, in millimetres.
_OWN = 0.7
# A ring lies between these distances from the middle of a circle, in diameters.
_RING = (0.5, 1.0)
_SECTORS = 12


@dataclass(frozen=True, slots=True)
class Evidence:
    """What lies on one run of bubbles.

    `amounts` (count,) is the ink in each bubble; `top` and `second` the bubbles with most.
    `reach` is how far the strokes of the top one lead away from its outline, `strokes` their
    size, `foreign` the size of other ink on the line (mm, mm²).  `ring` is the share of the way
    around the circle `ringed` that is drawn.  `marks` are the numbers of the top one's strokes.
    """

    run: Run
    amounts: Array
    top: int
    second: int
    reach: float
    strokes: float
    spill: float
    foreign: float
    ring: float
    ringed: int
    marks: tuple[int, ...]

    @property
    def most(self) -> float:
        """The ink of the top bubble."""
        return float(self.amounts[self.top])

    @property
    def next(self) -> float:
        """The ink of the second one."""
        return float(self.amounts[self.second])


def evidence_of(amounts: Amounts, strokes: Strokes, targets: Targets) -> list[Evidence]:
    """The evidence of every run, in order."""
    tops = [_top_of(run, amounts) for run in targets.runs]
    owned = [_touching(strokes, targets, run, top) for run, top in zip(targets.runs, tops)]
    claimed = _claimed(
        owned, [float(amounts.bubbles[r.first + t]) for r, t in zip(targets.runs, tops)], amounts
    )
    return [
        _evidence(run, top, own, claimed, amounts, strokes, targets)
        for run, top, own in zip(targets.runs, tops, owned)
    ]


def _top_of(run: Run, amounts: Amounts) -> int:
    return int(np.argmax(amounts.bubbles[run.first : run.first + run.count]))


def _touching(strokes: Strokes, targets: Targets, run: Run, bubble: int) -> tuple[int, ...]:
    """The strokes that lead into a bubble."""
    x, y = targets.centres[run.first + bubble]
    half = targets.diameters[run.first + bubble] * 0.4
    inside = strokes.within(Rectangle(x - half, y - half, 2 * half, 2 * half))
    numbers, counts = np.unique(inside, return_counts=True)
    return tuple(int(n) for n, c in zip(numbers, counts, strict=True) if n and c * PIXEL >= 0.1)


def _claimed(owned: Sequence[tuple[int, ...]], tops: Sequence[float], amounts: Amounts) -> set[int]:
    """Strokes that are the mark of some line, and so no stray ink on another."""
    sure = 10 * amounts.bubble_spread
    return {number for own, top in zip(owned, tops, strict=True) if top > sure for number in own}


def _evidence(
    run: Run,
    top: int,
    own: tuple[int, ...],
    claimed: set[int],
    amounts: Amounts,
    strokes: Strokes,
    targets: Targets,
) -> Evidence:
    values = amounts.bubbles[run.first : run.first + run.count]
    order = np.argsort(values)
    centre = targets.centres[run.first + top]
    radius = float(targets.diameters[run.first + top]) / 2
    zone = zone_of(run.row, run, targets)
    spill, foreign = _outside(strokes, zone, centre, radius, own, claimed)
    ringed, ring = _ring(strokes, targets, run)
    return Evidence(
        run=run,
        amounts=values,
        top=top,
        second=int(order[-2]) if len(order) > 1 else top,
        reach=_reach(strokes, own, centre, radius),
        strokes=float(sum(strokes.areas[number] for number in own)),
        spill=spill,
        foreign=foreign,
        ring=ring,
        ringed=ringed,
        marks=own,
    )


def zone_of(row: Row, run: Run, targets: Targets) -> Rectangle:
    """The part of the frame that belongs to a run."""
    own = targets.centres[run.first : run.first + run.count]
    half = float(targets.diameters[run.first]) / 2 + 0.9
    left, right = float(own[0, 0]) - _BEFORE_AND_AFTER, float(own[-1, 0]) + _BEFORE_AND_AFTER
    middle = float(own[0, 1])
    return Rectangle(left - 0.5, middle - half, right - left + 1, 2 * half)


def _reach(strokes: Strokes, own: tuple[int, ...], centre: Array, radius: float) -> float:
    """How far beyond the outline a mark's strokes lead, in millimetres."""
    far = 0.0
    for number in own:
        left, top, right, bottom = strokes.boxes[number]
        far = max(far, centre[0] - left, right - centre[0], centre[1] - top, bottom - centre[1])
    return max(0.0, far - radius)


def _outside(
    strokes: Strokes,
    zone: Rectangle,
    centre: Array,
    radius: float,
    own: tuple[int, ...],
    claimed: set[int],
) -> tuple[float, float]:
    """Ink on the line away from the marked circle: of its own strokes, and of others (mm²)."""
    labels = strokes.within(zone)
    y, x = np.nonzero(labels)
    numbers = labels[y, x]
    left, top = round((zone.left + MARGIN) * COARSE), round((zone.top + MARGIN) * COARSE)
    at_x = (x + left + 0.5) / COARSE - MARGIN
    at_y = (y + top + 0.5) / COARSE - MARGIN
    away = np.hypot(at_x - centre[0], at_y - centre[1]) > radius + _OWN
    mine = np.isin(numbers, own)
    others = ~np.isin(numbers, [*own, *claimed])
    return float((away & mine).sum() * PIXEL), float((others & (away | ~mine)).sum() * PIXEL)


def _ring(strokes: Strokes, targets: Targets, run: Run) -> tuple[int, float]:
    """The bubble that is most nearly ringed, and the share of the way around that is drawn."""
    best, most = 0, 0.0
    for bubble in range(run.count):
        x, y = targets.centres[run.first + bubble]
        diameter = float(targets.diameters[run.first + bubble])
        half = _RING[1] * diameter
        area = Rectangle(x - half, y - half, 2 * half, 2 * half)
        labels = strokes.within(area)
        if np.count_nonzero(labels) * PIXEL < 0.8:
            continue
        rows, columns = np.nonzero(labels)
        dx = columns - (labels.shape[1] - 1) / 2
        dy = rows - (labels.shape[0] - 1) / 2
        distance = np.hypot(dx, dy) / COARSE
        chosen = (distance > _RING[0] * diameter) & (distance < half)
        sectors = ((np.arctan2(dy[chosen], dx[chosen]) / (2 * np.pi)) * _SECTORS).astype(int)
        share = len(np.unique(sectors % _SECTORS)) / _SECTORS
        if share > most:
            best, most = bubble, share
    return best, most
