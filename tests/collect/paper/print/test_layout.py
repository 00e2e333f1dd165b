"""A score sheet finds its place on paper, from its data alone."""

from __future__ import annotations

import json
from collections import Counter
from itertools import combinations, pairwise

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from tests.collect.paper.print.made import everything, grown, sheets

from halfpoint.collect.paper.print import lay_out, layout_json, layout_schema, most_wines_a_page
from halfpoint.collect.paper.print.layout import Block, Layout, Rectangle
from halfpoint.errors import SheetError, UsageError
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import builtin_sheets, load_sheet

BUILT_IN = [(name, wines) for name in builtin_sheets() for wines in (3, 4, 5)]


def overlapping(layout: Layout) -> list[tuple[str, str]]:
    """Pairs of elements that share some paper."""
    names, areas = zip(*everything(layout), strict=True)
    left, top, right, bottom = np.array([(a.left, a.top, a.right, a.bottom) for a in areas]).T
    slack = 1e-6
    meet = (
        (left[:, None] < right - slack) & (left < right[:, None] - slack)
        & (top[:, None] < bottom - slack) & (top < bottom[:, None] - slack)
    )  # fmt: skip
    return [(names[a], names[b]) for a, b in zip(*np.nonzero(np.triu(meet, 1)), strict=True)]


def marks_of(block: Block, category: str) -> list[float]:
    """Every mark that the bubbles of a category can say, in order."""
    row = next(row for row in block.rows if row.category == category)
    parts = {b.part for b in row.bubbles}
    if parts == {'whole'}:
        return [b.adds for b in row.bubbles]
    coarse = [b.adds for b in row.bubbles if b.part == 'coarse']
    fine = [b.adds for b in row.bubbles if b.part == 'fine']
    return sorted(c + f for c in coarse for f in fine)


def distance(a: Rectangle, b: Rectangle) -> float:
    """Between the nearest edges of two rectangles."""
    across = max(a.left - b.right, b.left - a.right, 0)
    down = max(a.top - b.bottom, b.top - a.bottom, 0)
    return float(np.hypot(across, down))


@pytest.mark.parametrize(('name', 'wines'), BUILT_IN)
def test_built_in_sheets_fit_without_overlap(name: str, wines: int) -> None:
    """Each built-in sheet has 3, 4 and 5 wines a page, and no two elements meet."""
    layout = lay_out(load_sheet(name), wines)
    assert wines == len(layout.blocks)
    assert [] == overlapping(layout)


@pytest.mark.parametrize(('name', 'wines'), BUILT_IN)
def test_markers_have_white_around_them(name: str, wines: int) -> None:
    """Nothing is printed within a cell's width, 1.5 mm, of a corner marker."""
    layout = lay_out(load_sheet(name), wines)
    for fiducial in layout.fiducials:
        for other, area in everything(layout):
            if other != f'marker {fiducial.marker}':
                white = {code.kind: code.quiet for code in layout.codes}.get(other, 0)
                assert distance(fiducial.area, grown(area, -white)) >= 1.5 - 1e-6


def test_an_overlap_would_be_found() -> None:
    """The check of overlaps sees two wines that are laid on each other."""
    layout = lay_out(load_sheet('liking'), 3)
    twice = Layout(**{
        name: getattr(layout, name) for name in Layout.__slots__ if name != 'blocks'
    }, blocks=layout.blocks[:1] * 2)  # fmt: skip
    assert overlapping(twice)


def check(sheet: Sheet, layout: Layout) -> None:
    """All that holds for any layout."""
    frame = Rectangle(0, 0, 190, 257)
    assert [] == overlapping(layout)
    for name, area in everything(layout):
        if name in {'data-matrix', 'qr'}:
            continue  # their white reaches beyond the frame
        assert area.left >= frame.left, name
        assert area.top >= frame.top, name
        assert area.right <= frame.right + 1e-6, name
        assert area.bottom <= frame.bottom + 1e-6, name
    block = layout.blocks[-1]
    for category in sheet.categories:
        said = marks_of(block, category.key)
        every = [category.lowest + n * category.step for n in range(category.steps + 1)]
        assert 1 == max(Counter(round(mark, 6) for mark in said).values())
        assert {round(mark, 6) for mark in every} <= {round(mark, 6) for mark in said}
    remark = next(each for each in block.write_ins if each.kind == 'remark')
    assert all(distance(box.area, remark.area) >= 6 - 1e-6 for box in block.boxes)
    for box, other in combinations(block.boxes, 2):
        across, down = abs(box.area.left - other.area.left), abs(box.area.top - other.area.top)
        assert max(across, down) >= 5.5 - 1e-3


@settings(max_examples=60, deadline=None)
@given(sheets())
def test_any_sheet_fits_or_is_refused_with_what_would(sheet: Sheet) -> None:
    """No overlap, every mark said by one way of filling, all boxes there; or a plain refusal."""
    for wines in (3, 4, 5):
        layout, refusal = attempt(sheet, wines)
        if layout is not None:
            check(sheet, layout)
        elif refusal is not None and 'print with' in refusal.remedy:
            offered = int(refusal.remedy.removeprefix('print with --wines-a-page '))
            assert f'{wines} wines a page' in refusal.found
            check(sheet, lay_out(sheet, offered))


def attempt(sheet: Sheet, wines: int) -> tuple[Layout | None, SheetError | None]:
    """The layout, or why there is none."""
    try:
        return lay_out(sheet, wines), None
    except SheetError as refusal:
        return None, refusal


@pytest.mark.parametrize(
    ('wines', 'diameter', 'pitch', 'row'), [(4, 4.2, 6.0, 6.2), (5, 3.6, 5.2, 5.2)]
)
def test_sizes_are_those_that_were_measured(
    wines: int, diameter: float, pitch: float, row: float
) -> None:
    """Bubbles, their pitch and their rows have the sizes of the prototype that read well."""
    block = lay_out(load_sheet('twenty-point'), wines).blocks[0]
    aroma = next(row for row in block.rows if row.category == 'aroma')
    assert {diameter} == {bubble.diameter for bubble in aroma.bubbles}
    steps = {round(b.centre.x - a.centre.x, 3) for a, b in pairwise(aroma.bubbles)}
    assert {pitch} == steps
    tops = [each.bubbles[0].centre.y for each in block.rows]
    assert {row} == {round(below - above, 3) for above, below in pairwise(tops)}
    assert {(3.4, 3.4)} == {(box.area.width, box.area.height) for box in block.boxes}


def test_halves_are_written_as_halves() -> None:
    """The numbers inside the bubbles of the usual sheet are 0, ½, 1, 1½ and so on."""
    row = lay_out(load_sheet('twenty-point')).blocks[0].rows[0]
    assert ['0', '½', '1', '1½', '2', '2½', '3'] == [bubble.text for bubble in row.bubbles]


def test_a_long_scale_is_tens_and_units() -> None:
    """0 to 25 in whole points has three tens and ten units."""
    row = next(r for r in lay_out(load_sheet('hundred-point')).blocks[0].rows if r.plus)
    assert 'nose' == row.category
    assert [0, 10, 20, *range(10)] == [bubble.adds for bubble in row.bubbles]


def test_a_scale_that_no_row_holds_is_refused_by_name() -> None:
    """From 0 to 100 in hundredths: the category is named, and what can be done."""
    sheet = Sheet.model_validate({
        'key': 'own', 'label': 'Own',
        'category': [{'key': 'fine', 'label': 'Fine', 'top': 100, 'step': 0.01}],
    })  # fmt: skip
    with pytest.raises(SheetError, match="'Fine' from 0 to 100") as refusal:
        lay_out(sheet)
    assert 'coarser steps' in refusal.value.remedy


def test_a_sheet_too_tall_offers_fewer_wines() -> None:
    """Eight categories fit three wines a page, and four are refused with that remedy."""
    sheet = Sheet.model_validate({
        'key': 'own', 'label': 'Own',
        'category': [
            {'key': f'c{n}', 'label': f'C{n}', 'top': 5, 'step': 0.5} for n in range(8)
        ],
    })  # fmt: skip
    with pytest.raises(SheetError) as refusal:
        lay_out(sheet, 4)
    assert 'print with --wines-a-page 3' == refusal.value.remedy
    assert 3 == most_wines_a_page(sheet)


@pytest.mark.parametrize('wines', [0, 2, 6])
def test_other_numbers_of_wines_are_refused(wines: int) -> None:
    """Only 3, 4 and 5 wines a page are laid out."""
    with pytest.raises(UsageError) as refusal:
        lay_out(load_sheet('liking'), wines)
    assert '3, 4, 5' == refusal.value.expected


@pytest.mark.parametrize('name', builtin_sheets())
def test_the_layout_file_keeps_its_schema(name: str) -> None:
    """What is written is valid by the schema, and the same each time."""
    text = layout_json(lay_out(load_sheet(name)))
    jsonschema.Draft202012Validator(layout_schema()).validate(json.loads(text))
    assert text == layout_json(lay_out(load_sheet(name)))


def test_codes_have_room_for_their_cells() -> None:
    """On spares the cells for a code lie where the code is printed otherwise."""
    for block in lay_out(load_sheet('twenty-point'), 5).blocks:
        room = grown(block.code, 1e-6)
        for cell in block.code_cells:
            assert room.left <= cell.left
            assert cell.right <= room.right
            assert room.top <= cell.top
            assert cell.bottom <= room.bottom
