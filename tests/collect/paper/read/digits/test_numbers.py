"""Numbers over several cells: totals with halves, codes, seconds."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from halfpoint.collect.paper.read.digits import Cell, numbers, read_digits, read_number
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
    (['1', '6', '0'], 20.0, 16.0),
    (['1', '6', '5'], None, 165.0),
    (['1', '6', '3'], 20.0, None),
    (['9', '9', '½'], 20.0, None),
    (['1', '', '½'], None, None),
    (['½', '1', ''], None, None),
    (['.', '', ''], None, None),
    (['1', '?', '½'], None, None),
    (['.', '.', '5'], None, None),
]


@pytest.fixture
def stands(monkeypatch: pytest.MonkeyPatch) -> object:
    """Lets cells be read as what a test says stands in them, each with a chance."""

    def says(texts: Sequence[str], chance: float = 0.99) -> list[NDArray[np.float32]]:
        cells = [Cell(text, chance) for text in texts]
        monkeypatch.setattr(numbers, 'read_cells', lambda _: cells)
        return [BLANK] * len(cells)

    return says


@pytest.mark.parametrize(('texts', 'highest', 'number'), TOTALS)
def test_totals(stands, texts: list[str], highest: float | None, number: float | None) -> None:
    """A total is its figures with the half, wherever it stands in its cells."""
    found, chance = read_number(stands(texts), highest)
    assert number == found
    assert chance == (pytest.approx(0.99**3) if number is not None else 0.0)


def test_nothing_written(stands) -> None:
    """Blank cells are no number and no digits, for sure."""
    assert (None, 1.0) == read_number([BLANK] * 3)
    assert (None, 1.0) == read_digits([BLANK] * 3)
    assert (None, 1.0) == read_number([])


def test_a_doubtful_number_is_not_told(stands) -> None:
    """Under the chance of all cells together, nothing is told but that chance."""
    assert (None, pytest.approx(0.95**3)) == read_number(stands(['1', '6', '½'], 0.95))
    assert (None, pytest.approx(0.9**2)) == read_digits(stands(['3', '4'], 0.9))


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
    assert told >= 80
    assert wrong <= 1
