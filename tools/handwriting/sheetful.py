"""Cells of every kind, with what is in them: digits, halves, dots, nothing, no digit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from handwriting import pen
from handwriting.pen import HEIGHTS, WIDTH, Ink, Rng
from handwriting.spoil import spoiled
from handwriting.strokes import Glyph, Stroke, own_digit, own_sign
from handwriting.written import Written

DIGITS = '0123456789'
Named = tuple[Ink, str]


class Writer:
    """Fills cells with the hands of some real writers, and with our own strokes."""

    def __init__(self, written: Sequence[Written], rng: Rng, harm: float = 1.0) -> None:
        self.rng = rng
        self.harm = harm
        self._written = written
        self._by_digit = {
            digit: [each for each in written if each.digit == digit and each.glyph]
            for digit in DIGITS
        }

    def real(self, each: Written, strokes: bool | None = None) -> Named:
        """A digit of the data set, as thick as it was or with another pen."""
        height = self._height()
        with_pen = self.rng.random() < 0.6 if strokes is None else strokes
        if with_pen and each.glyph:
            return self._spoiled(self._with_pen(each.glyph, height)), each.digit
        return self._spoiled(pen.stamped(each.field, height, self.rng)), each.digit

    def own(self) -> Named:
        """A digit of our own strokes."""
        digit = DIGITS[self.rng.integers(10)]
        ink = self._with_pen(own_digit(digit, self.rng), self._height())
        return self._spoiled(ink), digit

    def half(self) -> Named:
        """One half: ½ slanted, stacked or in one line."""
        rng, height = self.rng, self._height()
        one, two = self._any('1'), self._any('2')
        kind = rng.choice(3, p=[0.5, 0.25, 0.25])
        if kind == 0:
            top, bottom = rng.uniform(0.42, 0.56, 2)
            tilt = rng.uniform(0.35, 0.6)
            parts = [
                *_inside(one, (0.0, 0.0, 0.36, top), rng),
                *_inside(two, (tilt, 1 - bottom, 1.0, 1.0), rng),
                _line((rng.uniform(0.6, 0.95), rng.uniform(0, 0.2)),
                      (rng.uniform(0.05, 0.4), rng.uniform(0.8, 1.0)), rng),
            ]  # fmt: skip
        elif kind == 1:
            slope = rng.normal(-0.03, 0.06)
            parts = [
                *_inside(one, (0.3, 0.0, 0.7, 0.45), rng),
                *_inside(two, (0.25, 0.56, 0.75, 1.0), rng),
                _line((rng.uniform(0.05, 0.25), 0.5 - slope),
                      (rng.uniform(0.75, 0.95), 0.5 + slope), rng),
            ]  # fmt: skip
        else:
            parts = [
                *_inside(one, (0.0, 0.05, 0.25, 0.9), rng),
                *_inside(two, (0.62, 0.1, 1.0, 1.0), rng),
                _line((rng.uniform(0.55, 0.7), 0.0), (rng.uniform(0.3, 0.42), 1.0), rng),
            ]
        if kind != 1 or rng.random() < 0.5:
            parts = pen.moved(parts, rng, 0.4)
        ink = self._in_box(parts, height, pen.some_box(height, rng, 0.55))
        return self._spoiled(ink), '½'

    def decimal_half(self) -> Named:
        """A half written as a dot or comma and a five in one cell."""
        rng, height = self.rng, self._height()
        low = rng.uniform(0.86, 1.0)
        parts = [*_inside(self._any('5'), (0.3, 0.0, 1.0, 1.0), rng)]
        parts += [
            np.array([[0.08, low], [0.08 - rng.uniform(0, 0.06), low + rng.uniform(0, 0.14)]])
        ]
        ink = self._in_box(parts, height, pen.some_box(height, rng, 0.5))
        return self._spoiled(ink), '.5'

    def dot(self) -> Named:
        """A dot or comma on its own, low in the cell."""
        rng, height = self.rng, self._height()
        at = np.array([rng.uniform(4, WIDTH - 4), height * rng.uniform(0.6, 0.95)])
        size = rng.uniform(0, 3)
        tail = at + rng.normal(0, 1, 2) * size * 0.5
        if rng.random() < 0.4:
            tail = at + np.array([-rng.uniform(0.5, 3.5), rng.uniform(2, 7)])
        ink = pen.drawn([np.stack([at, tail])], height, pen.pen_width(rng) * rng.uniform(1, 1.6))
        return self._spoiled(ink), '.'

    def nothing(self) -> Named:
        """An empty cell with what is left of its outline, or dust."""
        height = self._height()
        empty = np.zeros((height, WIDTH), np.float32)
        ink = spoiled(empty, self.rng, 2.0 * self.harm)
        return ink * np.float32(self.rng.uniform(0.4, 1)), ''

    def junk(self) -> Named:
        """Ink that nobody should read as one digit."""
        kinds = (self._scribbled, self._signed, self._two, self._crossed, self._overwritten,
                 self._cut_off, self._blotted)  # fmt: skip
        ink = kinds[self.rng.choice(7, p=[0.22, 0.2, 0.2, 0.18, 0.08, 0.07, 0.05])]()
        return self._spoiled(ink), '?'

    def _scribbled(self) -> Ink:
        height = self._height()
        glyph = pen.scribble(height, self.rng, int(self.rng.integers(1, 6)))
        return pen.drawn(glyph, height, pen.pen_width(self.rng))

    def _signed(self) -> Ink:
        return self._with_pen(own_sign(self.rng), self._height())

    def _two(self) -> Ink:
        height, rng = self._height(), self.rng
        split = rng.uniform(0.4, 0.6) * WIDTH
        _, top, _, bottom = pen.some_box(height, rng, 0.5)
        glyph = []
        for left, right in ((1.0, split), (split, WIDTH - 1.0)):
            one = pen.moved(self._any(DIGITS[rng.integers(10)]), rng, 0.5)
            glyph += pen.placed(one, (left, top, right, bottom), rng)
        return pen.drawn(glyph, height, pen.pen_width(rng))

    def _crossed(self) -> Ink:
        height, width = self._height(), pen.pen_width(self.rng)
        digit = pen.moved(self._any(DIGITS[self.rng.integers(10)]), self.rng)
        digit = pen.placed(digit, pen.some_box(height, self.rng), self.rng)
        return pen.drawn(digit + pen.crossing_out(height, self.rng), height, width)

    def _overwritten(self) -> Ink:
        height = self._height()
        first, second = self.rng.choice(10, 2, replace=False)
        box = pen.some_box(height, self.rng)
        glyph = []
        for digit in (first, second):
            moved = pen.moved(self._any(DIGITS[digit]), self.rng)
            glyph += pen.placed(moved, box, self.rng)
        return pen.drawn(glyph, height, pen.pen_width(self.rng))

    def _cut_off(self) -> Ink:
        """A digit of which the cell shows half."""
        height, rng = self._height(), self.rng
        digit = pen.moved(self._any('02345689'[rng.integers(8)]), rng)
        digit = pen.placed(digit, pen.some_box(height, rng, 0.6), rng)
        points = np.vstack(digit)
        wide, tall = points.max(axis=0) - points.min(axis=0)
        way = rng.integers(4)
        part = rng.uniform(0.4, 0.65)
        low, high = points.min(axis=0), points.max(axis=0)
        target = (
            (-low[0] - part * wide, 0.0), (WIDTH - high[0] + part * wide, 0.0),
            (0.0, -low[1] - part * tall), (0.0, height - high[1] + part * tall),
        )[way]  # fmt: skip
        return pen.drawn([stroke + target for stroke in digit], height, pen.pen_width(rng))

    def _blotted(self) -> Ink:
        height, rng = self._height(), self.rng
        count = rng.integers(1, 4)
        at = rng.uniform([8, 8], [WIDTH - 8, height - 8], (count, 2))
        return pen.drawn([np.stack([each, each + 0.5]) for each in at], height, rng.uniform(9, 30))

    def _any(self, digit: str) -> Glyph:
        real = self._by_digit[digit]
        if real and self.rng.random() < 0.5:
            return real[self.rng.integers(len(real))].glyph
        return own_digit(digit, self.rng)

    def _with_pen(self, glyph: Glyph, height: int) -> Ink:
        moved = pen.moved(glyph, self.rng)
        return self._in_box(moved, height, pen.some_box(height, self.rng))

    def _in_box(self, glyph: Glyph, height: int, box: tuple[float, float, float, float]) -> Ink:
        return pen.drawn(pen.placed(glyph, box, self.rng), height, pen.pen_width(self.rng))

    def _height(self) -> int:
        return HEIGHTS[self.rng.integers(len(HEIGHTS))]

    def _spoiled(self, ink: Ink) -> Ink:
        return spoiled(ink, self.rng, self.harm)


def _inside(glyph: Glyph, box: tuple[float, float, float, float], rng: Rng) -> Glyph:
    """Small, in a part of a box one wide and one high."""
    return pen.placed(pen.moved(glyph, rng, 0.5), box, rng)


def _line(start: tuple[float, float], stop: tuple[float, float], rng: Rng) -> Stroke:
    ends = np.array([start, (np.add(start, stop)) / 2, stop], np.float64)
    ends[1] += rng.normal(0, 0.02, 2)
    return ends
