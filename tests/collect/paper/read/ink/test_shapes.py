"""Light lines, rings around circles and around words: what stands out of a page's own empties."""

from __future__ import annotations

import numpy as np
from tests.collect.paper.read.ink.test_watched import watched
from tests.collect.paper.read.pages import Written, filled, middles, room, steady

from halfpoint.collect.paper.read.ink.shapes import shapes_in_boxes, shapes_in_circles
from halfpoint.collect.paper.read.ink.targets import targets_of
from halfpoint.collect.paper.read.ink.words import lines_at_words
from halfpoint.demo.paper import Pen

HARD = Pen('hard pencil', 0.62, 0.3, 0.42, 0.6, 0.0, 0.1)
TARGETS = targets_of(room().layout, 4)


def coarse(page: Written) -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    """The ink of a page, two by two pixels together."""
    ink = np.asarray(watched(page).ink, np.float32)
    high, wide = (size // 2 * 2 for size in ink.shape)
    parts = ink[:high, :wide].reshape(high // 2, 2, wide // 2, 2)
    return np.asarray(parts.mean(axis=(1, 3)), np.float32)


def ringed_page(pen: Pen) -> Written:
    """A page on which every mark is a ring."""
    page = Written(room(), writer=steady(pen, 'ring'))
    for place in range(1, 5):
        page.marks(place, middles(room(), place))
    return page


def test_the_lightest_tick_stands_out_of_all_empty_boxes() -> None:
    """Ticks of a hard pencil are all plainer than the plainest empty box."""
    page = Written(room(), writer=steady(HARD))
    chosen = np.arange(3, len(TARGETS.boxes), 9)
    for number in chosen:
        page.hand.tick_box(TARGETS.boxes[number][1].area, ('box',))
    plain = shapes_in_boxes(watched(page).ink, TARGETS).lines
    empty = np.setdiff1d(np.arange(len(plain)), chosen)
    assert plain[chosen].min() > 6
    assert plain[chosen].min() > 1.5 * plain[empty].max()


def test_lightest_crosses_stand_out_of_all_empty_circles() -> None:
    """Whatever number is printed inside."""
    page = Written(room(), writer=steady(HARD, 'cross'))
    for place in range(1, 5):
        page.marks(place, middles(room(), place))
    plain = shapes_in_circles(watched(page).ink, TARGETS).lines
    marked = [
        run.first + run.adds.index(middles(room(), run.place)[run.row.category])
        for run in TARGETS.runs
    ]
    empty = np.setdiff1d(np.arange(len(plain)), marked)
    assert plain[marked].min() > 1.5 * plain[empty].max()


def test_a_page_of_rings_is_one_whatever_the_pen() -> None:
    """Each line's ring is around what is meant, nearly whole, and close to an oval."""
    for pen in (HARD, steady().pen):
        marking = watched(ringed_page(pen))
        assert marking.habits.rings
        for each in marking.evidence:
            meant = middles(room(), each.run.place)[each.run.row.category]
            assert meant == each.run.adds[each.ring.bubble]
            assert each.ring.share > 0.8
            assert each.ring.rough < 0.15
            assert each.ring.next_share < 0.6


def test_a_page_of_filled_circles_is_none_of_rings() -> None:
    """Filled circles reach all around too, but are not hollow."""
    assert not watched(filled(room())).habits.rings


def test_a_ring_around_a_word_is_a_line_above_and_below_it() -> None:
    """And other words have next to none."""
    page = filled(room())
    number = 7
    label = TARGETS.boxes[number][1].label.area
    middle = (label.left + 5.0, label.top + label.height / 2)
    page.hand.ring(middle, 7.0, 2.2, ('box',))
    found = lines_at_words(coarse(page), TARGETS)
    assert found[number].min() > 0.5
    others = np.delete(found, number, axis=0).min(axis=1)
    assert np.quantile(others, 0.95) < 0.2
