"""What is told of a marked line to the one that weighs it: numbers, each with a name."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.ground import Ground
from halfpoint.collect.paper.read.ink.habits import Habits
from halfpoint.collect.paper.read.ink.pen import Pen

Array = NDArray[np.float64]
_LEAST = 1e-3


def traits_of(
    evidence: Sequence[Evidence], ground: Ground, pen: Pen, habits: Habits, spread: float
) -> Array:
    """The traits of lines, (lines, traits), in the order of `TRAITS`."""
    rows = [
        (*_traits(each, pen, habits, spread).values(), *_ground(number, each, ground))
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
)
