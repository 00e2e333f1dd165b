"""From marks to ordered steps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.errors import NoVariation
from halfpoint.estimate.ordinal.steps import mark_in_words, ordered_steps

half_points = st.lists(st.integers(0, 40).map(lambda half: half / 2.0), min_size=2, max_size=80)


@given(marks=half_points, most=st.integers(2, 8))
def test_bins_keep_the_order(marks: list[float], most: int) -> None:
    """Steps rise with the marks, no step is empty, there are at most so many."""
    given_marks = np.array(marks)
    if np.ptp(given_marks) == 0.0:
        return
    found = ordered_steps(given_marks, most=most)
    by_mark = np.argsort(given_marks, kind='stable')
    assert (np.diff(found.codes[by_mark]) >= 0).all()
    assert np.arange(found.count).tolist() == np.unique(found.codes).tolist()
    assert 2 <= found.count <= most
    lowest = np.array(found.lowest)[found.codes]
    highest = np.array(found.highest)[found.codes]
    assert ((lowest <= given_marks) & (given_marks <= highest)).all()


def test_steps_are_the_marks_that_were_given() -> None:
    """Without bins each mark given is a step, and what nobody gave is named."""
    found = ordered_steps(np.array([2.0, 1.0, 2.0, 3.5]), np.arange(1.0, 4.0, 0.5))
    assert [1, 0, 1, 2] == found.codes.tolist()
    assert (1.0, 2.0, 3.5) == found.lowest
    assert (
        'Nobody gave 1½, 2½ and 3; those steps are merged with the ones next to them.',
    ) == found.merged


def test_many_steps_that_nobody_gave() -> None:
    """Three unused neighbours or more are named as a range, fewer one by one."""
    (said,) = ordered_steps(np.array([2.0, 2.5, 4.0, 6.0]), np.arange(0.0, 6.5, 0.5)).merged
    assert said.startswith('Nobody gave 0 to 1½, 3, 3½ and 4½ to 5½; those steps are merged')


def test_a_single_step_that_nobody_gave() -> None:
    """One unused step is named in the singular; none is not mentioned."""
    marks = np.array([1.0, 2.0])
    alone = ordered_steps(marks, np.array([1.0, 1.5, 2.0])).merged
    assert ('Nobody gave 1½; that step is merged with the one next to it.',) == alone
    assert () == ordered_steps(marks, marks).merged


def test_bins_are_said() -> None:
    """What was taken together is told with its ranges."""
    found = ordered_steps(np.array([1.0, 1.5, 2.0, 3.0]), most=2)
    assert ('4 steps were taken together in 2: 1 to 1½ and 2 to 3.',) == found.merged
    assert ((1.0, 2.0), (1.5, 3.0)) == (found.lowest, found.highest)


def test_a_crowded_top_does_not_empty_the_bins() -> None:
    """When most marks are the top one, the others still keep a step of their own."""
    marks = np.concatenate([np.full(95, 3.0), [1.0, 1.5, 2.0, 2.0, 2.5]])
    found = ordered_steps(marks, most=3)
    assert 2 <= found.count <= 3
    assert found.lowest[-1] == 3.0


def test_rounding_is_no_step() -> None:
    """Marks that differ by rounding only are one step, written without it."""
    found = ordered_steps(np.array([0.1 + 0.2, 0.3, 1.0]))
    assert (0.3, 1.0) == found.lowest


def test_only_rounding_is_no_variation() -> None:
    """Marks that differ by rounding only are all the same."""
    with pytest.raises(NoVariation):
        ordered_steps(np.array([0.1 + 0.2, 0.3]))


@pytest.mark.parametrize(
    ('mark', 'said'), [(12.5, '12½'), (0.5, '½'), (0.0, '0'), (-1.25, '−1¼'), (3.7, '3.7')]
)
def test_marks_in_words(mark: float, said: str) -> None:
    """Halves and quarters are written as people write them."""
    assert said == mark_in_words(mark)
