"""One wine's score on the ruler, among the other wines, each told by its place."""

from __future__ import annotations

from collections.abc import Sequence

from halfpoint.estimate.findings import WineFinding
from halfpoint.publish.charts.drawing import WIDTH, Drawing, Frame, draw_ruler, line
from halfpoint.publish.charts.ruler import ruler_over
from halfpoint.publish.charts.scores import half_interval
from halfpoint.publish.numbers import decimals_for, number
from halfpoint.publish.palette import CARD, GRID, INK, MOSS, SOFT

_LEFT, _RIGHT = 14.0, WIDTH - 14.0
_LEAST_APART = 13.0


def among_chart(wines: Sequence[WineFinding], chosen: str) -> Drawing:
    """All wines in their order; `chosen` with its bars, the others as numbered ticks above."""
    ends = [end for wine in wines for end in (wine.low, wine.high, wine.adjusted)]
    frame = Frame(ruler_over(ends), _LEFT, _RIGHT)
    others = [
        (frame.at(wine.adjusted), str(place))
        for place, wine in enumerate(wines, 1)
        if wine.adjusted is not None and wine.wine != chosen
    ]
    lanes = _lanes([x for x, _ in others])
    floor = 16.0 + 13.0 * (max(lanes, default=0) + 1)
    middle, base = floor + 26, floor + 52
    drawing = Drawing(base + 28)
    draw_ruler(drawing, frame, base, floor - 6)
    drawing.lines([line(_LEFT, middle, _RIGHT, middle)], GRID, 1)
    drawing.lines([line(x, floor - 6, x, floor + 6) for x, _ in others], SOFT, 1.6)
    drawing.words(
        [{'x': x, 'y': floor - 14 - 13 * lane, 'text': text}
         for (x, text), lane in zip(others, lanes, strict=True)], 11, SOFT, 'center',
    )  # fmt: skip
    _draw_chosen(drawing, next(wine for wine in wines if wine.wine == chosen), frame, middle)
    return drawing


def _lanes(places: Sequence[float]) -> list[int]:
    """A lane for each number, so that none stands on another."""
    taken: list[float] = []
    lanes = [0] * len(places)
    for i in sorted(range(len(places)), key=lambda i: places[i]):
        lane = next((k for k, x in enumerate(taken) if places[i] - x >= _LEAST_APART), len(taken))
        taken[lane : lane + 1] = [places[i]]
        lanes[i] = lane
    return lanes


def _draw_chosen(drawing: Drawing, wine: WineFinding, frame: Frame, y: float) -> None:
    if wine.adjusted is None:
        return
    x, half, end = frame.at(wine.adjusted), half_interval(wine), frame.at(wine.adjusted)
    if wine.low is not None and wine.high is not None:
        end = frame.at(wine.high)
        drawing.lines([line(frame.at(wine.low), y, end, y)], MOSS, 2.4)
    if half is not None:
        thick = line(frame.at(wine.adjusted - half), y, frame.at(wine.adjusted + half), y)
        drawing.lines([thick], MOSS, 9, strokeCap='round')
    drawing.dots([{'x': x, 'y': y}], size=130, shape='circle', fill=CARD, stroke=INK,
                 strokeWidth=2)  # fmt: skip
    text = number(wine.adjusted, decimals_for([wine.se]))
    inward = end + 46 > frame.right
    at = frame.at(wine.low if inward and wine.low is not None else wine.adjusted)
    drawing.words(
        [{'x': at - 12 if inward else end + 12, 'y': y, 'text': text}], 15, INK,
        'right' if inward else 'left', 600,
    )  # fmt: skip
