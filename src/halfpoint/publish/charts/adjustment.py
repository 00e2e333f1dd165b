"""From the plain average to the score: what weighing the marks changed."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.estimate.findings import WineFinding
from halfpoint.publish.charts.drawing import (
    LABEL_WIDTH,
    WIDTH,
    Drawing,
    Frame,
    draw_row_labels,
    draw_ruler,
    line,
    rows_for,
)
from halfpoint.publish.charts.ruler import ruler_over
from halfpoint.publish.numbers import decimals_for, signed
from halfpoint.publish.palette import CARD, GRID, INK, MOSS, SOFT


def adjustment_chart(wines: Sequence[WineFinding]) -> Drawing:
    """A hollow ring at the plain average, a full dot at the score, the change beside it."""
    rows = rows_for(len(wines), tallest=26)
    values = [value for wine in wines for value in (wine.raw_mean, wine.adjusted)]
    frame = Frame(ruler_over(values), LABEL_WIDTH + 12, WIDTH - 64)
    decimals = decimals_for([wine.se for wine in wines]) + 1
    size = min(1.0, rows.height / 22)
    floors, moves, rings, dots, changes = [], [], [], [], []
    for row, wine in enumerate(wines):
        if wine.adjusted is None:
            continue
        y, start, end = rows.middle(row), frame.at(wine.raw_mean), frame.at(wine.adjusted)
        floors.append(line(frame.left, y, frame.right, y))
        moves.append(line(start, y, end, y))
        rings.append({'x': start, 'y': y})
        dots.append({'x': end, 'y': y})
        change = signed(wine.adjusted - wine.raw_mean, decimals)
        changes.append({'x': WIDTH - 4, 'y': y, 'text': change})
    drawing = Drawing(rows.bottom + 30)
    draw_ruler(drawing, frame, rows.bottom + 2, rows.top)
    draw_row_labels(drawing, [wine.wine for wine in wines], rows, LABEL_WIDTH)
    drawing.lines(floors, GRID, 1)
    drawing.lines(moves, SOFT, 1.6 * size)
    drawing.dots(rings, size=58 * size**2, shape='circle', fill=CARD, stroke=SOFT, strokeWidth=1.6)
    drawing.dots(dots, size=70 * size**2, shape='circle', fill=MOSS, stroke=INK, strokeWidth=1)
    drawing.words(changes, min(12, rows.height * 0.75), INK, 'right')
    return drawing
