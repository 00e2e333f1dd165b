"""Who a page belongs to, in 24 digits."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.collect.paper.print.damm import TABLE, check_digit, is_sound
from halfpoint.collect.paper.print.identity import PERSONAL, SPARE, Identity, spoken, stated

PAGE = Identity(
    kind=PERSONAL, wines_a_page=4, tasting='spring', site='north', site_number=3, number=12,
    page=2, form='0a1b2c3d', codes=('592', '869', '134'),
)  # fmt: skip
DIGITS = st.text('0123456789', min_size=1, max_size=30)


def test_the_table_of_check_digits_is_totally_anti_symmetric() -> None:
    """It is a Latin square with zero diagonal, and swaps show at any interim digit."""
    # By the definition in H. M. Damm's thesis (Marburg 2004): (c∗x)∗y = (c∗y)∗x only for x = y.
    table = [[int(digit) for digit in row] for row in TABLE]
    ten = set(range(10))
    assert all(ten == set(row) for row in table)
    assert all(ten == set(column) for column in zip(*table, strict=True))
    assert [0] * 10 == [table[n][n] for n in range(10)]
    alike = [
        (c, x, y)
        for c, x, y in product(range(10), repeat=3)
        if x != y and table[table[c][x]][y] == table[table[c][y]][x]
    ]
    assert [] == alike


def test_a_known_check_digit() -> None:
    """572 is followed by 4, the usual worked example (from memory)."""
    assert '4' == check_digit('572')


@given(DIGITS, st.data())
def test_every_changed_digit_is_found(digits: str, data: st.DataObject) -> None:
    """Any one digit that is changed makes the number unsound."""
    whole = digits + check_digit(digits)
    at = data.draw(st.integers(0, len(whole) - 1))
    other = data.draw(st.sampled_from([d for d in '0123456789' if d != whole[at]]))
    assert is_sound(whole)
    assert not is_sound(whole[:at] + other + whole[at + 1 :])


@given(DIGITS, st.data())
def test_every_swap_of_neighbours_is_found(digits: str, data: st.DataObject) -> None:
    """Any two unlike neighbours that change places make the number unsound."""
    whole = digits + check_digit(digits)
    at = data.draw(st.integers(0, len(whole) - 2))
    swapped = whole[:at] + whole[at + 1] + whole[at] + whole[at + 2 :]
    assert (swapped == whole) is is_sound(swapped)


def test_a_payload_says_what_it_was_made_of() -> None:
    """Kind, wines, site, seat and page are read back from the 24 digits."""
    said = stated(PAGE.payload)
    assert said is not None
    assert 24 == len(PAGE.payload)
    assert ('1', 4, 3, 12, 2) == (
        said.kind, said.wines_a_page, said.site_number, said.number, said.page,
    )  # fmt: skip
    assert PAGE.payload == spoken(PAGE.payload).replace(' ', '')


@given(st.integers(0, 23), st.integers(1, 9))
def test_no_payload_with_one_wrong_digit_is_read(at: int, added: int) -> None:
    """Wherever a digit is wrong, nothing is stated."""
    right = PAGE.payload
    wrong = str((int(right[at]) + added) % 10)
    assert stated(right[:at] + wrong + right[at + 1 :]) is None


@pytest.mark.parametrize(
    'change',
    [
        {'kind': SPARE}, {'wines_a_page': 5}, {'tasting': 'autumn'}, {'site': 'south'},
        {'site_number': 4}, {'number': 13}, {'page': 1}, {'form': '0a1b2c3e'},
        {'codes': ('869', '592', '134')}, {'codes': ('592', '869')},
    ],
    ids=lambda change: next(iter(change)),
)  # fmt: skip
def test_whatever_differs_makes_another_payload(change: dict[str, object]) -> None:
    """Another seat, site, form, plan or order of codes never has the same check."""
    other = replace(PAGE, **change)
    before, after = stated(PAGE.payload), stated(other.payload)
    assert before is not None
    assert after is not None
    assert before.check != after.check


@given(st.text(max_size=30))
def test_what_is_no_payload_is_read_as_nothing(text: str) -> None:
    """Any other text, in any digits, states nothing."""
    assert text == PAGE.payload or stated(text) is None
