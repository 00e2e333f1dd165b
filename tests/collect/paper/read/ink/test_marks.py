"""Marks that people make, on one page or a few: the right value or a look, never a wrong value."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from tests.collect.paper.read.pages import Written, filled, middles, room, steady

from halfpoint.collect.paper.read.model import REASONS, Look, PourReading
from halfpoint.demo.paper import Pen, simulate
from halfpoint.demo.paper.hand import Hand

BALLPOINT = Pen('blue ballpoint', 0.3, 0.32, 0.85, 0.15, 0.0, 0.1)
PENCIL = Pen('soft pencil', 0.38, 0.6, 0.62, 0.6, 0.0, 0.2)
FAINT = Pen('hard pencil', 0.88, 0.3, 0.3, 0.5, 0.0, 0.0)
Event = Callable[[Written, int], None]


def looks_at(pour: PourReading, field: str, about: str = '') -> list[Look]:
    """What a person must decide about a category, or a box."""
    return [look for look in pour.looks if (field, about) == (look.field, look.about)]


def others(page: Written, place: int) -> dict[str, float]:
    """Marks of all categories but aroma."""
    return {key: value for key, value in middles(page.room, place).items() if key != 'aroma'}


def spot(page: Written, place: int, value: float) -> tuple[float, float]:
    """The middle of a circle of aroma."""
    (bubble,) = page.circles(place, 'aroma', value)
    return bubble.centre.x, bubble.centre.y


def crossed_out(page: Written, place: int) -> None:
    """Two, crossed out, then 4½."""
    page.mark(place, 'aroma', 2.0)
    page.hand.strike(spot(page, place, 2.0), 2.1, ('row',))
    page.mark(place, 'aroma', 4.5)


def two_filled(page: Written, place: int) -> None:
    """Two and 4½, and nothing says which."""
    page.mark(place, 'aroma', 2.0)
    page.mark(place, 'aroma', 4.5)


def left_blank(page: Written, place: int) -> None:
    """Nothing."""


def very_faint(page: Written, place: int) -> None:
    """Barely touched with a hard pencil."""
    hand = Hand(np.random.default_rng(3), page.ink, steady(FAINT))
    hand.mark(page.circles(place, 'aroma', 4.5)[0], ('row',), 'dash')


def taken_back(page: Written, place: int) -> None:
    """4½, crossed out, and left at that."""
    page.mark(place, 'aroma', 4.5)
    page.hand.strike(spot(page, place, 4.5), 2.1, ('row',), alone=True)


def between(page: Written, place: int) -> None:
    """Right between 4 and 4½."""
    (x0, y), (x1, _) = spot(page, place, 4.0), spot(page, place, 4.5)
    page.hand.mark_at(((x0 + x1) / 2, y), 2.0, ('row',), loose=False)


def words_behind(page: Written, place: int) -> None:
    """A word behind the circles, and no mark."""
    last = page.row(place, 'aroma').bubbles[-1].centre
    page.hand.word('four', (last.x + 3.0, last.y + 1.0), ('row',))


def struck_through(page: Written, place: int) -> None:
    """A line through all the circles."""
    first, last = (page.row(place, 'aroma').bubbles[n].centre for n in (0, -1))
    page.hand.line((first.x - 2, first.y), (last.x + 2, last.y), ('row',))


EVENTS: dict[str, tuple[Event, float | None, set[str]]] = {
    'crossed out': (crossed_out, 4.5, {'corrected', 'two', 'stray'}),
    'two filled': (two_filled, None, {'two', 'corrected'}),
    'left blank': (left_blank, None, {'nothing'}),
    'very faint': (very_faint, 4.5, {'faint', 'nothing', 'unclear', 'stray'}),
    'taken back': (taken_back, None, set(REASONS)),
    'between': (between, None, set(REASONS)),
    'words behind': (words_behind, None, {'nothing', 'stray', 'unclear', 'faint'}),
    'struck through': (struck_through, None, set(REASONS)),
}


@cache
def odd(first: int, pen: str) -> tuple[Written, tuple[PourReading, ...]]:
    """A page of four events, on which all else is ordinarily marked."""
    pens = {'gel': steady(), 'ballpoint': steady(BALLPOINT), 'pencil': steady(PENCIL)}
    page = Written(room(), writer=pens[pen])
    for place, (event, _, _) in enumerate(list(EVENTS.values())[first : first + 4], start=1):
        page.marks(place, others(page, place))
        event(page, place)
    return page, page.read().pours


@pytest.mark.parametrize('pen', ['gel', 'ballpoint', 'pencil'])
@pytest.mark.parametrize('event', EVENTS)
def test_an_odd_line_is_the_value_or_a_look(event: str, pen: str) -> None:
    """What was meant, or no value and a reason that fits; never another value."""
    number = list(EVENTS).index(event)
    page, pours = odd(number // 4 * 4, pen)
    pour, (_, meant, reasons) = pours[number % 4], EVENTS[event]
    value, looks = pour.marks['aroma'], looks_at(pour, 'aroma')
    if value is None:
        assert 1 == len(looks)
        assert looks[0].reason in reasons
        assert 'aroma' not in pour.confidence
        row = page.row(pour.place, 'aroma')
        middle = row.bubbles[0].centre.y
        assert looks[0].area.top < middle < looks[0].area.bottom
        assert set(looks[0].choices) <= {bubble.adds for bubble in row.bubbles}
    else:
        assert meant == value
        assert [] == looks


@pytest.mark.parametrize('pen', ['gel', 'ballpoint', 'pencil'])
def test_lines_around_an_odd_one_keep_their_values(pen: str) -> None:
    """Whatever happens on one line, no other line has a wrong value, and most need no look."""
    wrong, asked, lines = 0, 0, 0
    for first in (0, 4):
        page, pours = odd(first, pen)
        for pour in pours:
            for category, meant in others(page, pour.place).items():
                value = pour.marks[category]
                lines += 1
                asked += value is None
                wrong += value not in {None, meant}
    assert 0 == wrong
    assert asked <= lines / 8


def test_two_filled_circles_are_both_offered() -> None:
    """The look has both values to choose from."""
    (look,) = looks_at(odd(0, 'gel')[1][1], 'aroma')
    assert {2.0, 4.5} == set(look.choices)


@pytest.mark.parametrize('style', ['fill', 'scribble', 'zigzag', 'cross', 'tick', 'dot', 'ring'])
def test_every_way_of_marking_is_read_when_it_is_kept_to(style: str) -> None:
    """A page marked in one way throughout has no wrong value, and most are read."""
    page = Written(room(), writer=steady(mark=style))
    meant = [middles(page.room, place) for place in range(1, 5)]
    for place, marks in enumerate(meant, start=1):
        page.marks(place, marks)
    pours = page.read().pours
    values = [(mine[key], pour.marks[key]) for mine, pour in zip(meant, pours, strict=True)
              for key in mine]  # fmt: skip
    assert [] == [pair for pair in values if pair[1] is not None and pair[0] != pair[1]]
    assert sum(read is not None for _, read in values) >= 0.8 * len(values)
    for pour in pours:
        assert {key for key, value in pour.marks.items() if value is None} == {
            look.field for look in pour.looks
        }


@cache
def glasses() -> tuple[PourReading, ...]:
    """Four glasses: not tasted; a right total; wrong totals in the last two."""
    page = Written(room())
    for place in (2, 3, 4):
        page.marks(place, middles(page.room, place))
    sums = [sum(middles(page.room, place).values()) for place in (2, 3, 4)]
    for place, total in zip((2, 3, 4), (sums[0], sums[1] - 4, sums[2] + 1), strict=True):
        page.write(place, 'total', f'{int(total):2}'.strip() + ('½' if total % 1 else ''))
    return page.read().pours


def test_a_glass_that_was_not_tasted_is_empty_and_needs_no_look() -> None:
    """No mark, no tick, no number: nothing to decide."""
    empty, *rest = glasses()
    assert empty.is_empty
    assert () == empty.looks
    assert {None} == set(empty.marks.values())
    assert not any(pour.is_empty for pour in rest)


def test_a_right_total_raises_nothing() -> None:
    """The written sum of the marks is no doubt."""
    assert () == glasses()[1].looks


def test_a_wrong_total_raises_the_total_and_nothing_else() -> None:
    """Marks stay as marked, and the look offers the sum first; a number may also stay unread."""
    raised = 0
    for pour in glasses()[2:]:
        meant = middles(room(), pour.place)
        assert meant == pour.marks
        assert {look.field for look in pour.looks} <= {'total'}
        for look in pour.looks:
            raised += 1
            assert 'total' == look.reason
            assert sum(meant.values()) == look.choices[0]
            assert pour.total_read == look.choices[1]
    assert raised >= 1


def test_an_empty_spare_needs_no_look() -> None:
    """A spare that nobody used asks nothing."""
    reading = Written(room(), room().spare).read()
    assert (None, '') == (reading.seat, reading.taster)
    assert () == reading.looks
    assert all(pour.is_empty and pour.looks == () for pour in reading.pours)


def test_a_spare_asks_who_and_what_it_is_about() -> None:
    """Seat once, and a code for every glass that something stands on."""
    page = Written(room(), room().spare)
    for place in (1, 2):
        page.marks(place, middles(page.room, place))
        for cell, digit in zip(page.block(place).code_cells, '417', strict=True):
            page.hand.digit(digit, cell, ('code',))
    reading = page.read()
    assert ['seat'] == [look.field for look in reading.looks]
    assert [['code'], ['code'], [], []] == [
        [look.field for look in pour.looks] for pour in reading.pours
    ]
    assert [middles(page.room, place) for place in (1, 2)] == [
        pour.marks for pour in reading.pours[:2]
    ]
    assert {''} == {pour.code for pour in reading.pours}
    offered = {choice for pour in reading.pours for look in pour.looks for choice in look.choices}
    assert offered <= {'417'}


def test_reading_is_the_same_every_time() -> None:
    """The same picture gives the same reading to the last digit, picture included."""
    page = filled(room())
    assert page.read() == page.read()


@pytest.mark.parametrize(
    ('style', 'seed'),
    [('scan-200', 31), ('scan-150-q40', 32), ('scan-200', 33), ('photo-5mp', 34),
     ('photo-2mp', 35), ('scan-200-stained', 36), ('photo-5mp-curled', 37)],
)  # fmt: skip
def test_nobodys_page_gets_a_wrong_mark(style: str, seed: int) -> None:
    """On pages drawn from a seed, values are what was meant, and so are boxes."""
    made = room()
    written, taken = simulate(seed, made.layout, made.pages[:2], made.tasting.sheet, style)
    page = Written(made)
    page.ink.page = taken.image
    for pour, truth in zip(page.read().pours, written.blocks, strict=True):
        for row in truth.rows:
            assert pour.marks[row.category] in {None, row.value}
        unsure = {(look.field, look.about) for look in pour.looks}
        ticked = {*pour.terms, *pour.families, *pour.faults, pour.finish_band}
        for box in truth.boxes:
            asked = (box.kind, box.key) in unsure or ('band', box.key) in unsure
            assert asked or box.ticked is (box.key in ticked)
