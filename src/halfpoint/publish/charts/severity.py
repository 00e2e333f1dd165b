"""How far tasters mark above or below one another, as counts of tasters."""

from __future__ import annotations

from halfpoint.estimate.findings import Histogram
from halfpoint.publish.charts.drawing import WIDTH, Drawing, Frame, draw_ruler, line
from halfpoint.publish.charts.ruler import ruler_over
from halfpoint.publish.palette import CARD, INK, MOSS, SOFT

_HEIGHT = 190.0
_FLOOR = 146.0
_TALLEST = 118.0


def severity_chart(severity: Histogram) -> Drawing:
    """Bars of tasters over a ruler of points, nought being the average taster."""
    frame = Frame(ruler_over(severity.edges), 20, WIDTH - 20)
    drawing = Drawing(_HEIGHT)
    most = max(max(severity.counts, default=0), 1)
    bars, numbers = [], []
    for count, low, high in zip(
        severity.counts, severity.edges[:-1], severity.edges[1:], strict=True
    ):
        if count:
            left, right = frame.at(low), frame.at(high)
            top = _FLOOR - _TALLEST * count / most
            bars.append(line(left + 1, top, right - 1, _FLOOR))
            numbers.append({'x': (left + right) / 2, 'y': top - 8, 'text': f'{count:,}'})
    drawing.boxes(bars, color=MOSS)
    if len(severity.counts) <= 24:
        drawing.words(numbers, 10.5, INK, 'center')
    draw_ruler(drawing, frame, _FLOOR)
    _draw_ends(drawing, frame)
    return drawing


def _draw_ends(drawing: Drawing, frame: Frame) -> None:
    y = _HEIGHT - 6
    drawing.words([{'x': frame.left, 'y': y, 'text': "← marks lower"}], 11, SOFT)
    drawing.words([{'x': frame.right, 'y': y, 'text': "marks higher →"}], 11, SOFT, 'right')
    if frame.ruler.low < 0 < frame.ruler.high:
        x = frame.at(0)
        drawing.lines([line(x, _FLOOR - _TALLEST - 4, x, _FLOOR)], CARD, 2.4)
        drawing.lines([line(x, 2, x, _FLOOR)], INK, 1, strokeDash=[3, 3])
        drawing.words([{'x': x, 'y': y, 'text': "the average taster"}], 11, SOFT, 'center')
