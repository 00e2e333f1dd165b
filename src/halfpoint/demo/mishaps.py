"""What goes wrong on the way home: one sheet of each kind, in every file that can show it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

Row = dict[str, object]


@dataclass(frozen=True, slots=True)
class Mishap:
    """A sheet that was spoiled on purpose: it cannot be accepted as it stands."""

    file: str
    taster: str
    wine: str
    kind: str


def _off_step(row: Row) -> Row:
    return row | {'aroma': 4.25, 'total': None}


def _above_top(row: Row) -> Row:
    return row | {'aftertaste': 4.5, 'total': None}


def _missing_mark(row: Row) -> Row:
    return row | {'taste': None, 'total': None}


def _wrong_sum(row: Row) -> Row:
    return row | {'total': float(str(row['total'])) - 1}


def _unknown_wine(row: Row) -> Row:
    return row | {'wine': 'merlot'}


def _second_thoughts(row: Row) -> Row:
    taste = float(str(row['taste']))
    change = 0.5 if taste < 6 else -0.5
    return row | {'taste': taste + change, 'total': float(str(row['total'])) + change}


def _same_again(row: Row) -> Row:
    return row


@dataclass(frozen=True, slots=True)
class _Kind:
    change: Callable[[Row], Row]
    adds: bool = False


# What each word of a file's list of mishaps does to one of its rows.
KINDS: Mapping[str, _Kind] = {
    'mark off the step': _Kind(_off_step),
    'mark above the top': _Kind(_above_top),
    'mark missing': _Kind(_missing_mark),
    'total that is not the sum': _Kind(_wrong_sum),
    'wine that is not in the tasting': _Kind(_unknown_wine),
    'second sheet for the same wine': _Kind(_second_thoughts, adds=True),
    'same sheet twice': _Kind(_same_again, adds=True),
}


def spoil(
    rng: np.random.Generator, sheets: pl.DataFrame, file: str, kinds: tuple[str, ...]
) -> tuple[pl.DataFrame, tuple[Mishap, ...]]:
    """Spoil one row for each of `kinds`, no row twice.

    Args:
        rng: where the chance comes from.
        sheets: the rows of one file.
        file: its name, for the account.
        kinds: keys of `KINDS`.

    Returns:
        The rows with the mishaps in, rows that come twice at the end; and what was done.
    """
    rows = sheets.to_dicts()
    places = rng.choice(len(rows), size=len(kinds), replace=False)
    mishaps = []
    for place, name in zip(places, kinds, strict=True):
        row, kind = rows[place], KINDS[name]
        mishaps.append(Mishap(file, str(row['taster']), str(row['wine']), name))
        if kind.adds:
            rows.append(kind.change(row))
        else:
            rows[place] = kind.change(row)
    return pl.DataFrame(rows, schema=sheets.schema), tuple(mishaps)
