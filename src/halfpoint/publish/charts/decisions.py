"""What panels of other sizes would reach: reliability against tasters, a line a number of rooms."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from halfpoint.panel.said import DecisionFinding
from halfpoint.publish.charts.drawing import WIDTH, Datum, Drawing, line
from halfpoint.publish.numbers import plural
from halfpoint.publish.palette import CARD, CLAY, GRID, INK, MOSS, SOFT

_LEFT, _RIGHT, _TOP, _FLOOR = 128.0, WIDTH - 18.0, 12.0, 148.0
_SITES = (1, 2, 5, 12, 30)
_LEAST_APART = 14.0


def decisions_chart(
    decisions: Sequence[DecisionFinding],
    here: tuple[float, float] | None = None,
    rooms: bool = True,
) -> Drawing:
    """Reliability of the order by tasters in each room.

    Args:
        decisions: for each number of rooms and of tasters.
        here: tasters a room and reliability of the tasting itself, marked.
        rooms: whether the tasting had rooms; without them there is one line.
    """
    most = max(found.tasters for found in decisions)
    drawing = Drawing(_FLOOR + 46)
    _draw_frame(drawing, sorted({found.tasters for found in decisions}), most, rooms)
    labels: list[Datum] = []
    lines: list[Datum] = []
    dots: list[Datum] = []
    for sites in _SITES if rooms else (1,):
        line_of = sorted((d.tasters, d.relative) for d in decisions if d.sites == sites)
        if not line_of:
            continue
        points = [(_x(tasters, most), _y(share)) for tasters, share in line_of]
        lines += [line(*a, *b) for a, b in pairwise(points)]
        dots += [{'x': x, 'y': y} for x, y in points]
        name = plural(sites, "room") if rooms else "tasters"
        labels.append({'x': _LEFT - 10, 'y': points[0][1], 'text': name})
    drawing.lines(lines, MOSS, 2)
    drawing.dots(dots, size=16, shape='circle', fill=MOSS, stroke=MOSS)
    drawing.words(_apart(labels), 11.5, INK, 'right', 600)
    if here is not None and 1 <= here[0] <= most:
        x, y = _x(here[0], most), _y(here[1])
        drawing.dots([{'x': x, 'y': y}], size=110, shape='diamond', fill=CARD, stroke=CLAY,
                     strokeWidth=2)  # fmt: skip
        said = [{'x': x, 'y': y + 20, 'text': "this tasting"}]
        drawing.words(said, 11.5, CARD, 'center', 600, stroke=CARD, strokeWidth=4)
        drawing.words(said, 11.5, INK, 'center', 600)
    return drawing


def _x(tasters: float, most: int) -> float:
    return _LEFT + (_RIGHT - _LEFT) * math.log(tasters) / math.log(max(most, 2))


def _y(share: float) -> float:
    return _FLOOR - (_FLOOR - _TOP) * share


def _draw_frame(drawing: Drawing, counts: Sequence[int], most: int, rooms: bool) -> None:
    fifths = [k / 5 for k in range(6)]
    drawing.lines([line(_LEFT, _y(v), _RIGHT, _y(v)) for v in fifths], GRID, 1)
    drawing.lines([line(40, _y(0), 40, _y(1))], SOFT, 1.2)
    drawing.lines([line(30, _y(v), 40, _y(v)) for v in fifths], SOFT, 1.4)
    drawing.lines([line(35, _y(v + 0.1), 40, _y(v + 0.1)) for v in fifths[:-1]], SOFT, 1)
    drawing.words([{'x': 26, 'y': _y(v), 'text': f'{v:g}'} for v in fifths], 11.5, SOFT, 'right')
    drawing.lines([line(_LEFT, _FLOOR, _RIGHT, _FLOOR)], SOFT, 1.2)
    places = [_x(count, most) for count in counts]
    drawing.lines([line(x, _FLOOR, x, _FLOOR + 8) for x in places], SOFT, 1.4)
    numbers = [
        {'x': x, 'y': _FLOOR + 18, 'text': str(count)}
        for x, count in zip(places, counts, strict=True)
    ]
    drawing.words(numbers, 11.5, SOFT, 'center')
    what = "tasters in each room →" if rooms else "tasters →"
    drawing.words([{'x': _RIGHT, 'y': _FLOOR + 38, 'text': what}], 11, SOFT, 'right')


def _apart(labels: Sequence[Datum]) -> list[Datum]:
    """Labels moved down where they would stand on the one above."""
    placed: list[Datum] = []
    for label in sorted(labels, key=lambda each: each['y']):
        least = placed[-1]['y'] + _LEAST_APART if placed else -math.inf
        placed.append({**label, 'y': max(label['y'], least)})
    return placed
