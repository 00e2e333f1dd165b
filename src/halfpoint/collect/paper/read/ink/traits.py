"""What is told of a marked line to the one that weighs it: numbers, each with a name."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.ground import Ground
from halfpoint.collect.paper.read.ink.habits import Habits
from halfpoint.collect.paper.read.ink.pen import Pen
from halfpoint.collect.paper.read.ink.shapes import Shapes
from halfpoint.collect.paper.read.ink.spread import SPREAD

Array = NDArray[np.float64]
_LEAST = 1e-3
# What of the spread of a mark is told against the page's usual one too, by name.
_BEYOND = (
    'extent, upper tenth', 'largest extent', 'ink in belt 4', 'ink in belt 5',
    'area within the extent', 'share of the circle drawn',
    *SPREAD[SPREAD.index('darkest ray, near') : SPREAD.index('darkest ray apart from that, far')],
    'darkest pair of rays, far', 'all ink of the next, against the mark',
)  # fmt: skip
_USUAL = tuple(map(SPREAD.index, _BEYOND))


def traits_of(
    evidence: Sequence[Evidence],
    shapes: Shapes,
    ground: Ground,
    pen: Pen,
    habits: Habits,
    spread: float,
) -> Array:
    """The traits of lines, (lines, traits), in the order of `TRAITS`."""
    rows = [
        (
            *_traits(each, pen, habits, spread).values(),
            *_ground(number, each, ground),
            *_shapes(each, shapes, pen).values(),
            *_ring(each, habits, pen).values(),
            *each.spread,
            *(each.spread - habits.spread)[list(_USUAL)],
        )
        for number, each in enumerate(evidence)
    ]
    return np.array(rows, float).reshape(len(rows), len(TRAITS))


def _ground(number: int, e: Evidence, ground: Ground) -> tuple[float, ...]:
    top = e.run.first + e.top
    return (
        float(ground.runs_seen[number]),
        float(ground.runs_uneven[number]),
        float(ground.circles_around[top]),
        float(ground.circles_around[e.run.first : e.run.first + e.run.count].max()),
    )


def _shapes(e: Evidence, shapes: Shapes, pen: Pen) -> dict[str, float]:
    run = slice(e.run.first, e.run.first + e.run.count)
    top, second = e.run.first + e.top, e.run.first + e.second
    dark = max(pen.dark, 0.05)
    lines, others = shapes.line[run], np.delete(shapes.lines[run], e.top)
    return {
        'line, against the pen': float(shapes.line[top]) / dark,
        'line, against empty circles': float(shapes.lines[top]),
        'line across, against the pen': float(shapes.across[top]) / dark,
        'blot, against the pen': float(shapes.blot[top]) / dark,
        'blot, against empty circles': float(shapes.blots[top]),
        'lightest, against the pen': float(shapes.light[top]) / dark,
        'darkest, against the pen': float(shapes.dark[top]) / dark,
        'next line, against the pen': float(shapes.line[second]) / dark,
        'next line, against empty circles': float(shapes.lines[second]),
        'next blot, against empty circles': float(shapes.blots[second]),
        'lightest of the next, against the pen': float(shapes.light[second]) / dark,
        'darkest line elsewhere': float(others.max(initial=0.0)),
        'the darkest line is in the mark': float(np.argmax(lines) == e.top),
    }


def _ring(e: Evidence, habits: Habits, pen: Pen) -> dict[str, float]:
    return {
        'page of rings': float(habits.rings),
        'ring around the mark': float(e.ring.bubble == e.top),
        'way around': e.ring.share,
        'way around a neighbour': e.ring.beside,
        'way around another': e.ring.next_share,
        'ink beside the ring': e.ring.others,
        'ink beside the ring, beyond the usual': e.ring.others - habits.ring_others,
        'size of the ring': e.ring.size,
        'size of the ring, beyond the usual': e.ring.size - habits.ring_size,
        'off an oval': e.ring.rough,
        'ink inside, against the ring': e.ring.inside,
        'ring, against the usual': e.ring.dark / max(habits.ring_dark, 0.02),
        'ring, against the pen': e.ring.dark / max(pen.dark, 0.05),
    }


def _traits(e: Evidence, pen: Pen, habits: Habits, spread: float) -> dict[str, float]:
    most = max(e.most, _LEAST)
    ordered = np.sort(e.amounts)[::-1]
    third = float(ordered[2]) if len(ordered) > 2 else 0.0
    own_ring = e.ring.bubble == e.top
    dark = max(pen.dark, _LEAST)
    strokes = np.log((e.strokes + 0.3) / (habits.strokes + 0.3))
    return {
        'ink, against the usual mark': float(np.log(most / max(pen.amount, _LEAST))),
        'strokes, against the usual mark': float(strokes),
        'reach': e.reach,
        'reach, beyond the usual': e.reach - habits.reach,
        'near': e.near,
        'near, beyond the usual': e.near - habits.near,
        'arms': e.arms,
        'arms, beyond the usual': e.arms - habits.arms,
        'far': e.far,
        'far, beyond the usual': e.far - habits.far,
        'ink, against the pen': most / dark,
        'usual mark, against the pen': pen.amount / dark,
        'pen': dark,
        'usual reach': habits.reach,
        'spread of reach': habits.reach_spread,
        'usual arms': habits.arms,
        'usual strokes': habits.strokes,
        'strokes inside': e.inside,
        'own ring': e.ring.share if own_ring else 0.0,
        'other ring': e.ring.next_share if own_ring else e.ring.share,
        'next, against the mark': e.next / most,
        'next, against the usual mark': e.next / max(pen.amount, _LEAST),
        'next, against empty circles': e.next / spread,
        'third, against the mark': third / most,
        'mark, against empty circles': e.most / spread,
        'ink on the line, beyond the usual': e.ink - habits.ink,
        'sure marks on the page': float(pen.marks),
        'next is a neighbour': float(abs(e.second - e.top) == 1),
    }


TRAITS: tuple[str, ...] = (
    'ink, against the usual mark',
    'strokes, against the usual mark',
    'reach',
    'reach, beyond the usual',
    'near',
    'near, beyond the usual',
    'arms',
    'arms, beyond the usual',
    'far',
    'far, beyond the usual',
    'ink, against the pen',
    'usual mark, against the pen',
    'pen',
    'usual reach',
    'spread of reach',
    'usual arms',
    'usual strokes',
    'strokes inside',
    'own ring',
    'other ring',
    'next, against the mark',
    'next, against the usual mark',
    'next, against empty circles',
    'third, against the mark',
    'mark, against empty circles',
    'ink on the line, beyond the usual',
    'sure marks on the page',
    'next is a neighbour',
    'print seen',
    'paper uneven',
    'ground of the mark',
    'darkest ground',
    'line, against the pen',
    'line, against empty circles',
    'line across, against the pen',
    'blot, against the pen',
    'blot, against empty circles',
    'lightest, against the pen',
    'darkest, against the pen',
    'next line, against the pen',
    'next line, against empty circles',
    'next blot, against empty circles',
    'lightest of the next, against the pen',
    'darkest line elsewhere',
    'the darkest line is in the mark',
    'page of rings',
    'ring around the mark',
    'way around',
    'way around a neighbour',
    'way around another',
    'ink beside the ring',
    'ink beside the ring, beyond the usual',
    'size of the ring',
    'size of the ring, beyond the usual',
    'off an oval',
    'ink inside, against the ring',
    'ring, against the usual',
    'ring, against the pen',
    *SPREAD,
    *(f'{name}, beyond the usual' for name in _BEYOND),
)
