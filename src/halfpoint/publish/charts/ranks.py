"""How likely each place is for each wine: one bar a place, as tall as its chance."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.estimate.findings import WineFinding
from halfpoint.publish.charts.drawing import (
    HALF,
    LABEL_WIDTH,
    WIDTH,
    Drawing,
    Frame,
    Rows,
    draw_row_labels,
    draw_ruler,
    line,
    rows_for,
)
from halfpoint.publish.charts.ruler import Ruler
from halfpoint.publish.palette import GRID, INK, MOSS

MOST_NUMBERED = 12
LEAST_NUMBERED = 0.03


def rank_chart(wines: Sequence[WineFinding]) -> Drawing:
    """The wines in the order given; every wine has `rank_probability` over all places.

    With more than `MOST_NUMBERED` places the bars of each wine are drawn as shares of
    its likeliest place, and carry no numbers.
    """
    places = max((len(wine.rank_probability) for wine in wines), default=1)
    rows = rows_for(len(wines), tallest=34, room=670)
    frame = Frame(places_ruler(places), LABEL_WIDTH + 6, WIDTH - 4)
    drawing = Drawing(rows.bottom + 34)
    draw_ruler(drawing, frame, rows.bottom + 6)
    draw_row_labels(drawing, [wine.wine for wine in wines], rows, LABEL_WIDTH)
    _draw_bars(drawing, wines, rows, frame, places)
    return drawing


def places_ruler(places: int) -> Ruler:
    """From first to last place; all numbered when few, else the first and every fifth or so."""
    step = next(s for s in (1, 5, 10, 50, 100, 500, 1000) if places / s <= 20 or s == 1000)
    long = [1.0, *(float(k) for k in range(step, places + 1, step) if k > 1)]
    short = [float(k) for k in range(2, places + 1) if k not in long] if places <= 100 else []
    return Ruler(0.5, places + 0.5, tuple(long), tuple(short), tuple(f'{k:.0f}' for k in long))


def _draw_bars(
    drawing: Drawing, wines: Sequence[WineFinding], rows: Rows, frame: Frame, places: int
) -> None:
    numbered = places <= MOST_NUMBERED
    tallest = rows.height - (17 if numbered else 2)
    half = (frame.at(2) - frame.at(1)) * (0.36 if places > 1 else 0.2)
    floors, bars, numbers = [], [], []
    for row, wine in enumerate(wines):
        floor = rows.middle(row) + rows.height / 2 - 2
        floors.append(line(frame.left, floor, frame.right, floor))
        full = 1.0 if numbered else max(wine.rank_probability, default=1.0)
        for place, chance in enumerate(wine.rank_probability, 1):
            x, top = frame.at(place), floor - chance / full * tallest
            if chance / full * tallest >= 0.4:
                bars.append(line(x - half, top, x + half, floor))
            if numbered and chance >= LEAST_NUMBERED:
                numbers.append({'x': x, 'y': top - 7, 'text': per_cent(chance)})
    drawing.lines(floors, GRID, 1)
    drawing.boxes(bars, color=MOSS)
    drawing.words(numbers, 10.5, INK, 'center')


def per_cent(chance: float) -> str:
    """A chance as a bare number of per cent, `>99` for what is nearly sure."""
    return '>99' if chance >= 0.995 else f'{100 * chance:.0f}'


def chances_chart(chances: Sequence[float], width: float = HALF, height: float = 170) -> Drawing:
    """One wine's chance of each place from the first, as upright bars."""
    frame = Frame(places_ruler(len(chances)), 4, width - 4)
    floor, tallest = height - 32, height - 54
    full = max(chances, default=1.0) or 1.0
    half = min(26.0, (frame.right - frame.left) / max(len(chances), 1) * 0.36)
    bars, numbers = [], []
    for place, chance in enumerate(chances, 1):
        x, top = frame.at(place), floor - chance / full * tallest
        bars.append(line(x - half, top, x + half, floor))
        if len(chances) <= MOST_NUMBERED and chance >= LEAST_NUMBERED:
            numbers.append({'x': x, 'y': top - 8, 'text': per_cent(chance)})
    drawing = Drawing(height, width)
    drawing.boxes(bars, color=MOSS)
    drawing.words(numbers, 11, INK, 'center')
    draw_ruler(drawing, frame, floor)
    return drawing
