"""Figures with their intervals, a row each, on one ruler."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
from halfpoint.publish.palette import CARD, GRID, INK, MOSS, SOFT


@dataclass(frozen=True, slots=True)
class Ranged:
    """A figure, its interval where there is one, and the figure as it is written."""

    label: str
    value: float
    low: float | None
    high: float | None
    text: str


def intervals_chart(rows: Sequence[Ranged], zero: bool = False, ends: str = '') -> Drawing:
    """The rows in the order given; `zero` draws a line at nought, `ends` says what grows."""
    laid = rows_for(len(rows), tallest=24)
    reach = [value for row in rows for value in (row.value, row.low, row.high)]
    frame = Frame(ruler_over([*reach, 0.0] if zero else reach), LABEL_WIDTH + 12, WIDTH - 64)
    drawing = Drawing(laid.bottom + (46 if ends else 30))
    draw_ruler(drawing, frame, laid.bottom + 2, laid.top)
    draw_row_labels(drawing, [row.label for row in rows], laid, LABEL_WIDTH)
    middles = [laid.middle(i) for i in range(len(rows))]
    drawing.lines([line(frame.left, y, frame.right, y) for y in middles], GRID, 1)
    if zero:
        x = frame.at(0)
        drawing.lines([line(x, laid.top, x, laid.bottom)], SOFT, 1, strokeDash=[3, 3])
    spans = [
        line(frame.at(row.low), y, frame.at(row.high), y)
        for row, y in zip(rows, middles, strict=True)
        if row.low is not None and row.high is not None
    ]
    dots = [{'x': frame.at(row.value), 'y': y} for row, y in zip(rows, middles, strict=True)]
    texts = [
        {'x': WIDTH - 4, 'y': y, 'text': row.text} for row, y in zip(rows, middles, strict=True)
    ]
    drawing.lines(spans, MOSS, 2)
    drawing.dots(dots, size=64, shape='circle', fill=CARD, stroke=INK, strokeWidth=1.6)
    drawing.words(texts, 12, INK, 'right')
    if ends:
        drawing.words([{'x': frame.right, 'y': laid.bottom + 40, 'text': ends}], 11, SOFT, 'right')
    return drawing
