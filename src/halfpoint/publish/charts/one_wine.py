"""One wine's categories, each on the ruler of the sheet, beside the average of all wines."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.estimate.findings import MarkFindings, WineFinding
from halfpoint.publish.charts.categories import category_mean, category_ruler
from halfpoint.publish.charts.drawing import WIDTH, Datum, Drawing, Frame, fold, line
from halfpoint.publish.charts.scores import half_interval
from halfpoint.publish.numbers import number, signed
from halfpoint.publish.palette import CARD, INK, MOSS, SOFT

_TALLEST_ROW, _ROOM = 33.0, 200.0
_LEFT, _RIGHT = 150.0, WIDTH - 118.0


class _Strokes:
    """Strokes of one kind from all rows, so that each kind is one layer."""

    def __init__(self) -> None:
        self.long: list[Datum] = []
        self.short: list[Datum] = []
        self.thin: list[Datum] = []
        self.thick: list[Datum] = []
        self.means: list[Datum] = []
        self.rings: list[Datum] = []
        self.labels: list[Datum] = []
        self.numbers: list[Datum] = []
        self.scores: list[Datum] = []
        self.changes: list[Datum] = []
        self.heads: list[Datum] = []


def wine_chart(wine: str, categories: Sequence[MarkFindings]) -> Drawing:
    """A row a category: ring and bars for the wine, a triangle for the average of all."""
    strokes = _Strokes()
    height = max(24.0, min(_TALLEST_ROW, _ROOM / max(len(categories), 1)))
    strokes.heads = [
        {'x': WIDTH - 62, 'y': 6, 'text': "score"}, {'x': WIDTH, 'y': 6, 'text': "to average"},
    ]  # fmt: skip
    for row, category in enumerate(categories):
        y, frame = 26 + row * height, Frame(category_ruler(category), _LEFT, _RIGHT)
        _place_ruler(strokes, category.label, frame, y)
        found = next((each for each in category.wines if each.wine == wine), None)
        if found is None or found.adjusted is None:
            strokes.heads.append({'x': WIDTH, 'y': y, 'text': "too few marks"})
        else:
            _place_mark(strokes, found, found.adjusted, category_mean(category), frame, y)
    return _drawn(strokes, len(categories) * height + 14)


def _place_ruler(strokes: _Strokes, label: str, frame: Frame, y: float) -> None:
    ruler = frame.ruler
    strokes.labels.append({'x': 0, 'y': y, 'text': fold(label, 22, 1)[0]})
    strokes.short.append(line(frame.left, y, frame.right, y))
    strokes.long += [line(frame.at(v), y - 6, frame.at(v), y + 6) for v in ruler.long]
    strokes.short += [line(frame.at(v), y - 3, frame.at(v), y + 3) for v in ruler.short]
    strokes.numbers += [
        {'x': frame.at(v), 'y': y + 14, 'text': text}
        for v, text in zip(ruler.long, ruler.labels, strict=True)
    ]


def _place_mark(
    strokes: _Strokes, found: WineFinding, score: float, mean: float, frame: Frame, y: float
) -> None:
    half = half_interval(found)
    if found.low is not None and found.high is not None:
        strokes.thin.append(line(frame.at(found.low), y, frame.at(found.high), y))
    if half is not None:
        strokes.thick.append(line(frame.at(score - half), y, frame.at(score + half), y))
    strokes.means.append({'x': frame.at(mean), 'y': y - 12})
    strokes.rings.append({'x': frame.at(score), 'y': y})
    strokes.scores.append({'x': WIDTH - 62, 'y': y, 'text': number(score, 2)})
    strokes.changes.append({'x': WIDTH, 'y': y, 'text': signed(score - mean, 2)})


def _drawn(strokes: _Strokes, height: float) -> Drawing:
    drawing = Drawing(height)
    drawing.lines(strokes.short, SOFT, 0.9)
    drawing.lines(strokes.long, SOFT, 1.3)
    drawing.lines(strokes.thin, MOSS, 2.4)
    drawing.lines(strokes.thick, MOSS, 7, strokeCap='round')
    drawing.dots(strokes.means, size=34, shape='triangle-down', fill=SOFT, stroke=SOFT)
    drawing.dots(strokes.rings, size=74, shape='circle', fill=CARD, stroke=INK, strokeWidth=1.7)
    drawing.words(strokes.labels, 12.5, INK, weight=600, limit=_LEFT - 14)
    drawing.words(strokes.numbers, 9.5, SOFT, 'center')
    drawing.words(strokes.scores, 12.5, INK, 'right', 600)
    drawing.words(strokes.changes, 12.5, INK, 'right')
    drawing.words(strokes.heads, 10.5, SOFT, 'right')
    return drawing
