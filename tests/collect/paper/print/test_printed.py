"""What is printed stands where the layout says, and says what it should."""

from __future__ import annotations

from contextlib import closing
from functools import cache

import cv2
import numpy as np
import pypdfium2
import pytest
import zxingcpp
from numpy.typing import NDArray
from tests.collect.paper.print.made import around, invented

from halfpoint.collect.paper.print import (
    Layout,
    Page,
    form_of,
    lay_out,
    seat_pages,
    spare_pages,
)
from halfpoint.collect.paper.print.layout import PAPER_SIZES, Rectangle
from halfpoint.collect.paper.print.typeset import press
from halfpoint.plan.make import make_plan

DOTS = 400
MM = DOTS / 25.4
STROKE = 0.4 * 25.4 / 72
CASES = [
    ('twenty-point', 4, 'a4'), ('twenty-point', 5, 'us-letter'), ('hundred-point', 3, 'us-letter'),
    ('liking', 3, 'a4'),
]  # fmt: skip
Case = tuple[str, int, str]
Image = NDArray[np.uint8]


@cache
def printed(case: Case) -> tuple[Layout, list[Page], bytes]:
    """The layout of a case, the pages of one site with a spare, and their PDF."""
    name, wines, paper = case
    tasting = invented(name)
    plan = make_plan(tasting, seed=1)
    layout = lay_out(tasting.sheet, wines)
    form = form_of(layout)
    pages = [
        *seat_pages(tasting, plan, 'south', wines_a_page=wines, form=form),
        *spare_pages(tasting, plan, 'south', 1, wines_a_page=wines, form=form),
    ]
    with press(tasting, layout, paper) as ours:
        return layout, pages, ours.pdf(pages)


@cache
def image(case: Case, page: int = 0) -> Image:
    """A page in grey."""
    with closing(pypdfium2.PdfDocument(printed(case)[2])) as document:
        return document[page].render(scale=DOTS / 72, grayscale=True).to_numpy().copy()


def text(case: Case) -> str:
    """All the text of the PDF."""
    with closing(pypdfium2.PdfDocument(printed(case)[2])) as document:
        return '\n'.join(page.get_textpage().get_text_bounded() for page in document)


def found(case: Case, area: Rectangle, around_it: float, darkness: int) -> Rectangle:
    """The box around all that is darker, near an area; in millimetres on the frame."""
    origin = printed(case)[0].origins[case[2]]
    left, top = area.left + origin.x - around_it, area.top + origin.y - around_it
    first, above = round(left * MM), round(top * MM)
    across, down = (
        round((area.width + 2 * around_it) * MM),
        round((area.height + 2 * around_it) * MM),
    )
    near = image(case)[above : above + down, first : first + across] < darkness
    columns, rows = np.flatnonzero(near.any(axis=0)), np.flatnonzero(near.any(axis=1))
    return Rectangle(
        (first + columns[0]) / MM - origin.x, (above + rows[0]) / MM - origin.y,
        (columns[-1] - columns[0] + 1) / MM, (rows[-1] - rows[0] + 1) / MM,
    )  # fmt: skip


def assert_at(expected: Rectangle, measured: Rectangle, stroke: float = 0.0) -> None:
    """Edges within a tenth of a millimetre; an outline lies half outside."""
    edges = [(r.left, r.top, r.right, r.bottom) for r in (expected, measured)]
    outside = np.array([-1, -1, 1, 1]) * stroke / 2
    assert np.abs(np.array(edges[0]) + outside - edges[1]).max() < 0.1


@pytest.mark.parametrize('case', CASES, ids=str)
def test_markers_and_squares_stand_where_the_layout_says(case: Case) -> None:
    """Corner markers, side squares and both codes, to 0.1 mm on the rasterised page."""
    layout = printed(case)[0]
    solid = [*(each.area for each in layout.fiducials), *layout.side_marks]
    for area in [*solid, *(code.area for code in layout.codes)]:
        assert_at(area, found(case, area, 0.9, 128))


@pytest.mark.parametrize('case', CASES, ids=str)
def test_bubbles_and_boxes_stand_where_the_layout_says(case: Case) -> None:
    """The first, a middle and the last bubble of every row, every fifth box, every cell."""
    for block in printed(case)[0].blocks[::2]:
        for row in block.rows:
            for bubble in (row.bubbles[0], row.bubbles[len(row.bubbles) // 2], row.bubbles[-1]):
                assert_at(around(bubble), found(case, around(bubble), 0.2, 235), STROKE)
        for box in block.boxes[::5]:
            assert_at(box.area, found(case, box.area, 0.3, 235), STROKE)
        for written in block.write_ins:
            if not written.cells:
                assert_at(written.area, found(case, written.area, 0.18, 235), STROKE)


@pytest.mark.parametrize('case', CASES, ids=str)
def test_both_codes_say_who_the_page_belongs_to(case: Case) -> None:
    """zxing-cpp reads the same 24 digits from both codes; OpenCV reads the QR code alike."""
    layout, pages, _ = printed(case)
    origin = layout.origins[case[2]]
    for number, page in enumerate(pages):
        for code, kind in zip(layout.codes, ('QRCode', 'DataMatrix'), strict=True):
            left, top = (
                (code.area.left + origin.x - 1.5) * MM,
                (code.area.top + origin.y - 1.5) * MM,
            )
            size = round((code.area.width + 3) * MM)
            crop = image(case, number)[round(top) :, round(left) :][:size, :size]
            read = zxingcpp.read_barcodes(np.ascontiguousarray(crop))
            assert [(kind, page.identity.payload)] == [(r.format.name, r.text) for r in read]
            if kind == 'QRCode':
                said = cv2.QRCodeDetector().detectAndDecode(cv2.copyMakeBorder(
                    np.ascontiguousarray(crop), 40, 40, 40, 40, cv2.BORDER_CONSTANT, value=255,
                ))[0]  # fmt: skip
                assert page.identity.payload == said
    assert len(pages) == len({page.identity.payload for page in pages})


@pytest.mark.parametrize('case', CASES, ids=str)
def test_opencv_finds_the_four_markers(case: Case) -> None:
    """OpenCV's detector finds markers 0 to 3 on the page, and no other."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    _, ids, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(image(case))
    assert [0, 1, 2, 3] == sorted(int(marker) for marker in ids.ravel())


@pytest.mark.parametrize('case', CASES, ids=str)
def test_the_paper_has_its_size(case: Case) -> None:
    """Every page is A4 or Letter, and there is a page for each."""
    width, height = PAPER_SIZES[case[2]]
    with closing(pypdfium2.PdfDocument(printed(case)[2])) as document:
        sizes = {tuple(round(side * 25.4 / 72, 1) for side in page.get_size()) for page in document}
        assert len(printed(case)[1]) == len(document)
    assert {(width, height)} == sizes


def test_codes_stand_in_serving_order_and_no_wine_is_named() -> None:
    """A seat's codes come in the order of the plan; no wine's name is anywhere."""
    case = CASES[0]
    plan = make_plan(invented(), seed=1)
    pours = sorted(
        (p for p in plan.pours if (p.site, p.seat) == ('south', 1)), key=lambda p: p.position
    )
    shown = [
        g.code
        for page in printed(case)[1]
        if page.identity.number == 1
        for g in page.glasses
        if g.code
    ]
    said = text(case)
    assert [pour.code for pour in pours] == shown
    assert all(code in said for code in shown)
    assert 'Zq' not in said
    assert 'w0' not in said


def test_names_in_scripts_of_the_typeface_are_printed() -> None:
    """Latin with accents, Greek and Cyrillic need no other font."""
    said = text(CASES[0])
    assert "Ανδρέας Тихий" in said
    assert "Salle Éloi" in said


def test_cautions_and_invention_are_told_on_every_page() -> None:
    """Spit, water, no driving; and that the tasting is made up."""
    case = CASES[1]
    said = ' '.join(text(case).split())
    pages = len(printed(case)[1])
    for words in ("Spit whenever you like", "Drink water", "does not drive", "Invented for"):
        assert pages == said.count(words)


def test_the_last_page_has_only_the_glasses_that_are_poured() -> None:
    """Six glasses at four a page: the second sheet asks about two."""
    pages = [
        page for page in printed(CASES[0])[1] if page.identity.number == 1 and not page.is_spare
    ]
    assert [4, 2] == [len(page.glasses) for page in pages]
    with closing(pypdfium2.PdfDocument(printed(CASES[0])[2])) as document:
        said = [document[n].get_textpage().get_text_bounded().count('remark') for n in (0, 1)]
    assert [4, 2] == said


def test_the_same_pages_give_the_same_bytes() -> None:
    """No date and no chance is in a PDF."""
    case = ('liking', 3, 'a4')
    _, _, first = printed(case)
    assert first == printed.__wrapped__(case)[2]


def test_many_pages_are_joined_in_order() -> None:
    """More pages than are set at once come out complete and in order."""
    tasting = invented('liking', seats=60, wines=3)
    plan = make_plan(tasting, seed=1)
    layout = lay_out(tasting.sheet, 3)
    pages = [*seat_pages(tasting, plan, 'north', wines_a_page=3, form=form_of(layout))]
    told: list[tuple[int, int]] = []
    with press(tasting, layout, 'a4') as ours:
        pdf = ours.pdf(pages, lambda done, of: told.append((done, of)))
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        seats = [
            page.get_textpage().get_text_bounded().split('Seat ')[1].split()[0] for page in document
        ]
    assert [str(n) for n in range(1, 61)] == seats
    assert [(50, 60), (60, 60)] == told
