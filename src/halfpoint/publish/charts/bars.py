"""Shares as bars: a word with its share, and a tick at what to hold it against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from halfpoint.publish.charts.drawing import HALF, Datum, Drawing, fold, line
from halfpoint.publish.numbers import percent
from halfpoint.publish.palette import GRID, INK, MOSS

_ROW = 25.0
_LETTER = 6.6


@dataclass(frozen=True, slots=True)
class Bar:
    """A share from 0 to 1 under a label; `against` is drawn as a tick, `strong` set bold."""

    label: str
    share: float
    against: float | None = None
    strong: bool = False


def bars_chart(bars: Sequence[Bar], width: float = HALF, least: float = 0.0) -> Drawing:
    """The bars in the order given, at least `least` pixels tall."""
    longest = max((len(bar.label) for bar in bars), default=0)
    left = min(width * 0.52, longest * _LETTER + 12)
    right = width - 44
    most = max([*(bar.share for bar in bars), *(bar.against or 0 for bar in bars), 0.01])
    drawing = Drawing(max(least, len(bars) * _ROW + 4), width)
    floors, filled, ticks, numbers = [], [], [], []
    labels: list[Datum] = []
    strong: list[Datum] = []
    for row, bar in enumerate(bars):
        y = 2 + (row + 0.5) * _ROW
        end = left + (right - left) * max(0.0, bar.share) / most
        floors.append(line(left, y, right, y))
        filled.append(line(left, y - 6, max(end, left + 0.5), y + 6))
        if bar.against is not None:
            x = left + (right - left) * bar.against / most
            ticks.append(line(x, y - 9, x, y + 9))
        text = fold(bar.label, int(left / (_LETTER - 0.4)), 1)[0]
        (strong if bar.strong else labels).append({'x': 0, 'y': y, 'text': text})
        numbers.append({'x': width, 'y': y, 'text': percent(bar.share)})
    drawing.lines(floors, GRID, 1)
    drawing.boxes(filled, color=MOSS)
    drawing.lines(ticks, INK, 1.6)
    drawing.words(labels, 11.5, INK)
    drawing.words(strong, 11.5, INK, weight=600)
    drawing.words(numbers, 11, INK, 'right')
    return drawing
