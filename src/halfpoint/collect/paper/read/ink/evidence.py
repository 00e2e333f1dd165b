"""What speaks for and against each mark on a line, in figures."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.ink.amounts import Amounts
from halfpoint.collect.paper.read.ink.rings import Ring
from halfpoint.collect.paper.read.ink.shapes import Shapes
from halfpoint.collect.paper.read.ink.spread import cutouts_of, spread_traits
from halfpoint.collect.paper.read.ink.strokes import PIXEL, Strokes
from halfpoint.collect.paper.read.ink.targets import Run, Targets
from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
# So much belongs to a line beyond its circles, in millimetres.
_BEFORE_AND_AFTER, _ABOVE_AND_BELOW = 3.1, 0.9
# Ink so far outside the outline of the marked circle is the mark's own, or near it.
_OWN, _NEAR = 0.7, 1.6
_FARTHEST, _CLOSE = 12.0, 1.2
# Arms are counted between these distances outside the outline, in so many sectors.
_ARM_FROM, _ARM_TO, _ARM_STEPS, _ARM_SECTORS = 0.8, 1.75, 5, 40
# An arm may be so much lighter than a stroke must be, because it is looked at along its length.
_ARM_LIGHT = 0.6
# Strokes that lead into a circle come so near its middle, and those of a ring around it, in
# diameters.
_INTO, _INTO_RING = 0.4, 0.75


@dataclass(frozen=True, slots=True)
class Evidence:
    """What lies on one run of bubbles.

    `amounts` (count,) is the ink in each bubble; `top` and `second` the bubbles with most, and
    `inside` and `next_inside` the size of the strokes in the two, in the second without those that
    lead there from the top one (mm²).
    `reach` is how far the strokes of the top one lead away from its outline, `strokes` their size
    (mm, mm²).  `near` is the ink just outside its circle, `far` all other ink on the line that is
    no mark of another line (mm²).  `arms` counts the strokes that lead out of the circle, and
    `ink` is all ink on the line (mm²).  `plain` is how plainly a line or a blot is drawn in the top
    bubble, `next_plain` in the second, and `plainest` in any, in spreads of empty ones.  `spread`
    is how its ink is spread, in the order of `SPREAD`.
    """

    run: Run
    amounts: Array
    top: int
    second: int
    inside: float
    next_inside: float
    reach: float
    strokes: float
    near: float
    far: float
    arms: int
    ink: float
    plain: float
    next_plain: float
    plainest: float
    ring: Ring
    spread: Array

    @property
    def most(self) -> float:
        """The ink of the top bubble."""
        return float(self.amounts[self.top])

    @property
    def next(self) -> float:
        """The ink of the second one."""
        return float(self.amounts[self.second])


def evidence_of(
    amounts: Amounts,
    strokes: Strokes,
    shapes: Shapes,
    rings: Sequence[Ring],
    targets: Targets,
    *,
    pen: float,
    ringed: bool,
) -> list[Evidence]:
    """The evidence of every run, in order.

    Args:
        amounts: ink in the targets.
        strokes: of the page.
        shapes: what is drawn in the circles.
        rings: the most complete ring of each run.
        targets: of the page.
        pen: how dark the pen of the page draws.
        ringed: whether rings are what this page is marked with.
    """
    tops = [
        ring.bubble if ringed else _top_of(run, amounts)
        for run, ring in zip(targets.runs, rings, strict=True)
    ]
    pairs = list(zip(targets.runs, tops, strict=True))
    into = _INTO_RING if ringed else _INTO
    owned = [_touching(strokes, targets, run, top, into) for run, top in pairs]
    inks = [float(amounts.bubbles[run.first + top]) for run, top in pairs]
    claimed = _flags(strokes, _claimed(owned, inks, amounts))
    plain = np.maximum(shapes.lines, shapes.blots)
    marked = [
        _Marked(
            run,
            top,
            _second_of(run, top, amounts),
            own,
            ring,
            plain[run.first : run.first + run.count],
        )
        for (run, top), own, ring in zip(pairs, owned, rings, strict=True)
    ]
    arms = _arms(strokes, marked, claimed, targets)
    spreads = _spreads(strokes, marked, claimed, targets, pen)
    return [
        _evidence(each, leads, spread, claimed, amounts, strokes, targets)
        for each, leads, spread in zip(marked, arms, spreads, strict=True)
    ]


@dataclass(frozen=True, slots=True)
class _Marked:
    """A run with the bubbles that have most, and the strokes that lead into the first."""

    run: Run
    top: int
    second: int
    own: tuple[int, ...]
    ring: Ring
    plain: Array


def _top_of(run: Run, amounts: Amounts) -> int:
    return int(np.argmax(amounts.bubbles[run.first : run.first + run.count]))


def _second_of(run: Run, top: int, amounts: Amounts) -> int:
    values = amounts.bubbles[run.first : run.first + run.count]
    return max((n for n in range(run.count) if n != top), key=lambda n: values[n], default=top)


def _touching(
    strokes: Strokes, targets: Targets, run: Run, bubble: int, into: float
) -> tuple[int, ...]:
    """The strokes that lead into a bubble, as near to its middle as `into` diameters."""
    x, y = targets.centres[run.first + bubble]
    half = targets.diameters[run.first + bubble] * into
    inside = strokes.within(Rectangle(x - half, y - half, 2 * half, 2 * half))
    found = np.flatnonzero(np.bincount(inside.ravel()) * PIXEL >= 0.1).tolist()
    return tuple(number for number in found if number)


def _inside(strokes: Strokes, centre: Array, radius: float, but: Flags) -> float:
    half = radius * 0.8
    labels = strokes.within(Rectangle(centre[0] - half, centre[1] - half, 2 * half, 2 * half))
    return float(np.count_nonzero((labels > 0) & ~but[labels]) * PIXEL)


def _claimed(owned: Sequence[tuple[int, ...]], tops: Sequence[float], amounts: Amounts) -> set[int]:
    """Strokes that are the mark of some line, and so no stray ink on another."""
    sure = 10 * amounts.bubble_spread
    return {number for own, top in zip(owned, tops, strict=True) if top > sure for number in own}


def _flags(strokes: Strokes, numbers: Collection[int]) -> Flags:
    """For every stroke by its number, whether it is among these: faster than a search."""
    flags = np.zeros(len(strokes.areas), bool)
    flags[list(numbers)] = True
    return flags


def _evidence(
    marked: _Marked,
    arms: int,
    spread: Array,
    claimed: Flags,
    amounts: Amounts,
    strokes: Strokes,
    targets: Targets,
) -> Evidence:
    run, top, second = marked.run, marked.top, marked.second
    own = _flags(strokes, marked.own)
    values = amounts.bubbles[run.first : run.first + run.count]
    centre = targets.centres[run.first + top]
    radius = float(targets.diameters[run.first + top]) / 2
    zone = zone_of(run, targets)
    others = claimed & ~own
    near, far = _outside(strokes, zone, centre, radius, others)
    return Evidence(
        run=run,
        amounts=values,
        top=top,
        second=second,
        inside=_inside(strokes, centre, radius, np.zeros_like(own)),
        next_inside=_inside(strokes, targets.centres[run.first + second], radius, own),
        reach=_reach(strokes, others, centre, radius),
        strokes=float(sum(strokes.areas[number] for number in marked.own)),
        near=near,
        far=far,
        arms=arms,
        ink=float(np.count_nonzero(strokes.within(zone)) * PIXEL),
        plain=float(marked.plain[top]),
        next_plain=float(marked.plain[second]),
        plainest=float(marked.plain.max()),
        ring=marked.ring,
        spread=spread,
    )


def zone_of(run: Run, targets: Targets) -> Rectangle:
    """The part of the frame that belongs to a run."""
    own = targets.centres[run.first : run.first + run.count]
    half = float(targets.diameters[run.first]) / 2 + _ABOVE_AND_BELOW
    left, right = float(own[0, 0]) - _BEFORE_AND_AFTER, float(own[-1, 0]) + _BEFORE_AND_AFTER
    middle = float(own[0, 1])
    return Rectangle(left, middle - half, right - left, 2 * half)


def _reach(strokes: Strokes, others: Flags, centre: Array, radius: float) -> float:
    """How far beyond the outline a mark's strokes lead, in millimetres, up to `_FARTHEST`.

    Strokes that come close count too: light pens leave gaps.
    """
    half = radius + _FARTHEST
    found = strokes.inked(Rectangle(centre[0] - half, centre[1] - half, 2 * half, 2 * half))
    distance = np.hypot(found.x - centre[0], found.y - centre[1]) - radius
    close = np.zeros_like(others)
    close[found.numbers[distance < _CLOSE]] = True
    close &= ~others
    return max(0.0, float(distance[close[found.numbers]].max(initial=0.0)))


def _outside(
    strokes: Strokes, zone: Rectangle, centre: Array, radius: float, others: Flags
) -> tuple[float, float]:
    """Ink on the line just outside the marked circle, and farther away (mm²)."""
    found = strokes.inked(zone)
    distance = np.hypot(found.x - centre[0], found.y - centre[1]) - radius
    counted = distance[~others[found.numbers]]
    far = np.count_nonzero(counted > _NEAR)
    near = np.count_nonzero(counted > _OWN) - far
    return near * PIXEL, far * PIXEL


def _arms(
    strokes: Strokes, marked: Sequence[_Marked], claimed: Flags, targets: Targets
) -> list[int]:
    """How many separate strokes lead away from the circle of each run.

    The mean darkness along rays that begin outside the circle: lines through the middle, as
    those that cross a mark out, lie along a ray, and stand out there even when they are light.
    """
    circles = [each.run.first + each.top for each in marked]
    x, y = targets.centres[circles].T
    turn = 2 * np.pi * np.arange(_ARM_SECTORS) / _ARM_SECTORS
    far = targets.diameters[circles, None, None] / 2 + np.linspace(_ARM_FROM, _ARM_TO, _ARM_STEPS)
    height, width = strokes.over.shape
    columns = _pixel(x[:, None, None] + np.cos(turn)[:, None] * far, width)
    rows = _pixel(y[:, None, None] + np.sin(turn)[:, None] * far, height)
    labels = strokes.labels[rows, columns]
    own = np.stack([_flags(strokes, each.own) for each in marked])
    others = claimed[labels] & ~own[np.arange(len(marked))[:, None, None], labels]
    dark = np.where(others, 0, np.maximum(strokes.over[rows, columns], 0))
    least = strokes.least[_pixel(y, height), _pixel(x, width)]
    drawn = dark.mean(axis=2) > _ARM_LIGHT * least[:, None]
    arms = np.count_nonzero(drawn & ~np.roll(drawn, 1, axis=1), axis=1)
    return [int(count) for count in arms]


def _spreads(
    strokes: Strokes, marked: Sequence[_Marked], claimed: Flags, targets: Targets, pen: float
) -> Array:
    """How the ink of each run's mark is spread, (runs, traits)."""
    own = np.stack([_flags(strokes, each.own) for each in marked])
    centres, beside = (
        targets.centres[[each.run.first + getattr(each, which) for each in marked]]
        for which in ('top', 'second')
    )
    return spread_traits(
        cutouts_of(strokes, centres, claimed, own),
        cutouts_of(strokes, beside, claimed, own),
        np.array([strokes.least_at(x, y) for x, y in centres]),
        pen,
        float(targets.diameters.min()) / 2,
    )


def _pixel(places: Array, size: int) -> NDArray[np.intp]:
    return np.clip(np.rint((places + MARGIN) * COARSE - 0.5), 0, size - 1).astype(np.intp)
