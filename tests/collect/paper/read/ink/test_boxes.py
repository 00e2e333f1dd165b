"""Boxes that people tick, take back and ring: ticked, not ticked, or a look."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from tests.collect.paper.read.pages import Written, filled, room, steady

from halfpoint.collect.paper.print.layout import TickBox
from halfpoint.collect.paper.read.model import PageReading, PourReading
from halfpoint.demo.paper import Pen, marks
from halfpoint.demo.paper.hand import Hand

FAINT = Pen('hard pencil', 0.6, 0.3, 0.4, 0.5, 0.0, 0.0)
Event = Callable[[Written, TickBox], None]


def middle(box: TickBox) -> tuple[float, float]:
    """Of a box."""
    return box.area.left + box.area.width / 2, box.area.top + box.area.height / 2


def taken_back(page: Written, box: TickBox) -> None:
    """Ticked, then scribbled over."""
    page.hand.tick_box(box.area, ('box',))
    lines = marks.strike(page.hand.rng, 'scribble', 1.3 * box.area.width / 2, 0.5)
    page.hand.put(lines, middle(box), ('box',), 1.2)


def ringed(page: Written, box: TickBox) -> None:
    """The word beside it is ringed."""
    label = box.label.area
    at = (label.left + label.width / 2, label.top + label.height / 2)
    page.hand.ring(at, label.width / 2 + 1.0, 2.2, ('box',))


def faint(page: Written, box: TickBox) -> None:
    """Ticked with a hard pencil on a page in black ink."""
    Hand(np.random.default_rng(2), page.ink, steady(FAINT)).tick_box(box.area, ('box',))


EVENTS: dict[str, tuple[Event, bool]] = {
    'taken back': (taken_back, False),
    'ringed': (ringed, True),
    'faint': (faint, True),
}


def boxes(page: Written, place: int, kind: str) -> list[TickBox]:
    """The boxes of one kind; `other` are all but the bands of the finish."""
    return [
        box
        for box in page.block(place).boxes
        if kind == box.kind or (kind == 'other' and box.kind != 'band')
    ]


def ticked(pour: PourReading) -> set[str]:
    """Keys of all boxes that are read as ticked."""
    return {*pour.terms, *pour.families, *pour.faults} | ({pour.finish_band} - {''})


@cache
def plain() -> tuple[PageReading, tuple[tuple[str, ...], ...]]:
    """A page on which every fifth box is ticked, another fifth on each glass; what was ticked."""
    page = filled(room())
    wanted = []
    for place in range(1, 5):
        chosen = boxes(page, place, 'other')[place - 1 :: 5]
        chosen.append(boxes(page, place, 'band')[place % 3])
        for box in chosen:
            page.hand.tick_box(box.area, ('box',))
        wanted.append(tuple(box.key or box.label.text for box in chosen))
    return page.read(), tuple(wanted)


def test_plain_ticks_are_read_and_all_else_is_not() -> None:
    """Terms, families, faults and the finish word, with no look at all."""
    reading, wanted = plain()
    for pour, keys in zip(reading.pours, wanted, strict=True):
        assert set(keys) == ticked(pour)
        assert () == pour.looks


def test_ticks_come_under_what_they_are() -> None:
    """A term is no fault: every key stands where its box's kind says."""
    reading, _ = plain()
    kinds = {box.key: box.kind for box in room().layout.blocks[0].boxes if box.key}
    for pour in reading.pours:
        for kind, keys in (
            ('term', pour.terms), ('family', pour.families), ('fault', pour.faults),
        ):  # fmt: skip
            assert {kind} >= {kinds[key] for key in keys}


@pytest.mark.parametrize('event', EVENTS)
def test_an_odd_box_is_what_was_meant_or_a_look(event: str) -> None:
    """On three glasses of a page, at other boxes each time; the fourth shows what is usual."""
    draw, meant = EVENTS[event]
    page = filled(room())
    odd = {place: boxes(page, place, 'other')[5 * place] for place in (1, 2, 3)}
    usual = {box.key for box in boxes(page, 4, 'other')[::4]}
    for key in usual:
        page.tick(4, key)
    for box in odd.values():
        draw(page, box)
    *pours, last = page.read().pours
    for pour in pours:
        box = odd[pour.place]
        asked = {(look.field, look.about) for look in pour.looks}
        assert (box.kind, box.key) in asked or meant is (box.key in ticked(pour))
        # Nothing else is ticked for certain.
        assert ticked(pour) <= {box.key}
    assert usual == ticked(last)


def test_two_words_for_one_finish_are_asked_about() -> None:
    """Both bands are offered."""
    page = filled(room())
    for box in boxes(page, 1, 'band')[:2]:
        page.hand.tick_box(box.area, ('box',))
    pour = page.pour()
    expected = {box.label.text for box in boxes(page, 1, 'band')[:2]}
    looks = [look for look in pour.looks if look.field == 'band']
    assert expected == {look.about for look in looks}
    assert {'two'} == {look.reason for look in looks}


def test_a_glass_with_nothing_but_a_tick_is_not_empty() -> None:
    """The tick counts, and each line without a mark is asked about."""
    page = Written(room())
    box = boxes(page, 1, 'fault')[0]
    page.hand.tick_box(box.area, ('box',))
    for place in (2, 3, 4):
        for each in boxes(page, place, 'other')[::6]:
            page.hand.tick_box(each.area, ('box',))
    pour = page.pour()
    assert not pour.is_empty
    asked = {look.field: look.reason for look in pour.looks}
    assert {row.category for row in page.block(1).rows} <= set(asked)
    assert (box.key,) == pour.faults or 'fault' in asked
