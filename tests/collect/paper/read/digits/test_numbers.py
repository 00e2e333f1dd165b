"""Numbers over several cells: totals with halves, codes, seconds."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from halfpoint.collect.paper.read.digits import numbers, read_digits, read_number
from halfpoint.collect.paper.read.digits.network import KINDS
from handwriting.sheetful import Writer

BLANK = np.zeros((52, 40), np.float32)

# What stands in the cells, the highest total, the number.
TOTALS = [
    (['1', '6', '½'], None, 16.5),
    (['9', '½', ''], None, 9.5),
    (['', '9', '½'], None, 9.5),
    (['', '', '½'], None, 0.5),
    (['1', '6', ''], None, 16.0),
    (['', '1', '6'], None, 16.0),
    (['1', '6', '.'], None, 16.0),
    (['9', '.', '5'], None, 9.5),
    (['9', '.', '½'], None, 9.5),
    (['0', '7', '½'], None, 7.5),
    (['1', '0', '0'], 100.0, 100.0),
    (['1', '6', '5'], 20.0, 16.5),
    (['7', '5', ''], 20.0, 7.5),
    (['1', '6', '0'], 20.0, None),
    (['1', '6', '5'], None, 165.0),
    (['1', '6', '3'], 20.0, None),
    (['9', '9', '½'], 20.0, None),
    (['1', '', '½'], None, None),
    (['½', '1', ''], None, None),
    (['.', '', ''], None, None),
    (['1', '?', '½'], None, None),
    (['.', '.', '5'], None, None),
]


Row = Mapping[str, float]


@pytest.fixture
def stands(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[NDArray[np.float32]]]:
    """Lets cells be read as what a test says stands in them, each with its chances."""

    def says(rows: Sequence[str | Row], chance: float = 0.99) -> list[NDArray[np.float32]]:
        chances = np.zeros((len(rows), len(KINDS)), np.float32)
        for row, stands_here in zip(chances, rows, strict=True):
            known = {stands_here: chance} if isinstance(stands_here, str) else stands_here
            for text, share in known.items():
                row[KINDS.index(text)] = share
            row[KINDS.index('?')] += 1 - row.sum()
        monkeypatch.setattr(numbers, 'cell_chances', lambda _: chances)
        return [BLANK] * len(rows)

    return says


@pytest.mark.parametrize(('texts', 'highest', 'number'), TOTALS)
def test_totals(stands, texts: list[str], highest: float | None, number: float | None) -> None:
    """A total is its figures with the half, wherever it stands in its cells."""
    found, chance = read_number(stands(texts), highest)
    assert number == found
    assert chance == (pytest.approx(0.99**3) if number is not None else 0.0)


def test_nothing_written() -> None:
    """Blank cells are no number and no digits, for sure."""
    assert (None, 1.0) == read_number([BLANK] * 3)
    assert (None, 1.0) == read_digits([BLANK] * 3)
    assert (None, 1.0) == read_number([])


def test_a_doubtful_number_is_not_told(stands) -> None:
    """Under the chance of all cells together, nothing is told but that chance."""
    assert (None, pytest.approx(0.95**3)) == read_number(stands(['1', '6', '½'], 0.95))
    assert (None, pytest.approx(0.9**2)) == read_digits(stands(['3', '4'], 0.9))


def test_texts_that_mean_the_same_add_up(stands) -> None:
    """A speck after a whole number may be a dot or nothing: the number is the same."""
    cells = stands(['1', '6', {'.': 0.5, '': 0.45}])
    assert (16.0, pytest.approx(0.99**2 * 0.95)) == read_number(cells)


def test_what_cannot_be_is_left_out(stands) -> None:
    """A first figure between 1 and 7 is a 1 where a total cannot be in the seventies."""
    cells = stands([{'1': 0.6, '7': 0.38}, '6', '½'])
    assert read_number(cells)[0] is None
    assert (16.5, pytest.approx(0.6 * 0.99**2 / (1 - 0.38 * 0.99**2))) == read_number(cells, 20.0)


def test_what_cannot_be_does_not_lift_what_is_unlikely(stands) -> None:
    """Where what was most likely written cannot be, the next best is not told for sure."""
    cells = stands([{'7': 0.9, '1': 0.09}, '6', '½'])
    found, chance = read_number(cells, 20.0)
    assert found is None
    assert chance < 0.2


@given(st.lists(st.lists(st.floats(0, 1), min_size=15, max_size=15), max_size=6))
def test_any_chances_give_a_number_or_none(rows: list[list[float]]) -> None:
    """Whatever the cells may be, there is one answer with a chance between 0 and 1."""
    chances = np.array(rows, np.float32).reshape(len(rows), 15) + np.float32(1e-6)
    chances /= chances.sum(axis=1, keepdims=True)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(numbers, 'cell_chances', lambda _: chances)
        number, chance = read_number([BLANK] * len(rows), 20.0)
    assert 0.0 <= chance <= 1.0
    assert number is None or (0.0 <= number <= 20.0 and chance >= numbers.SURE)


@pytest.mark.parametrize(
    ('texts', 'digits'),
    [
        (['0', '4', '7'], '047'), (['3', '4'], '34'), (['7', ''], '7'), (['', '7'], '7'),
        (['4', '', '7'], None), (['4', '½', '7'], None), (['4', '.', ''], None),
    ],
)  # fmt: skip
def test_digits(stands, texts: list[str], digits: str | None) -> None:
    """A code keeps its zeros; a gap, a half or a dot is no code."""
    found, _ = read_digits(stands(texts))
    assert digits == found


def test_totals_written_by_hand() -> None:
    """Totals of our own strokes: most are told, hardly any wrong."""
    writes = Writer([], np.random.default_rng(12), harm=0.0)
    told = wrong = 0
    for _ in range(100):
        (one, first), (two, second) = writes.own(), writes.own()
        cells, number = [one, two, writes.half()[0]], int(first + second) + 0.5
        found, chance = read_number(cells)
        assert 0.0 <= chance <= 1.0
        told += found is not None
        wrong += found is not None and found != number
    assert told >= 70
    assert wrong <= 1
