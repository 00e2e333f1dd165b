"""Scores with their intervals, and brackets that join wines the marks cannot tell apart."""

from __future__ import annotations

import math
from collections.abc import Sequence

from scipy.special import stdtrit

from halfpoint.estimate.findings import WineFinding
from halfpoint.publish.charts.drawing import (
    LABEL_WIDTH,
    WIDTH,
    Datum,
    Drawing,
    Frame,
    Rows,
    draw_row_labels,
    draw_ruler,
    line,
    rows_for,
)
from halfpoint.publish.charts.ruler import ruler_over
from halfpoint.publish.numbers import decimals_for, number
from halfpoint.publish.palette import CARD, INK, MOSS, SOFT

Bracket = tuple[str, tuple[int, ...], int]


def scores_chart(
    wines: Sequence[WineFinding],
    gap_after: int | None = None,
    going_on: str = '',
    room: float = 690,
) -> Drawing:
    """The wines in the order given, best first; a gap is marked after row `gap_after`.

    Brackets of the letters `going_on` stay open below: wines that are not shown share them.
    `room` is the most pixels the rows may take together.
    """
    rows = rows_for(len(wines), room=room)
    found = brackets([wine.letters for wine in wines])
    lanes = max((lane for _, _, lane in found), default=-1) + 1
    lane_width = min(16.0, 90 / max(lanes, 1))
    right = WIDTH - 52 - lanes * lane_width
    ends = [end for wine in wines for end in (wine.low, wine.high, wine.adjusted)]
    frame = Frame(ruler_over(ends), LABEL_WIDTH + 12, right)
    drawing = Drawing(rows.bottom + 30)
    draw_ruler(drawing, frame, rows.bottom + 2, rows.top)
    draw_row_labels(drawing, [wine.wine for wine in wines], rows, LABEL_WIDTH)
    _draw_intervals(drawing, wines, rows, frame)
    _draw_brackets(drawing, found, rows, right + 44, lane_width, going_on)
    if gap_after is not None:
        y = rows.top + gap_after * rows.height
        drawing.lines([line(0, y, WIDTH, y)], SOFT, 1, strokeDash=[2, 4])
    return drawing


def half_interval(wine: WineFinding) -> float | None:
    """Half the width of the middle 50 % interval, from Student's t; normal without df."""
    if wine.se is None:
        return None
    return float(wine.se * stdtrit(min(wine.df or math.inf, 1e9), 0.75))


def brackets(letters: Sequence[str]) -> list[Bracket]:
    """For each letter, the rows that carry it and the lane its bracket is drawn in."""
    members: dict[str, list[int]] = {}
    for row, word in enumerate(letters):
        for letter in word:
            members.setdefault(letter, []).append(row)
    found: list[Bracket] = []
    lane_ends: list[int] = []
    for letter, held in sorted(members.items(), key=lambda item: (item[1][0], item[1][-1])):
        lane = next((i for i, end in enumerate(lane_ends) if end < held[0]), len(lane_ends))
        lane_ends[lane : lane + 1] = [held[-1]]
        found.append((letter, tuple(held), lane))
    return found


def _draw_intervals(
    drawing: Drawing, wines: Sequence[WineFinding], rows: Rows, frame: Frame
) -> None:
    thin, thick, dots, numbers = [], [], [], []
    decimals = decimals_for([wine.se for wine in wines])
    for row, wine in enumerate(wines):
        if wine.adjusted is None:
            continue
        y, x = rows.middle(row), frame.at(wine.adjusted)
        half = half_interval(wine)
        end = x
        if wine.low is not None and wine.high is not None:
            end = frame.at(wine.high)
            thin.append(line(frame.at(wine.low), y, end, y))
        if half is not None:
            thick.append(line(frame.at(wine.adjusted - half), y, frame.at(wine.adjusted + half), y))
        dots.append({'x': x, 'y': y})
        numbers.append({'x': end + 9, 'y': y, 'text': number(wine.adjusted, decimals)})
    size = min(1.0, rows.height / 24)
    drawing.lines(thin, MOSS, 2 * size)
    drawing.lines(thick, MOSS, 7 * size, strokeCap='round')
    drawing.dots(
        dots, size=80 * size**2, shape='circle', fill=CARD, stroke=INK, strokeWidth=1.8 * size
    )
    drawing.words(numbers, min(12.5, rows.height * 0.75), INK)


def _draw_brackets(
    drawing: Drawing,
    found: Sequence[Bracket],
    rows: Rows,
    left: float,
    lane_width: float,
    going_on: str,
) -> None:
    nib = min(6.0, lane_width * 0.5)
    strokes: list[Datum] = []
    for letter, members, lane in found:
        x = left + lane * lane_width
        strokes += _bracket(x, nib, members, rows, letter in going_on)
    drawing.lines(strokes, SOFT, 1.4)


def _bracket(
    x: float, nib: float, members: Sequence[int], rows: Rows, is_open: bool
) -> list[Datum]:
    reach = rows.height * 0.32
    first, last = rows.middle(members[0]) - reach, rows.middle(members[-1]) + reach
    strokes = [line(x - nib, first, x, first)]
    if is_open:
        last = rows.bottom
    else:
        strokes.append(line(x - nib, last, x, last))
    strokes.append(line(x, first, x, last))
    if len(members) != members[-1] - members[0] + 1:
        strokes += [line(x - nib / 2, y, x, y) for y in map(rows.middle, members)]
    return strokes
