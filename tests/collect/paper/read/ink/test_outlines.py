"""Boxes whose outlines fade, and pages whose ticks can hardly be told: what is empty is asked."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from tests.collect.paper.read.ink.test_watched import watched
from tests.collect.paper.read.pages import Written, filled, room, steady

from halfpoint.collect.paper.read.form_image import form_image
from halfpoint.collect.paper.read.ink.outlines import outlines_of
from halfpoint.collect.paper.read.ink.targets import targets_of
from halfpoint.collect.paper.read.ink.ticks import (
    MOST_DOUBT_EMPTY,
    MOST_DOUBT_EMPTY_OTHERS,
    doubt_allowed,
)
from halfpoint.demo.paper import Pen

TARGETS = targets_of(room().layout, 4)
LIT = 22
PALE = Pen('hard pencil', 0.62, 0.3, 0.42, 0.6, 0.0, 0.1)


def light_on(page: Written, number: int, radius: float = 14.0) -> None:
    """A lamp mirrored in the paper around a box: light is added until little is left."""
    area = TARGETS.boxes[number][1].area
    rows, columns = page.pixels_of(area)
    y, x = np.mgrid[: page.image.shape[0], : page.image.shape[1]]
    middle = ((rows.start + rows.stop) / 2, (columns.start + columns.stop) / 2)
    away = np.hypot(y - middle[0], x - middle[1]) / (radius * page.raster.scale)
    light = np.clip(400 * np.exp(-1.6 * away**2), 0, 250).astype(np.uint8)
    page.image[:] = cv2.add(page.image, light)


def outlines(page: Written) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Of all boxes of a page, the median of the four sides."""
    marking = watched(page)
    form = form_image(room().tasting, room().layout, 4, spare=False)
    sides = outlines_of(marking.ink, marking.amounts.printed, form, TARGETS)
    return np.asarray(np.median(sides, axis=1))


def test_outlines_of_an_unmarked_page_are_all_alike() -> None:
    """Every one is what is usual, to a fifth."""
    assert outlines(Written(room())) == pytest.approx(1, abs=0.2)


def test_light_takes_outlines_away_where_it_falls() -> None:
    """Those in the middle of it are gone, and those far from it as before."""
    page = filled(room())
    light_on(page, LIT)
    found = outlines(page)
    corners = TARGETS.corners[:, :2]
    away = np.hypot(*(corners - corners[LIT]).T)
    assert found[LIT] < 0.4
    assert found[away > 40] == pytest.approx(1, abs=0.2)


@pytest.mark.parametrize('radius', [14.0, 20.0])
def test_a_pale_tick_in_glare_is_never_an_empty_box(radius: float) -> None:
    """The light that takes ticks away takes outlines, too, and so a person is asked."""
    page = Written(room(), writer=steady(PALE))
    column = np.arange(LIT - 7, LIT + 8)
    for number in np.union1d(column, np.arange(0, len(TARGETS.boxes), 9)):
        page.hand.tick_box(TARGETS.boxes[number][1].area, ('box',))
    light_on(page, LIT, radius)
    decided = watched(page).boxes
    assert [] == [n for n in column.tolist() if decided[n].ticked is False]


def allowed(
    chances: np.ndarray[tuple[int, ...], np.dtype[np.float64]], uneven: float = 0.01
) -> float:
    """The doubt that is allowed where no outline is faded, on such ground everywhere."""
    return doubt_allowed(chances, np.zeros(len(chances), bool), np.full(len(chances), uneven))


def test_hardly_any_doubt_leaves_what_is_usual() -> None:
    """One doubtful box among plain ones changes nothing; two make what is empty less sure."""
    plain = np.array([1e-4] * 80 + [0.9999] * 10)
    assert MOST_DOUBT_EMPTY == allowed(plain)
    assert MOST_DOUBT_EMPTY == allowed(np.append(plain, 0.5))
    assert MOST_DOUBT_EMPTY_OTHERS == allowed(np.append(plain, [0.5, 0.3]))
    assert MOST_DOUBT_EMPTY > MOST_DOUBT_EMPTY_OTHERS


@pytest.mark.parametrize('ticked', [0, 4, 8])
def test_a_crumpled_page_of_doubtful_ticks_proves_no_box_empty(ticked: int) -> None:
    """Four in doubt, and one for every two that are ticked, are too many; on flat paper less so."""
    sure = np.array([1e-6] * 60 + [0.9999] * ticked)
    many, fewer = [0.05, 0.3, 0.4, 0.45], [0.05, 0.3, 0.4]
    assert 0 == allowed(np.append(sure, many), uneven=0.06)
    assert 0 < allowed(np.append(sure, many)) < allowed(np.append(sure, fewer))
    assert allowed(np.append(sure, fewer), uneven=0.06) > 0


def test_doubt_is_forgiven_where_most_ticks_are_plain() -> None:
    """Four in doubt beside twenty plain ticks are those four's own trouble."""
    many = np.array([1e-6] * 60 + [0.9999] * 20 + [0.05, 0.3, 0.4, 0.45])
    assert MOST_DOUBT_EMPTY_OTHERS == allowed(many)


def test_boxes_that_are_hidden_say_nothing_of_others() -> None:
    """Twenty boxes under a slip of paper leave the doubt allowed elsewhere as it is."""
    chances = np.array([1e-6] * 60 + [0.3] * 20)
    assert MOST_DOUBT_EMPTY > allowed(chances)
    flat = np.zeros(len(chances))
    assert MOST_DOUBT_EMPTY == doubt_allowed(chances, chances > 0.1, flat)
