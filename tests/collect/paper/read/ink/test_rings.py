"""Which pages are marked by rings, and when a ring on one is taken."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.collect.paper.read.ink.test_shapes import ringed_page
from tests.collect.paper.read.ink.test_watched import watched
from tests.collect.paper.read.pages import filled, room, steady

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.lines import Decision, Lying, decide_line
from halfpoint.collect.paper.read.ink.marking import Marking
from halfpoint.collect.paper.read.ink.rings import Turns, is_ringed
from halfpoint.collect.paper.read.ink.targets import targets_of

TARGETS = targets_of(room().layout, 4)
FLAT = Lying(dark=0.0, uneven=0.003, seen=0.9)


@pytest.fixture(scope='module')
def rings() -> Marking:
    """A page of rings."""
    return watched(ringed_page(steady().pen))


def decided(marking: Marking, evidence: Evidence) -> Decision:
    """The decision about a line of that page, were it hardly in doubt."""
    spread = marking.amounts.bubble_spread
    return decide_line(evidence, 1e-4, FLAT, marking.pen, marking.habits, spread)


@pytest.mark.parametrize(('ink', 'is_one'), [(0.0, True), (0.12, False)])
def test_outlines_printed_too_dark_are_no_rings_beside_marks(ink: float, is_one: bool) -> None:
    """A column of dark outlines is one of rings only where nothing else is marked."""
    count = len(TARGETS.centres)
    drawn = np.zeros((count, 32), bool)
    bubbles = np.zeros(count)
    for run in TARGETS.runs:
        drawn[run.first + run.count - 1] = True
        bubbles[run.first + 1] = ink
    turns = Turns(np.where(drawn, 0.06, 0.0), drawn, np.full(drawn.shape, 0.5))
    amounts = replace(watched(filled(room())).amounts, bubbles=bubbles)
    assert is_one == is_ringed(turns, amounts, TARGETS)


def test_a_ring_is_taken_when_its_ink_is_on_the_line(rings: Marking) -> None:
    """Rings of the lines above and below reach into an empty line, with little ink."""
    first = rings.evidence[0]
    assert first.ring.bubble == decided(rings, first).bubble
    reached = replace(first, ink=0.1 * rings.habits.ink)
    assert (None, 'unclear') == (decided(rings, reached).bubble, decided(rings, reached).reason)


def test_a_ring_beside_another_mark_is_a_question(rings: Marking) -> None:
    """What is filled may be what is meant, however whole the ring."""
    first = rings.evidence[0]
    amounts = first.amounts.copy()
    amounts[first.second] = 0.6 * first.ring.dark
    assert decided(rings, replace(first, amounts=amounts)).bubble is None
