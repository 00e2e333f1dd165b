"""Gross limits of a marked line, and how much doubt is allowed on which paper."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from tests.collect.paper.read.ink.test_watched import watched
from tests.collect.paper.read.pages import filled, room

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.lines import (
    Decision,
    Lying,
    decide_line,
    most_doubt,
)
from halfpoint.collect.paper.read.ink.marking import Marking

PLAIN = Lying(dark=0.0, uneven=0.02, seen=0.9)
FLAT = replace(PLAIN, uneven=0.003)


@cache
def page() -> Marking:
    """A page filled in plainly."""
    return watched(filled(room()))


def decided(evidence: Evidence, lying: Lying = PLAIN, doubt: float = 1e-4) -> Decision:
    """The decision about a line of that page."""
    marking = page()
    spread = marking.amounts.bubble_spread
    return decide_line(evidence, doubt, lying, marking.pen, marking.habits, spread)


def with_next(share: float) -> Evidence:
    """The first line with so much of its ink in another circle too."""
    first = page().evidence[0]
    amounts = first.amounts.copy()
    amounts[first.second] = share * first.most
    return replace(first, amounts=amounts)


def test_a_plain_mark_on_plain_paper_is_taken() -> None:
    """Its confidence is what the weighing leaves."""
    first = page().evidence[0]
    assert first.top == decided(first).bubble
    assert 1 - 1e-4 == decided(first).confidence


def test_marks_on_stains_folds_and_edges_of_shadows_are_questions() -> None:
    """However sure the weighing is."""
    found = decided(page().evidence[0], replace(PLAIN, uneven=0.15), 1e-9)
    assert (None, 'stain') == (found.bubble, found.reason)


@pytest.mark.parametrize('lying', [replace(PLAIN, uneven=0.07), replace(PLAIN, seen=0.3)])
def test_less_doubt_is_allowed_where_paper_is_no_good(lying: Lying) -> None:
    """A doubt that is taken on plain paper is a question there; none is one nowhere."""
    first = page().evidence[0]
    assert most_doubt(lying) < most_doubt(PLAIN)
    doubt = most_doubt(PLAIN) * 0.9
    assert first.top == decided(first, PLAIN, doubt).bubble
    assert decided(first, lying, doubt).bubble is None
    assert first.top == decided(first, lying, 1e-5).bubble


def test_more_doubt_is_allowed_on_paper_as_flat_as_a_scan() -> None:
    """Less where the print can hardly be seen, as everywhere."""
    first = page().evidence[0]
    assert most_doubt(FLAT) > most_doubt(PLAIN)
    assert most_doubt(replace(FLAT, seen=0.3)) < most_doubt(FLAT)
    doubt = most_doubt(FLAT) * 0.9
    assert first.top == decided(first, FLAT, doubt).bubble
    assert decided(first, PLAIN, doubt).bubble is None


def test_ink_without_strokes_or_shape_is_a_shade() -> None:
    """As dark as a mark, yet neither a stroke nor a plain line or blot."""
    shade = replace(page().evidence[0], inside=0.0, plain=2.0)
    assert (None, 'faint') == (decided(shade).bubble, decided(shade).reason)


def test_what_no_pen_of_this_page_would_draw_is_a_shade() -> None:
    """The edge of a stain is a shape too, but far less plain than all other marks."""
    habits = replace(page().habits, plain=100.0)
    spread = page().amounts.bubble_spread

    def taken(plain: float) -> Decision:
        edge = replace(page().evidence[0], inside=0.0, plain=plain)
        return decide_line(edge, 1e-4, PLAIN, page().pen, habits, spread)

    assert (None, 'faint') == (taken(10.0).bubble, taken(10.0).reason)
    assert page().evidence[0].top == taken(50.0).bubble


def test_strokes_of_their_own_in_a_second_circle_are_a_question() -> None:
    """A fifth of the ink may be a second mark, when it is drawn; smudges are none."""
    drawn = replace(with_next(0.2), next_inside=0.9)
    assert decided(drawn).bubble is None
    assert drawn.top == decided(replace(drawn, next_inside=0.2)).bubble


def test_a_plain_line_in_a_second_circle_is_a_question() -> None:
    """However light, unless the mark itself leads there."""
    drawn = replace(page().evidence[0], next_plain=30.0, reach=0.0)
    assert decided(drawn).bubble is None
    assert drawn.top == decided(replace(drawn, next_plain=3.0)).bubble
    assert drawn.top == decided(replace(drawn, reach=2.0)).bubble


@pytest.mark.parametrize('share', [0.35, 0.6, 0.95])
def test_a_second_mark_is_a_question_from_a_third_on(share: float) -> None:
    """Where it stands out of the empty circles, as it does by a dark pen."""
    assert decided(with_next(share)).bubble is None
    assert page().evidence[0].top == decided(with_next(0.02)).bubble


def test_the_shares_are_of_the_mark() -> None:
    """A page as dark as black ballpoint, with nothing else in its circles."""
    first = page().evidence[0]
    assert first.most > 0.4
    assert np.delete(first.amounts, first.top).max() < 0.05
