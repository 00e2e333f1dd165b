"""How tasters differ, as counts of tasters: how far above or below they mark, and how wide."""

from __future__ import annotations

from dataclasses import dataclass

from halfpoint.estimate.findings import Histogram
from halfpoint.publish.charts.drawing import WIDTH, Drawing, Frame, draw_ruler, line
from halfpoint.publish.charts.ruler import ruler_over
from halfpoint.publish.palette import CARD, INK, MOSS, SOFT

_BELOW = 44.0
_ABOVE = 28.0


@dataclass(frozen=True, slots=True)
class Ends:
    """The value in the middle, and what the ends and the middle mean."""

    middle: float
    low: str
    at_middle: str
    high: str


_SEVERITY = Ends(0.0, "← marks lower", "the average taster", "marks higher →")
_SPREAD = Ends(1.0, "← closer together", "as most do", "further apart →")


def severity_chart(severity: Histogram, width: float = WIDTH) -> Drawing:
    """Bars of tasters over a ruler of points, nought being the average taster."""
    return _histogram(severity, _SEVERITY, width)


def spread_chart(spread: Histogram, width: float = WIDTH) -> Drawing:
    """Bars of tasters by how far apart they put the same wines, one being as most do."""
    return _histogram(spread, _SPREAD, width)


def _histogram(found: Histogram, ends: Ends, width: float) -> Drawing:
    frame = Frame(ruler_over(found.edges), 20, width - 20)
    floor = 146.0 if width >= WIDTH else 86.0
    drawing = Drawing(floor + _BELOW, width)
    most = max(max(found.counts, default=0), 1)
    bars, numbers = [], []
    for count, low, high in zip(found.counts, found.edges[:-1], found.edges[1:], strict=True):
        if count:
            left, right = frame.at(low), frame.at(high)
            top = floor - (floor - _ABOVE) * count / most
            bars.append(line(left + 1, top, right - 1, floor))
            numbers.append({'x': (left + right) / 2, 'y': top - 8, 'text': f'{count:,}'})
    drawing.boxes(bars, color=MOSS)
    if len(found.counts) <= width / 26:
        drawing.words(numbers, 10.5, INK, 'center')
    draw_ruler(drawing, frame, floor)
    _draw_ends(drawing, frame, ends, floor)
    return drawing


def _draw_ends(drawing: Drawing, frame: Frame, ends: Ends, floor: float) -> None:
    y = floor + _BELOW - 6
    drawing.words([{'x': frame.left, 'y': y, 'text': ends.low}], 11, SOFT)
    drawing.words([{'x': frame.right, 'y': y, 'text': ends.high}], 11, SOFT, 'right')
    if frame.ruler.low < ends.middle < frame.ruler.high:
        x = frame.at(ends.middle)
        drawing.lines([line(x, _ABOVE - 4, x, floor)], CARD, 2.4)
        drawing.lines([line(x, 2, x, floor)], INK, 1, strokeDash=[3, 3])
        if drawing.width >= WIDTH:
            drawing.words([{'x': x, 'y': y, 'text': ends.at_middle}], 11, SOFT, 'center')
