"""Pages with parts lost, turned, doubled, foreign or empty: read alike, or held with the reason."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.collect.paper.read.pages import Written, filled, in_perspective, middles, read, room
from tests.collect.paper.read.register.bends import picture_size, slight

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import HeldPage, PageReading
from halfpoint.collect.paper.read.read_page import black_and_white
from halfpoint.collect.paper.read.source import Picture
from halfpoint.demo.paper.hostile import HOSTILE, hostile

Pixels = NDArray[np.uint8]


def without(corners: tuple[int, ...] = (), codes: tuple[int, ...] = ()) -> Written:
    """A page on which every line is marked, with markers and codes painted over."""
    page = filled(room())
    for corner in corners:
        page.paint(page.room.layout.fiducials[corner].area)
    for code in codes:
        page.paint(page.room.layout.codes[code].area)
    return page


def held(picture: Pixels, bilevel: bool = False) -> HeldPage:
    """Why a picture is held; it must not be read."""
    outcome = room().reader.read(Picture(np.ascontiguousarray(picture), bilevel))
    assert isinstance(outcome, HeldPage), outcome
    assert outcome.found
    assert outcome.expected
    assert outcome.remedy
    return outcome


@cache
def whole() -> PageReading:
    """What is read of the page with nothing lost."""
    return without().read()


def assert_same(reading: PageReading) -> None:
    """The same page, marks and boxes as with nothing lost."""
    assert whole().payload == reading.payload
    assert [pour.marks for pour in whole().pours] == [pour.marks for pour in reading.pours]
    assert [pour.terms for pour in whole().pours] == [pour.terms for pour in reading.pours]
    assert [pour.looks for pour in whole().pours] == [pour.looks for pour in reading.pours]


def test_a_whole_page_is_read_with_its_seat_and_codes() -> None:
    """Who and what the page is about is as printed, and every mark as it was made."""
    made, reading = room(), whole()
    page = made.pages[0].page
    assert (page.identity.payload, page.identity.site, page.identity.number) == (
        reading.payload, reading.site, reading.seat,
    )  # fmt: skip
    assert [glass.code for glass in page.glasses] == [pour.code for pour in reading.pours]
    assert [1, 2, 3, 4] == [pour.place for pour in reading.pours]
    assert [middles(made, place) for place in range(1, 5)] == [pour.marks for pour in reading.pours]
    assert () == reading.looks
    assert {()} == {pour.looks for pour in reading.pours}
    assert all(min(pour.confidence.values()) > 0.99 for pour in reading.pours)


def test_the_kept_picture_is_the_frame() -> None:
    """Five pixels a millimetre of 190 by 257 mm, and it looks like the page."""
    kept = cv2.imdecode(np.frombuffer(whole().picture, np.uint8), cv2.IMREAD_UNCHANGED)
    assert kept is not None
    assert (1285, 950) == kept.shape
    page = without()
    rows, columns = page.pixels_of(Rectangle(0, 0, 190, 257))
    expected = cv2.resize(page.image[rows, columns], (950, 1285), interpolation=cv2.INTER_AREA)
    assert np.corrcoef(kept.ravel(), expected.ravel())[0, 1] > 0.95


@pytest.mark.parametrize('lost', list(combinations(range(4), 2)))
def test_any_two_corners_may_be_lost(lost: tuple[int, int]) -> None:
    """Whichever two are painted over, the page is read the same."""
    assert_same(without(lost).read())


@pytest.mark.parametrize('lost', list(combinations(range(4), 3)))
def test_a_page_with_three_corners_lost_is_held(lost: tuple[int, ...]) -> None:
    """One corner is not enough, and the reason is the corners or squares."""
    assert held(without(lost).image).reason in {'corners', 'squares'}


def test_squares_lost_with_two_corners_are_told() -> None:
    """Two markers without the squares at the sides do not fix a page."""
    page = without((0, 1))
    for area in page.room.layout.side_marks:
        page.paint(area)
    assert 'squares' == held(page.image).reason


@pytest.mark.parametrize('lost', [0, 1])
def test_one_code_may_be_lost(lost: int) -> None:
    """Either says enough."""
    assert_same(without(codes=(lost,)).read())


def test_a_corner_and_a_code_may_be_lost() -> None:
    """Losses of both kinds at once."""
    assert_same(without((0, 3), (0,)).read())


def test_both_codes_lost_is_held() -> None:
    """Nobody guesses whose page it is."""
    assert 'no-code' == held(without(codes=(0, 1)).image).reason


@pytest.mark.parametrize('quarter', [cv2.ROTATE_90_CLOCKWISE, cv2.ROTATE_180,
                                     cv2.ROTATE_90_COUNTERCLOCKWISE])  # fmt: skip
def test_a_page_may_be_fed_any_way_round(quarter: int) -> None:
    """Upside down or sideways it is read the same."""
    outcome = read(room(), np.asarray(cv2.rotate(without().image, quarter), np.uint8))
    assert isinstance(outcome, PageReading)
    assert_same(outcome)


@pytest.mark.parametrize('turn', [0.35, 2.4])
def test_a_page_may_lie_askew_in_perspective(turn: float) -> None:
    """Turned by any angle and seen from the side it is read the same."""
    image = without().image
    matrix = slight(image, turn, 0.1)
    outcome = read(room(), in_perspective(image, matrix, picture_size(image, matrix)))
    assert isinstance(outcome, PageReading)
    assert [pour.marks for pour in whole().pours] == [pour.marks for pour in outcome.pours]


@pytest.mark.parametrize('axis', [0, 1])
def test_a_mirrored_page_is_never_read(axis: int) -> None:
    """The back of a page held to the light has its marks on the wrong side: it is held."""
    held(np.flip(without().image, axis))


@pytest.mark.parametrize('stacked', [0, 1])
def test_two_sheets_in_one_picture_are_held(stacked: int) -> None:
    """Beside or below each other, both whole."""
    one, other = (filled(room(), raster).image for raster in room().pages[:2])
    assert 'two-pages' == held(np.concatenate([one, other], axis=stacked)).reason


def test_a_sheet_with_the_code_of_another_is_held() -> None:
    """A part of another page that covers a code makes two pages of it."""
    one, other = (Written(room(), raster) for raster in room().pages[:2])
    rows, columns = one.pixels_of(one.room.layout.codes[1].area, 1.0)
    one.image[rows, columns] = other.image[rows, columns]
    assert 'two-pages' == held(one.image).reason


def test_one_sheet_half_over_another_is_held() -> None:
    """The upper half of one page and the lower of another make a whole: two codes tell."""
    one, other = (filled(room(), raster).image for raster in room().pages[:2])
    half = len(one) // 2
    assert 'two-pages' == held(np.concatenate([one[:half], other[half:]])).reason


@pytest.mark.parametrize('grey', [255, 240, 0])
def test_an_empty_page_is_held_as_blank(grey: int) -> None:
    """The back of a sheet, white or not."""
    paper = np.full((2376, 1680), grey, np.uint8)
    noise = np.random.default_rng(1).normal(0, 3, paper.shape)
    assert 'blank' == held(np.clip(paper + noise, 0, 255).astype(np.uint8)).reason


def form_with(markers: tuple[int, ...]) -> Pixels:
    """Somebody else's form: their own markers in the corners, lines and boxes."""
    page = np.full((2376, 1680), 255, np.uint8)
    kept = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    for marker, (x, y) in zip(markers, ((80, 80), (1500, 80), (1500, 2200), (80, 2200)),
                              strict=True):  # fmt: skip
        page[y : y + 96, x : x + 96] = cv2.aruco.generateImageMarker(kept, marker, 96)
    for line in range(12):
        cv2.rectangle(page, (200, 300 + 150 * line), (1400, 380 + 150 * line), 0, 3)
    return page


def test_somebody_elses_form_is_held() -> None:
    """Other markers are none of ours; ours alone, without squares and codes, are no sheet."""
    assert 'corners' == held(form_with((4, 5, 6, 7))).reason
    assert 'squares' == held(form_with((0, 1, 2, 3))).reason


def test_a_page_of_another_tasting_is_held_as_a_stranger() -> None:
    """It is found and straight, but its number is none of this plan."""
    other = room('liking', 3)
    outcome = read(room(), filled(other).image)
    assert isinstance(outcome, HeldPage)
    assert 'stranger' == outcome.reason


def test_black_and_white_is_refused_with_what_to_change() -> None:
    """A scan without greys is refused before anything is read, and the remedy names grey."""
    found = held(without().image, bilevel=True)
    assert black_and_white() == found
    assert 'black-and-white' == found.reason
    assert 'grey' in found.remedy


def test_a_pale_scan_is_held() -> None:
    """Where print is nearly as light as paper, no mark is told."""
    pale = (225 + without().image.astype(float) * 30 / 255).astype(np.uint8)
    outcome = held(pale)
    assert outcome.reason in {'pale', 'corners', 'squares', 'no-code', 'blank'}


HELD = {
    'empty paper': {'blank'},
    'two sheets': {'two-pages'},
    'glare over codes': {'no-code'},
    'three corners gone': {'corners', 'squares'},
    'both codes destroyed': {'no-code'},
}


@pytest.mark.parametrize('kind', sorted(HELD))
def test_hostile_pages_are_held_with_their_reason(kind: str) -> None:
    """What people send in good faith, and should not; the simulator makes them."""
    assert kind in HOSTILE
    made = room()
    taken = hostile(5, made.layout, made.pages, made.tasting.sheet, kind)[1]
    assert held(taken.image).reason in HELD[kind]
