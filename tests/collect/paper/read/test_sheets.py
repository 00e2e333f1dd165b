"""Every built-in score sheet, at every number of wines a page that fits, is read back exactly."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import cv2
import numpy as np
import pytest
from tests.collect.paper.print.made import invented
from tests.collect.paper.read.pages import Written, room

from halfpoint.collect.paper.print.lay_out import lay_out
from halfpoint.collect.paper.print.layout import Bubble, Row
from halfpoint.collect.paper.read.model import PageReading
from halfpoint.errors import SheetError

SHEETS = sorted(
    file.name.removesuffix('.toml')
    for file in files('halfpoint.sheet.builtin').iterdir()
    if file.name.endswith('.toml')
)


def fits(sheet: str, wines: int) -> bool:
    """Whether a sheet can be laid out so."""
    try:
        lay_out(invented(sheet).sheet, wines)
    except SheetError:
        return False
    return True


WINES = {sheet: [wines for wines in (3, 4, 5) if fits(sheet, wines)] for sheet in SHEETS}
CASES = [(sheet, wines) for sheet in SHEETS for wines in WINES[sheet]]


def blot(page: Written, bubble: Bubble) -> None:
    """A disc over four fifths of a circle, by OpenCV."""
    origin, scale = page.raster.origin, page.raster.scale
    at = [(bubble.centre.x + origin.x) * scale, (bubble.centre.y + origin.y) * scale]
    fixed = [round((each - 0.5) * 16) for each in at]
    radius = round(0.4 * bubble.diameter * scale * 16)
    cv2.circle(page.image, (fixed[0], fixed[1]), radius, 40, -1, cv2.LINE_AA, 4)


def chosen(row: Row, number: int) -> list[Bubble]:
    """The bubble of this number in each part of a line, beginning again at its end."""
    parts = dict.fromkeys(bubble.part for bubble in row.bubbles)
    runs = [[bubble for bubble in row.bubbles if bubble.part == part] for part in parts]
    return [run[number % len(run)] for run in runs]


def test_the_three_sheets_are_all_tried() -> None:
    """Each fits at three wines a page at least, and one of them has lines of two runs."""
    assert {'hundred-point', 'liking', 'twenty-point'} == {sheet for sheet, _ in CASES}
    parts = {b.part for row in room('hundred-point', 3).layout.blocks[0].rows for b in row.bubbles}
    assert {'coarse', 'fine', 'whole'} >= parts > {'whole'}


@pytest.mark.parametrize(('sheet', 'wines'), CASES)
def test_a_blank_page_has_no_mark(sheet: str, wines: int) -> None:
    """Every glass is empty and nothing needs a look."""
    reading = Written(room(sheet, wines)).read()
    assert wines == len(reading.pours) == reading.wines_a_page
    for pour in reading.pours:
        assert pour.is_empty
        assert {None} == set(pour.marks.values())
        assert () == (*pour.terms, *pour.families, *pour.faults, *pour.looks)


@cache
def filled_by_number(sheet: str, wines: int) -> list[tuple[int, PageReading]]:
    """Pages on which every line of a glass has the bubble of one number, and that first number."""
    made = room(sheet, wines)
    longest = max(len(row.bubbles) for row in made.layout.blocks[0].rows)
    pages = []
    # All bubbles at the fewest wines a page; the others are laid out alike, and one page is enough.
    firsts = range(0, longest, wines) if wines == min(WINES[sheet]) else (3,)
    for first in firsts:
        page = Written(made)
        for place in range(1, wines + 1):
            for shift, row in enumerate(page.block(place).rows):
                for bubble in chosen(row, first + place - 1 + shift):
                    blot(page, bubble)
        pages.append((first, page.read()))
    return pages


@pytest.mark.parametrize(('sheet', 'wines'), CASES)
def test_every_bubble_that_is_filled_is_read(sheet: str, wines: int) -> None:
    """Over a few pages each bubble of each line is: the mark is what its bubbles add to."""
    # Two runs that add up to more than the scale has need a look at their sum.
    made = room(sheet, wines)
    for first, reading in filled_by_number(sheet, wines):
        for pour in reading.pours:
            asked = {look.field: look.reason for look in pour.looks}
            for shift, row in enumerate(made.layout.blocks[pour.place - 1].rows):
                category = made.tasting.sheet.category(row.category)
                added = sum(b.adds for b in chosen(row, first + pour.place - 1 + shift))
                if added <= category.top:
                    assert added == pour.marks[row.category]
                    assert row.category not in asked
                else:
                    assert pour.marks[row.category] is None
                    assert 'sum' == asked[row.category]
            assert () == (*pour.terms, *pour.families, *pour.faults)


def test_two_runs_add_up_over_the_whole_scale() -> None:
    """Where a mark is told by two circles, all marks from lowest to top can be read."""
    made = room('hundred-point', 3)
    row = next(row for row in made.layout.blocks[0].rows if row.bubbles[0].part == 'coarse')
    category = made.tasting.sheet.category(row.category)
    wanted = np.linspace(category.lowest, category.top, 3).round()
    page = Written(made)
    for place, value in enumerate(wanted, start=1):
        page.mark(place, row.category, float(value))
        assert 2 == len(page.circles(place, row.category, float(value)))
    assert wanted.tolist() == [pour.marks[row.category] for pour in page.read().pours]


def test_one_circle_of_two_needs_a_look() -> None:
    """Where only the coarse part is marked, nobody guesses the fine one."""
    page = Written(room('hundred-point', 3))
    rows = [row for row in page.block(1).rows if row.bubbles[0].part == 'coarse']
    for row in rows:
        blot(page, row.bubbles[1])
    pour = page.pour()
    asked = {look.field: look.reason for look in pour.looks}
    for row in rows:
        assert pour.marks[row.category] is None
        assert 'nothing' == asked[row.category]
