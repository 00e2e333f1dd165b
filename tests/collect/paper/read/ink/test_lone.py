"""Marks that stand alone in a glass."""

from __future__ import annotations

from tests.collect.paper.read.pages import room

from halfpoint.collect.paper.read.ink.lines import Decision
from halfpoint.collect.paper.read.ink.lone import without_lone
from halfpoint.collect.paper.read.ink.targets import Run, targets_of

RUNS = targets_of(room().layout, 2).runs
MARK, NONE = Decision(1, '', 0.999, (1,)), Decision(None, 'nothing', 0.0, ())


def decisions(first: list[int], runs: tuple[Run, ...] = RUNS) -> list[Decision]:
    """Marks on these lines of the first glass, and on all of the second."""
    return [MARK if run.place > 1 or n in first else NONE for n, run in enumerate(runs)]


def test_one_mark_in_a_glass_is_a_question() -> None:
    """And offers what was read; nothing else changes."""
    given = decisions([2])
    found = without_lone(given, RUNS)
    assert Decision(None, 'stray', 0.0, (1,)) == found[2]
    assert given[:2] == list(found[:2])
    assert given[3:] == list(found[3:])


def test_two_marks_in_a_glass_stay() -> None:
    """A writer may leave lines out."""
    given = decisions([0, 3])
    assert given == list(without_lone(given, RUNS))


def test_a_glass_of_few_lines_has_no_lone_mark() -> None:
    """On a sheet of two lines, one of them is half."""
    runs = RUNS[:2]
    given = decisions([1], runs)
    assert given == list(without_lone(given, runs))
