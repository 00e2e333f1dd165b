"""Wines and words in one picture: a wine with its ellipse, a word as a small cross."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from halfpoint.aroma.said import MapFinding, Place
from halfpoint.publish.charts.drawing import WIDTH, Datum, Drawing, fold, line
from halfpoint.publish.charts.labels import Box, Label, box_of, place_labels
from halfpoint.publish.numbers import percent
from halfpoint.publish.palette import CARD, GRID, INK, MOSS, SOFT

_MARGIN = 34.0
_TALLEST, _SHORTEST = 470.0, 300.0
_SIDES = 48
_WINE_SIZE, _WORD_SIZE = 12.0, 10.5


def map_chart(found: MapFinding, called: Mapping[str, str], words: int = 40) -> Drawing:
    """Both axes to one scale; wines as `called` by name, of the terms the first `words`."""
    scaled = _Scaled(found.wines, found.terms[:words])
    drawing = Drawing(scaled.height + 20)
    x, y = scaled.at(0, 0)
    drawing.lines([line(0, y, WIDTH, y), line(x, 0, x, scaled.height)], GRID, 1)
    drawing.lines([stroke for wine in found.wines for stroke in _ellipse(wine, scaled)], MOSS, 1.3)
    dots = [scaled.point(place) for place in found.terms[:words]]
    drawing.dots(dots, size=22, shape='cross', fill=SOFT, stroke=SOFT, strokeWidth=0.5)
    knobs = [scaled.point(place) for place in found.wines]
    drawing.dots(knobs, size=70, shape='circle', fill=CARD, stroke=INK, strokeWidth=1.8)
    _draw_names(drawing, found, called, found.terms[:words], scaled)
    first, second = (percent(share) for share in found.shares[:2])
    drawing.words([{'x': WIDTH, 'y': scaled.height + 10, 'text': f"across: {first}, up: {second} "
                    "of all that tells wines apart"}], 10.5, SOFT, 'right')  # fmt: skip
    return drawing


class _Scaled:
    """From the map's units to pixels, the same in both directions."""

    def __init__(self, wines: Sequence[Place], terms: Sequence[Place]) -> None:
        across = [x for place in (*wines, *terms) for x in _reach(place, place.x)]
        up = [y for place in (*wines, *terms) for y in _reach(place, place.y)]
        self._left, self._top = min(across), max(up)
        wide, tall = max(across) - self._left or 1.0, self._top - min(up) or 1.0
        room = WIDTH - 2 * _MARGIN
        self._scale = min(room / wide, (_TALLEST - 2 * _MARGIN) / tall)
        self.height = max(_SHORTEST, tall * self._scale + 2 * _MARGIN)
        self._shift = (room - wide * self._scale) / 2
        self._drop = (self.height - 2 * _MARGIN - tall * self._scale) / 2

    def at(self, x: float, y: float) -> tuple[float, float]:
        """The pixel of a place."""
        return (
            _MARGIN + self._shift + (x - self._left) * self._scale,
            _MARGIN + self._drop + (self._top - y) * self._scale,
        )

    def point(self, place: Place) -> Datum:
        x, y = self.at(place.x, place.y)
        return {'x': x, 'y': y}


def _reach(place: Place, middle: float) -> tuple[float, float]:
    return middle - (place.long or 0.0), middle + (place.long or 0.0)


def _ellipse(wine: Place, scaled: _Scaled) -> Iterator[Datum]:
    if wine.long is None or wine.short is None or wine.turn is None:
        return
    cos, sin = math.cos(wine.turn), math.sin(wine.turn)
    corners = []
    for k in range(_SIDES + 1):
        a = wine.long * math.cos(2 * math.pi * k / _SIDES)
        b = wine.short * math.sin(2 * math.pi * k / _SIDES)
        corners.append(scaled.at(wine.x + a * cos - b * sin, wine.y + a * sin + b * cos))
    for start, end in pairwise(corners):
        yield line(*start, *end)


def _draw_names(
    drawing: Drawing,
    found: MapFinding,
    called: Mapping[str, str],
    terms: Sequence[Place],
    scaled: _Scaled,
) -> None:
    within: Box = (0.0, 0.0, float(WIDTH), scaled.height)
    taken: list[Box] = []
    for place in found.wines:
        x, y = scaled.at(place.x, place.y)
        taken.append((x - 8, y - 8, x + 8, y + 8))
    taken += [box_of('n', *scaled.at(place.x, place.y), 8) for place in terms]
    wines = [
        (fold(called.get(place.name, place.name), 30, 1)[0], *scaled.at(place.x, place.y))
        for place in found.wines
    ]
    words = [(fold(place.name, 22, 1)[0], *scaled.at(place.x, place.y)) for place in terms]
    bold = place_labels(wines, _WINE_SIZE * 1.05, within, taken)
    plain = place_labels(words, _WORD_SIZE, within, taken)
    drawing.lines([_leader(label) for label in (*bold, *plain) if label.reach > 15], SOFT, 0.6)
    words_said, wines_said = [_text(each) for each in plain], [_text(each) for each in bold]
    # A rim in the colour of the ground, so that lines do not run through letters.
    drawing.words(words_said, _WORD_SIZE, CARD, 'center', stroke=CARD, strokeWidth=3)
    drawing.words(wines_said, _WINE_SIZE, CARD, 'center', 600, stroke=CARD, strokeWidth=3)
    drawing.words(words_said, _WORD_SIZE, SOFT, 'center')
    drawing.words(wines_said, _WINE_SIZE, INK, 'center', 600)


def _leader(label: Label) -> Datum:
    """From the point to the near edge of the word."""
    left, top, right, bottom = box_of(label.text, *label.middle, _WORD_SIZE)
    x, y = label.point
    return line(x, y, min(max(x, left), right), min(max(y, top), bottom))


def _text(label: Label) -> Datum:
    return {'x': label.middle[0], 'y': label.middle[1], 'text': label.text}
