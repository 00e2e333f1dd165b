"""Written marks to numbers: `4.5`, `4,5`, `4½`, `4 1/2`, in any script's digits."""

from __future__ import annotations

import re
import unicodedata

import numpy as np
import polars as pl

from halfpoint.collect.table.arrays import Floats, Mask
from halfpoint.collect.table.raw import as_text

MISSING = frozenset({'', '-', '--', '–', '—', 'n/a', 'na', '#n/a', 'null', 'none', '.', '?'})

_WRITTEN = re.compile(
    r"""(?P<sign>[+-]?)
    (?P<whole>\d{1,9})?
    (?:[.,](?P<decimals>\d{1,12}))?
    (?:(?:\s+|(?<!\d))(?P<over>\d{1,2})/(?P<under>[248]))?""",
    re.VERBOSE,
)


def read_mark(text: str) -> float | None:
    """The number that `text` writes, or None when it writes none.

    A slash fraction must be a proper one in halves, quarters or eighths, in lowest terms:
    `3/6` is more likely "3 of 6" than a half, so it is not read.
    """
    match = _WRITTEN.fullmatch(_plain(text))
    if match is None or not any(match[part] for part in ('whole', 'decimals', 'over')):
        return None
    if match['over'] and match['decimals']:
        return None
    value = float(f'{match["whole"] or 0}.{match["decimals"] or 0}')
    if match['over']:
        over, under = int(match['over']), int(match['under'])
        if over >= under or over % 2 == 0:
            return None
        value += over / under
    return -value if match['sign'] == '-' else value


def is_missing(text: str) -> bool:
    """Whether `text` is one of the ways to write that there is no mark."""
    return _plain(text).casefold() in MISSING


def numbers_of(column: pl.Series) -> tuple[Floats, Mask]:
    """The column as numbers (NaN where none is written), and where something else is written.

    Numeric columns are taken as they are. In text, what a plain cast reads is read so, and
    only the distinct rest is read by `read_mark`. NaN and infinities count as something else.
    """
    if column.dtype.is_numeric():
        values = column.cast(pl.Float64)
        return _with_nan(values), ~values.is_finite().fill_null(True).to_numpy()
    text = as_text(column).str.strip_chars()
    values = text.cast(pl.Float64, strict=False)
    rest = (values.is_null() & text.is_not_null()) if values.null_count() else None
    if rest is None or not rest.any():
        return _with_nan(values), ~values.is_finite().fill_null(True).to_numpy()
    return _read_rest(text, values, rest)


def _read_rest(text: pl.Series, values: pl.Series, rest: pl.Series) -> tuple[Floats, Mask]:
    distinct = text.filter(rest).unique().to_list()
    read = [read_mark(item) for item in distinct]
    known = text.replace_strict(distinct, read, default=None, return_dtype=pl.Float64)
    merged = _with_nan(values.fill_null(known))
    blank = text.is_in([item for item in distinct if is_missing(item)])
    unread = ~np.isfinite(merged) & ~blank.fill_null(True).to_numpy()
    return merged, unread


def _with_nan(values: pl.Series) -> Floats:
    return values.fill_null(float('nan')).to_numpy()


def _plain(text: str) -> str:
    spelled = ''.join(_spell_fraction(character) for character in text)
    return unicodedata.normalize('NFKC', spelled).replace('⁄', '/').replace('−', '-').strip()


def _spell_fraction(character: str) -> str:
    if not unicodedata.decomposition(character).startswith('<fraction>'):
        return character
    return f' {unicodedata.normalize("NFKC", character)}'
