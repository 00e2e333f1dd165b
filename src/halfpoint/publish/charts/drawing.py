"""The few strokes every chart is made of: lines, dots, words, and the ruler itself.

Charts are laid out in pixels, top to bottom, `WIDTH` wide, or `HALF` where two stand side by
side. A `Frame` says where a value in points lies between the left and right edge of the plot.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import altair as alt
from altair.utils.schemapi import debug_mode

from halfpoint.publish.charts.ruler import Ruler
from halfpoint.publish.palette import GRID, INK, SOFT
from halfpoint.typeface import printable

WIDTH = 640
HALF = 292
LABEL_WIDTH = 196
MOST_ROWS = 60

Datum = dict[str, Any]
Align = Literal['left', 'center', 'right']


@dataclass(frozen=True, slots=True)
class Frame:
    """Where points lie in pixels: `ruler.low` at `left`, `ruler.high` at `right`."""

    ruler: Ruler
    left: float
    right: float

    def at(self, value: float) -> float:
        """The pixel of a value."""
        ruler = self.ruler
        share = (value - ruler.low) / (ruler.high - ruler.low)
        return self.left + share * (self.right - self.left)


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of equal height, each with the middle it is drawn on."""

    count: int
    height: float
    top: float = 6

    def middle(self, row: int) -> float:
        """The pixel of the middle of a row."""
        return self.top + (row + 0.5) * self.height

    @property
    def bottom(self) -> float:
        """The pixel below the last row."""
        return self.top + self.count * self.height


def rows_for(count: int, tallest: float = 32, room: float = 690) -> Rows:
    """Rows that fit the room of one page."""
    return Rows(count, max(11.5, min(tallest, room / max(count, 1))))


def _x(field: str, width: float) -> alt.X:
    scale = alt.Scale(domain=[0, width], range=[0, width], nice=False, zero=False)
    return alt.X(field, type='quantitative', scale=scale, axis=None)


def _y(field: str, height: float) -> alt.Y:
    scale = alt.Scale(domain=[0, height], range=[0, height], nice=False, zero=False)
    return alt.Y(field, type='quantitative', scale=scale, axis=None)


class Drawing:
    """A chart being drawn, in pixels: strokes are laid one over the other."""

    def __init__(self, height: float, width: float = WIDTH) -> None:
        self.height, self.width = height, width
        self._layers: list[alt.Chart] = []
        self._datasets: dict[str, list[Datum]] = {}

    def lines(
        self, data: Sequence[Datum], colour: str = SOFT, width: float = 1, **look: Any
    ) -> None:
        """Straight lines from (x, y) to (x2, y2)."""
        mark = alt.MarkDef('rule', color=colour, strokeWidth=width, **look)
        self._add(data, mark, x2=alt.X2('x2'), y2=alt.Y2('y2'))

    def dots(self, data: Sequence[Datum], **look: Any) -> None:
        """Points at (x, y)."""
        self._add(data, alt.MarkDef('point', opacity=1, **look))

    def boxes(self, data: Sequence[Datum], **look: Any) -> None:
        """Rectangles from (x, y) to (x2, y2)."""
        self._add(data, alt.MarkDef('rect', **look), x2=alt.X2('x2'), y2=alt.Y2('y2'))

    def words(
        self,
        data: Sequence[Datum],
        size: float = 12,
        colour: str = INK,
        align: Align = 'left',
        weight: Literal[400, 600] = 400,
        **look: Any,
    ) -> None:
        """Texts at (x, y)."""
        shown = [{**datum, 'text': printable(str(datum['text']))} for datum in data]
        mark = alt.MarkDef(
            'text', fontSize=size, color=colour, align=align, baseline='middle',
            fontWeight=weight, **look,
        )  # fmt: skip
        self._add(shown, mark, text=alt.Text('text', type='nominal'))

    def chart(self) -> alt.LayerChart:
        """All strokes as one chart, without its data."""
        with debug_mode(False):
            return alt.LayerChart(layer=self._layers, width=self.width, height=self.height)

    def spec(self) -> dict[str, Any]:
        """The chart as a Vega-Lite document, data and all.

        The data join last, as Altair would copy them once for every step.
        """
        return {**self.chart().to_dict(validate=False), 'datasets': self._datasets}

    def _add(self, data: Sequence[Datum], mark: alt.MarkDef, **encodings: Any) -> None:
        if not data:
            return
        name = f'strokes-{len(self._layers)}'
        self._datasets[name] = list(data)
        # Altair's own checks of every part cost more than the drawing; tests draw each chart.
        with debug_mode(False):
            layer = alt.Chart(alt.NamedData(name), mark=mark)
            self._layers.append(layer.encode(**self._places(), **encodings))

    def _places(self) -> dict[str, Any]:
        return {'x': _x('x', self.width), 'y': _y('y', self.height)}


def draw_ruler(drawing: Drawing, frame: Frame, y: float, grid_top: float | None = None) -> None:
    """The ruler along y: base line, long and short ticks, numbers below; faint grid above."""
    ruler = frame.ruler
    long = [frame.at(v) for v in ruler.long]
    short = [frame.at(v) for v in ruler.short]
    if grid_top is not None:
        drawing.lines([line(x, grid_top, x, y) for x in long], GRID, 0.8)
    drawing.lines([line(frame.left, y, frame.right, y)], SOFT, 1.2)
    drawing.lines([line(x, y, x, y + 10) for x in long], SOFT, 1.4)
    drawing.lines([line(x, y, x, y + 5) for x in short], SOFT, 1)
    labels = [{'x': x, 'y': y + 20, 'text': t} for x, t in zip(long, ruler.labels, strict=True)]
    drawing.words(labels, 11.5, SOFT, 'center')


def draw_row_labels(drawing: Drawing, names: Sequence[str], rows: Rows, width: float) -> None:
    """Names at the left of their rows, on two lines where they are long and there is room."""
    size = min(13.0, rows.height * 0.75)
    if max(map(len, names), default=0) > _letters(width, size):
        size = min(11.5, size)
    letters = _letters(width, size)
    two = rows.height >= 2.15 * size
    data = []
    for row, name in enumerate(names):
        folded = fold(name, letters, 2 if two else 1)
        for number, text in enumerate(folded):
            shift = (number - (len(folded) - 1) / 2) * size * 1.12
            data.append({'x': 0, 'y': rows.middle(row) + shift, 'text': text})
    drawing.words(data, size, INK, weight=600, limit=width)


def _letters(width: float, size: float) -> int:
    """Letters of usual width that fit."""
    return int(width / (size * 0.56))


def fold(name: str, letters: int, most: int) -> list[str]:
    """A name on at most so many lines of so many letters, … where it is cut."""
    clean = ' '.join(printable(name).split()) or '(no name)'
    return textwrap.wrap(clean, letters, max_lines=most, placeholder='…', break_long_words=True)


def line(x: float, y: float, x2: float, y2: float) -> Datum:
    """A straight line."""
    return {'x': x, 'y': y, 'x2': x2, 'y2': y2}
