"""Written marks to numbers."""

from __future__ import annotations

import math
import unicodedata

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.collect.table.marktext import is_missing, numbers_of, read_mark

HALVES = st.integers(-40, 200).map(lambda halves: halves / 2)


def _with_half(value: float, half: str) -> str:
    whole, sign = int(abs(value)), '-' if value < 0 else ''
    if abs(value) == whole:
        return f'{sign}{whole}'
    return f'{sign}{whole}{half}' if whole else f'{sign}{half.strip()}'


NOTATIONS = {
    'point': str,
    'comma': lambda value: str(value).replace('.', ','),
    'glyph': lambda value: _with_half(value, '½'),
    'glyph after a space': lambda value: _with_half(value, ' ½'),
    'slash': lambda value: _with_half(value, ' 1/2'),
    'spaced': lambda value: f'  {value} ',
    'full width': lambda value: str(value).translate(
        {ord(digit): ord(digit) - ord('0') + 0xFF10 for digit in '0123456789'}
    ),
}


@pytest.mark.parametrize('notation', NOTATIONS.values(), ids=NOTATIONS)
@given(value=HALVES)
def test_every_half_point_comes_back(notation, value: float) -> None:
    """A half point written in any notation is read as itself."""
    assert value == read_mark(notation(value))


@pytest.mark.parametrize(
    'glyph', [chr(c) for c in range(0x80, 0x2190) if 'FRACTION' in unicodedata.name(chr(c), '')
              and unicodedata.decomposition(chr(c)).count(' ') >= 3]
)  # fmt: skip
def test_vulgar_fractions_have_their_unicode_value(glyph: str) -> None:
    """Halves, quarters and eighths have the numeric value of the Unicode database."""
    value = unicodedata.numeric(glyph)
    expected = value if value and (value * 8).is_integer() else None

    assert expected == read_mark(glyph)
    assert (None if expected is None else 3 + expected) == read_mark(f'3{glyph}')


@pytest.mark.parametrize(
    'text',
    ['', ' ', '-', '.', ',', 'four', '4.5.6', '4,5,6', '3/6', '2/4', '5/4', '4.5 1/2', '4½½', '1 2',
     '4.5/6', '--4', '4-1/2', '2031-05-04', '#DIV/0!', 'true', '0x10', 'NaN', '½/2', '41/2'],
)  # fmt: skip
def test_what_is_no_mark_is_not_read(text: str) -> None:
    """Words, dates, `3/6` for three of six, and the like give no number."""
    assert read_mark(text) is None


@pytest.mark.parametrize('text', ['', ' ', '-', '–', 'n/a', 'N/A', 'NA', '#N/A', 'None', '—'])
def test_ways_to_write_nothing(text: str) -> None:
    """Dashes, n/a and blanks say that there is no mark."""
    assert is_missing(text)


def test_a_column_of_many_notations() -> None:
    """Plain numbers, other notations, blanks and what cannot be read, in one column."""
    column = pl.Series(['4.5', '4,5', '4½', ' 4 1/2 ', None, '-', 'x', 'nan', 'inf', '1e999'])

    values, unread = numbers_of(column)

    assert [4.5] * 4 == values[:4].tolist()
    assert [False] * 6 + [True] * 4 == unread.tolist()
    assert np.isnan(values[4:7]).all()


@pytest.mark.parametrize('dtype', [pl.Int8, pl.UInt64, pl.Float32, pl.Float64, pl.Decimal(6, 2)])
def test_numeric_columns_are_taken_as_they_are(dtype: pl.DataType) -> None:
    """Any numeric type becomes 64-bit floats, with NaN for none."""
    values, unread = numbers_of(pl.Series([4, None, 3]).cast(dtype))

    assert [4.0, 3.0] == values[[0, 2]].tolist()
    assert math.isnan(values[1])
    assert not unread.any()


@given(st.lists(st.one_of(st.none(), st.text(max_size=12))))
def test_no_text_at_all_breaks_it(cells: list[str | None]) -> None:
    """Any text is a finite number, or nothing, or unread; never two of them."""
    values, unread = numbers_of(pl.Series(cells, dtype=pl.String))

    for cell, value, strange in zip(cells, values, unread, strict=True):
        if cell is None or is_missing(cell):
            assert math.isnan(value)
            assert not strange
        else:
            assert math.isfinite(value) != strange
