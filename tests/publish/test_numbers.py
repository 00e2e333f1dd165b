"""Numbers as people read them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.publish import numbers


@pytest.mark.parametrize(
    ('value', 'expected'),
    [(4.5, '4½'), (0.5, '½'), (3.0, '3'), (12.25, '12¼'), (-1.5, '−1½'), (0.0, '0'), (2.1, '2.1')],
)
def test_marks_are_written_as_on_the_sheet(value: float, expected: str) -> None:
    """Halves and quarters are written as fractions."""
    assert expected == numbers.mark(value)


@pytest.mark.parametrize(
    ('value', 'decimals', 'expected'),
    [
        (1184, 0, '1,184'),
        (-0.04, 1, '0.0'),
        (-0.06, 1, '−0.1'),
        (None, 1, '–'),
        (math.nan, 1, '–'),
        (math.inf, 1, '–'),
    ],
)
def test_numbers_have_real_minus_signs_and_no_minus_nought(
    value: float | None, decimals: int, expected: str
) -> None:
    """Thousands are set apart, nought carries no sign, a missing value is a dash."""
    assert expected == numbers.number(value, decimals)


def test_a_change_carries_its_sign_unless_it_is_nought() -> None:
    """A plus sign stands before what is above nought once rounded."""
    assert ['+0.3', '−0.3', '0.0'] == [numbers.signed(v) for v in (0.3, -0.3, 0.04)]


@given(st.floats(0, 1))
def test_a_chance_is_never_called_certain(share: float) -> None:
    """No probability prints as 0 % or 100 %."""
    text = numbers.percent(share)
    assert not text.startswith(('0', '100'))
    assert text.endswith('%')


@pytest.mark.parametrize(('error', 'expected'), [(2.0, 0), (0.22, 1), (0.05, 2), (0.004, 3)])
def test_decimals_follow_the_standard_error(error: float, expected: int) -> None:
    """No more decimals are printed than the middle standard error is worth."""
    assert expected == numbers.decimals_for([error, error, None, math.nan])


def test_one_point_is_a_point() -> None:
    """The unit agrees with the number."""
    assert ['1\u00a0point', '1.5\u00a0points'] == [numbers.points(1, 0), numbers.points(1.5)]
