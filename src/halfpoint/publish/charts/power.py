"""How often a difference is told by numbers of sites and tasters, and the least that is told."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from halfpoint.plan.power import CurvePoint, Question, power_curve
from halfpoint.plan.precision import EvenSites, Variances
from halfpoint.publish.charts.drawing import (
    WIDTH,
    Datum,
    Drawing,
    Frame,
    Rows,
    draw_row_labels,
    draw_ruler,
    line,
)
from halfpoint.publish.charts.ruler import ruler_over
from halfpoint.publish.numbers import number
from halfpoint.publish.palette import CARD, GRID, INK, MOSS, SOFT
from halfpoint.publish.power_words import of_points, times_in

# As good as tasters without end: what they add to the error is then nothing.
ENDLESS = 1_000_000
_CURVE_TOP, _CURVE_BOTTOM = 56.0, 284.0
_LEFT, _RIGHT = 46.0, WIDTH - 124.0
_ROWS_TOP = 388.0
_ROW_HEIGHT = 30.0
_ROW_LABELS = 84.0
_LABEL_GAP = 15.0
_POINTS = 40

Lines = Mapping[int, Sequence[CurvePoint]]
Across = Callable[[int], float]


@dataclass(frozen=True, slots=True)
class PowerLines:
    """What the chart draws: by number of tasters at a site, a line over numbers of sites.

    `curves` are many sites, for the upper part; `rows` few, for the lower one.
    """

    even: EvenSites
    question: Question
    curves: Lines
    rows: Lines


def power_lines(
    even: EvenSites, variances: Variances, question: Question, sites: Sequence[int]
) -> PowerLines:
    """Half, as many and twice the tasters, and tasters without end, over these sites."""
    tasters = sorted({max(1, even.tasters // 2), even.tasters, 2 * even.tasters, ENDLESS})
    many = np.unique(np.linspace(sites[0], sites[-1], _POINTS).round().astype(int)).tolist()

    def lines(over: Sequence[int]) -> Lines:
        points = power_curve(even, variances, question, sites=over, tasters=tasters)
        return {n: [p for p in points if p.tasters == n] for n in tasters}

    return PowerLines(even, question, lines(many), lines(sites))


def power_chart(shown: PowerLines) -> Drawing:
    """Power over sites, a line for each number of tasters; below it the least difference."""
    counts = [point.sites for point in next(iter(shown.rows.values()))]
    rows = Rows(len(counts), _ROW_HEIGHT, _ROWS_TOP)
    drawing = Drawing(rows.bottom + 40)
    _draw_curves(drawing, shown, counts)
    _draw_rows(drawing, shown, rows, counts)
    return drawing


def _height(power: float) -> float:
    return _CURVE_BOTTOM - power * (_CURVE_BOTTOM - _CURVE_TOP)


def _draw_curves(drawing: Drawing, shown: PowerLines, counts: Sequence[int]) -> None:
    question = shown.question
    title = f"How often two wines {of_points(question.difference)} apart are told apart"
    below = f"Dotted: {times_in(question.power)}. The circle is the tasting as planned."
    drawing.words([{'x': 0, 'y': 10, 'text': title}], 13, INK, weight=600)
    drawing.words([{'x': 0, 'y': 28, 'text': below}], 11, SOFT)
    low, high = counts[0], max(counts[-1], counts[0] + 1)

    def across(sites: int) -> float:
        return _LEFT + (sites - low) / (high - low) * (_RIGHT - _LEFT)

    _draw_axes(drawing, [(across(count), str(count)) for count in counts])
    y = _height(question.power)
    drawing.lines([line(_LEFT, y, _RIGHT, y)], INK, 1, strokeDash=[3, 3])
    ends = []
    for tasters, points in shown.curves.items():
        places = [(across(p.sites), _height(p.power)) for p in points]
        _draw_curve(drawing, places, shown, tasters)
        ends.append((places[-1][1], _tasters_in_words(tasters), tasters == shown.even.tasters))
    _draw_ends(drawing, ends)
    _draw_planned(drawing, shown, across)


def _draw_axes(drawing: Drawing, ticks: Sequence[tuple[float, str]]) -> None:
    levels = [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]
    drawing.lines([line(_LEFT, _height(v), _RIGHT, _height(v)) for v in levels[1:]], GRID, 0.8)
    drawing.lines([line(_LEFT, _height(0), _RIGHT, _height(0))], SOFT, 1.2)
    percents = [{'x': _LEFT - 8, 'y': _height(v), 'text': f'{100 * v:.0f}\u202f%'} for v in levels]
    drawing.words(percents, 11.5, SOFT, 'right')
    drawing.lines([line(x, _height(0), x, _height(0) + 8) for x, _ in ticks], SOFT, 1.4)
    apart = _unclashing(ticks)
    drawing.words(
        [{'x': x, 'y': _height(0) + 19, 'text': t} for x, t in apart], 11.5, SOFT, 'center'
    )
    drawing.words([{'x': _RIGHT + 16, 'y': _height(0) + 19, 'text': "sites"}], 11.5, SOFT)


def _unclashing(ticks: Sequence[tuple[float, str]]) -> list[tuple[float, str]]:
    """Numbers with room between them, taken from the right."""
    kept: list[tuple[float, str]] = []
    for x, text in reversed(ticks):
        if not kept or kept[-1][0] - x > 10 + 6 * len(text):
            kept.append((x, text))
    return kept


def _draw_curve(
    drawing: Drawing, places: Sequence[tuple[float, float]], shown: PowerLines, tasters: int
) -> None:
    if tasters == ENDLESS:
        places = _evenly(places, 61)
    strokes = [line(x, y, x2, y2) for (x, y), (x2, y2) in pairwise(places)]
    if tasters == shown.even.tasters:
        drawing.lines(strokes, MOSS, 3, strokeCap='round')
    elif tasters == ENDLESS:
        drawing.lines(strokes[::2], SOFT, 1.4)
    else:
        drawing.lines(strokes, SOFT, 1.4, strokeCap='round')


def _evenly(places: Sequence[tuple[float, float]], count: int) -> list[tuple[float, float]]:
    x, y = zip(*places, strict=True)
    across = np.linspace(x[0], x[-1], count)
    return list(zip(across.tolist(), np.interp(across, x, y).tolist(), strict=True))


def _tasters_in_words(tasters: int) -> str:
    if tasters == ENDLESS:
        return "however many"
    return "1 taster at each" if tasters == 1 else f"{tasters:,} tasters at each"


def _draw_ends(drawing: Drawing, ends: Sequence[tuple[float, str, bool]]) -> None:
    """Names of the lines at their right ends, drawn apart where the lines are close."""
    ordered = sorted(ends, reverse=True)
    floor = _height(0) - 4
    spots: list[float] = []
    for number_left, (y, _, _) in zip(range(len(ordered) - 1, -1, -1), ordered, strict=True):
        above = spots[-1] - _LABEL_GAP if spots else floor
        # Lines above this one need room below the top edge.
        spots.append(max(min(y, above), 34 + number_left * _LABEL_GAP))
    leaders = [
        line(_RIGHT + 2, y, _RIGHT + 14, spot)
        for (y, _, _), spot in zip(ordered, spots, strict=True)
    ]
    drawing.lines(leaders, SOFT, 0.8)
    for (_, text, is_planned), spot in zip(ordered, spots, strict=True):
        datum = {'x': _RIGHT + 18, 'y': spot, 'text': text}
        drawing.words([datum], 11.5, INK if is_planned else SOFT, weight=600 if is_planned else 400)


def _draw_planned(drawing: Drawing, shown: PowerLines, across: Across) -> None:
    even = shown.even
    points = shown.curves[even.tasters]
    x = across(even.sites)
    y = float(np.interp(even.sites, [p.sites for p in points], [_height(p.power) for p in points]))
    drawing.dots(
        [{'x': x, 'y': y}], size=80, shape='circle', fill=CARD, stroke=INK, strokeWidth=1.8
    )


def _draw_rows(drawing: Drawing, shown: PowerLines, rows: Rows, counts: Sequence[int]) -> None:
    title = f"Least difference told apart {times_in(shown.question.power)}, in points"
    below = "The numbers are tasters at each site; the short stroke is tasters without end."
    drawing.words([{'x': 0, 'y': rows.top - 46, 'text': title}], 13, INK, weight=600)
    drawing.words([{'x': 0, 'y': rows.top - 28, 'text': below}], 11, SOFT)
    reach = [p.detectable for points in shown.rows.values() for p in points]
    frame = Frame(
        ruler_over([0.0, *(v for v in reach if np.isfinite(v))]), _ROW_LABELS + 12, WIDTH - 24
    )
    draw_ruler(drawing, frame, rows.bottom + 6, rows.top)
    draw_row_labels(drawing, [f"{count:,} sites" for count in counts], rows, _ROW_LABELS)
    for row in range(len(counts)):
        _draw_row(drawing, shown, frame, rows.middle(row), row)


def _draw_row(drawing: Drawing, shown: PowerLines, frame: Frame, y: float, row: int) -> None:
    found = {
        n: frame.at(points[row].detectable)
        for n, points in shown.rows.items()
        if np.isfinite(points[row].detectable)
    }
    if not found:
        drawing.words([{'x': frame.left + 4, 'y': y, 'text': "cannot be judged"}], 11, SOFT)
        return
    drawing.lines([line(min(found.values()), y, max(found.values()), y)], MOSS, 2)
    ends, dots, labels = [], [], []
    for n, x in found.items():
        if n == ENDLESS:
            ends.append(line(x, y - 6, x, y + 6))
        else:
            dots.append({'x': x, 'y': y})
            labels.append({'x': x, 'y': y - 12, 'text': number(n, 0)})
    drawing.lines(ends, MOSS, 2)
    drawing.dots(dots, size=56, shape='circle', fill=CARD, stroke=INK, strokeWidth=1.6)
    drawing.words(_apart(labels), 10.5, INK, 'center')


def _apart(labels: Sequence[Datum]) -> list[Datum]:
    """Numbers above their dots, those too close to the one before left out."""
    kept: list[Datum] = []
    for label in sorted(labels, key=lambda datum: -float(datum['x'])):
        if not kept or kept[-1]['x'] - label['x'] > 5 + 6 * len(label['text']):
            kept.append(label)
    return kept
