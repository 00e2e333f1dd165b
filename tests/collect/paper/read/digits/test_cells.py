"""One cell: any picture is read or said to be unreadable, and never too surely."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays

from halfpoint.collect.paper.read.digits import Cell, read_cell, read_cells
from handwriting.sheetful import Writer

TEXTS = {*'0123456789', '½', '.', '', '?'}


def writer(seed: int) -> Writer:
    """Writes with our own strokes only, unspoiled."""
    return Writer([], np.random.default_rng(seed), harm=0.0)


@given(
    arrays(
        np.float32,
        array_shapes(min_dims=2, max_dims=2, min_side=0, max_side=60),
        elements=st.floats(0, 1, width=32),
    )
)
def test_any_picture_gives_a_cell(ink: np.ndarray) -> None:
    """Whatever is in the picture, the answer is one of the known texts with a chance."""
    cell = read_cell(ink)
    assert cell.text in TEXTS
    assert 0.0 <= cell.confidence <= 1.0


@pytest.mark.parametrize('shape', [(0, 0), (1, 1), (1, 40), (52, 1), (52, 40), (3000, 2000)])
@pytest.mark.parametrize('value', [0.0, 0.5, 1.0, -1.0, 7.0, np.nan, np.inf, 1e-30])
def test_even_pictures_of_any_size_give_a_cell(shape: tuple[int, int], value: float) -> None:
    """A picture of one value, tiny or huge, is never taken for a digit for sure."""
    cell = read_cell(np.full(shape, value, np.float32))
    assert cell.text in TEXTS
    assert cell.text in {'', '?', '.'} or cell.confidence < 0.98


def test_paper_is_empty() -> None:
    """A cell with no ink is empty, for sure."""
    assert Cell('', 1.0) == read_cell(np.zeros((52, 40), np.float32))


@pytest.mark.parametrize('grain', [0.02, 0.04, 0.06])
def test_grain_of_paper_is_empty(grain: float) -> None:
    """Faint grain all over the paper is an empty cell."""
    rng = np.random.default_rng(2)
    inks = [rng.normal(0, grain, (52, 40)).astype(np.float32) for _ in range(50)]
    assert [Cell('', 1.0)] * 50 == read_cells(inks)


@pytest.mark.parametrize('dark', [0.2, 0.3])
def test_a_light_pencil_is_read(dark: float) -> None:
    """Digits as light as a fifth of full ink are not empty, and are read as dark ones are."""
    writes = writer(11)
    made = [writes.own() for _ in range(100)]
    cells = read_cells([ink * np.float32(dark) for ink, _ in made])
    right = sum(cell.text == text for cell, (_, text) in zip(cells, made, strict=True))
    assert '' not in {cell.text for cell in cells}
    assert right >= 85


def test_noise_is_no_digit() -> None:
    """Noise all over is never a digit for sure."""
    rng = np.random.default_rng(1)
    cells = read_cells([rng.random((52, 40)).astype(np.float32) for _ in range(200)])
    assert [] == [cell for cell in cells if cell.text not in {'', '?'} and cell.confidence > 0.98]


def test_our_own_digits_are_read() -> None:
    """Of digits of our own strokes at least 95 in 100 are read, none wrong for sure."""
    writes = writer(5)
    made = [writes.own() for _ in range(300)]
    cells = read_cells([ink for ink, _ in made])
    right = [cell.text == text for cell, (_, text) in zip(cells, made, strict=True)]
    assert np.mean(right) > 0.95
    assert 0 == sum(
        cell.confidence >= 0.98 for cell, good in zip(cells, right, strict=True) if not good
    )


def test_halves_are_read_however_written() -> None:
    """½ slanted, stacked or in a line, and .5 in one cell, are read as ½."""
    writes = writer(6)
    inks = [writes.half()[0] for _ in range(100)] + [writes.decimal_half()[0] for _ in range(100)]
    assert np.mean([cell.text == '½' for cell in read_cells(inks)]) > 0.94


def test_what_is_no_digit_is_seldom_read() -> None:
    """Scribbles, signs, two digits, crossed-out digits: at most 1 in 100 is read for sure."""
    writes = writer(7)
    cells = read_cells([writes.junk()[0] for _ in range(400)])
    sure = [cell for cell in cells if cell.text not in {'?', '', '.'} and cell.confidence >= 0.98]
    assert len(sure) <= 4


def test_a_batch_reads_as_one_by_one() -> None:
    """Cells read together give what they give alone."""
    writes = writer(8)
    inks = [writes.own()[0] for _ in range(20)]
    together, alone = read_cells(inks), [read_cell(ink) for ink in inks]
    assert [cell.text for cell in alone] == [cell.text for cell in together]
    assert [cell.confidence for cell in alone] == pytest.approx(
        [cell.confidence for cell in together], abs=1e-5
    )
