"""The bubbles of a category: one run for every step, or two runs that are added up."""

from __future__ import annotations

from dataclasses import dataclass

from halfpoint.collect.paper.print.layout import Bubble, Point, Rectangle, Row, Ruler, Tick, Words
from halfpoint.collect.paper.print.measures import LABEL_WIDTH, LONGEST_ROW, Measures
from halfpoint.sheet.form import Category
from halfpoint.sheet.soundness import STEP_TOLERANCE
from halfpoint.sheet.words import say_number

LONG_TICK, SHORT_TICK = 0.7, 0.35
_RULER_DOWN = 0.05
_UNITS = (1.0, 10.0)


@dataclass(frozen=True, slots=True)
class Runs:
    """What the bubbles of a category add: one run, or a coarse and a fine one."""

    coarse: tuple[float, ...]
    fine: tuple[float, ...] = ()

    @property
    def places(self) -> int:
        """How many pitches wide the row is; two runs have an empty place between them."""
        return len(self.coarse) + (len(self.fine) + 1 if self.fine else 0)


def runs_of(category: Category) -> Runs | None:
    """The shortest row for a category: whole marks in one run, or tens and units, or the like.

    A long scale has two runs: from 0 to 25 in whole points are 0, 10, 20 and 0 to 9; quarter
    points are the whole points and 0, ¼, ½, ¾.  None where neither makes a row.
    """
    if category.steps < LONGEST_ROW:
        marks = (category.lowest + n * category.step for n in range(category.steps + 1))
        return Runs(tuple(round(mark, 9) for mark in marks))
    found = [runs for unit in _UNITS if (runs := _split(category, unit))]
    return min(found, key=lambda runs: runs.places, default=None)


def _split(category: Category, unit: float) -> Runs | None:
    parts = unit / category.step
    fine = round(parts)
    on_grid = abs(category.lowest / category.step - round(category.lowest / category.step))
    if category.lowest < 0 or abs(parts - fine) > STEP_TOLERANCE or on_grid > STEP_TOLERANCE:
        return None
    if not 2 <= fine <= 10:
        return None
    slack = category.step * STEP_TOLERANCE
    first, last = int((category.lowest + slack) // unit), int((category.top + slack) // unit)
    coarse = tuple(unit * n for n in range(first, last + 1))
    return Runs(coarse, tuple(round(category.step * n, 9) for n in range(fine)))


def width_of(runs: Runs, sizes: Measures) -> float:
    """Width of a row with its label."""
    return LABEL_WIDTH + runs.places * sizes.pitch


def row_at(category: Category, runs: Runs, left: float, top: float, sizes: Measures) -> Row:
    """A category's row with its top left corner at a place."""
    label = Rectangle(left, top + 0.4, LABEL_WIDTH - 1.5, sizes.row - 0.8)
    start = left + LABEL_WIDTH
    centre = top + sizes.row / 2 + 0.25
    parts = ('coarse', 'fine') if runs.fine else ('whole',)
    offsets = (start, start + (len(runs.coarse) + 1) * sizes.pitch)
    bubbles: list[Bubble] = []
    rulers: list[Ruler] = []
    for part, marks, at in zip(parts, (runs.coarse, runs.fine), offsets, strict=False):
        own = [
            Bubble(part, mark, say_number(mark), _point(at, n, centre, sizes), sizes.diameter)
            for n, mark in enumerate(marks)
        ]
        bubbles += own
        rulers.append(_ruler(own, top + _RULER_DOWN))
    plus = None
    if runs.fine:
        gap = start + len(runs.coarse) * sizes.pitch
        area = Rectangle(gap + 1, centre - 1.8, sizes.pitch - 2, 3.6)
        plus = Words('+', area, 8.5, align='center')
    text = Words(category.label, label, 8.5, weight='semibold', lines=2)
    return Row(category.key, text, tuple(bubbles), tuple(rulers), plus)


def _point(left: float, place: int, y: float, sizes: Measures) -> Point:
    return Point(round(left + (place + 0.5) * sizes.pitch, 3), round(y, 3))


def _ruler(bubbles: list[Bubble], y: float) -> Ruler:
    """Whole points have long ticks, what lies between short ones."""
    ticks = tuple(
        Tick(b.centre.x, LONG_TICK if float(b.adds).is_integer() else SHORT_TICK) for b in bubbles
    )
    return Ruler(ticks[0].x, ticks[-1].x, round(y, 3), ticks)
