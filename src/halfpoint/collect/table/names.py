"""Names in a column (tasters, wines, sites) as codes into a list of labels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.collect.table.arrays import Codes

LONGEST_NAME = 200


@dataclass(frozen=True, slots=True)
class Names:
    """`labels[codes[i]]` is the name in row i; code -1 where the cell is blank."""

    codes: Codes
    labels: tuple[str, ...]

    def series(self, name: str) -> pl.Series:
        """The names as a Categorical column, null where blank."""
        labels = pl.Series(name, self.labels, dtype=pl.String).cast(pl.Categorical)
        codes = pl.Series(self.codes)
        return labels.gather(codes.set(codes < 0, None)) if self.labels else _no_names(name, codes)

    def renamed(self, rename: Callable[[str], str]) -> Names:
        """The names after `rename`; an empty new name is blank, equal ones become one."""
        return _recoded(self.codes, [rename(label) for label in self.labels])


def names_of(column: pl.Series) -> Names:
    """The trimmed names in a column; whole numbers are named without decimals."""
    text = _as_text(column).cast(pl.Categorical)
    distinct = text.drop_nulls().unique()
    if not distinct.len():
        return Names(np.full(column.len(), -1), ())
    places = distinct.to_physical().to_numpy()
    table = np.full(int(places.max()) + 1, -1)
    table[places] = np.arange(distinct.len())
    physical = text.to_physical()
    codes = table[physical.fill_null(0).to_numpy()]
    codes[physical.is_null().to_numpy()] = -1
    labels = [' '.join(label.split()) for label in distinct.cast(pl.String).to_list()]
    return _recoded(codes, labels)


def _recoded(codes: Codes, labels: list[str]) -> Names:
    places = {label: k for k, label in enumerate(dict.fromkeys(filter(None, labels)))}
    if len(places) == len(labels):
        return Names(codes, tuple(labels))
    table = np.array([*(places.get(label, -1) for label in labels), -1])
    return Names(table[codes], tuple(places))


def _as_text(column: pl.Series) -> pl.Series:
    if column.dtype.is_float():
        whole = column.drop_nulls()
        if bool(((whole == whole.floor()) & (whole.abs() < 2**53)).all()):
            column = column.cast(pl.Int64)
    return column if column.dtype == pl.Categorical else column.cast(pl.String, strict=False)


def _no_names(name: str, codes: pl.Series) -> pl.Series:
    return pl.Series(name, [None] * codes.len(), dtype=pl.Categorical)
