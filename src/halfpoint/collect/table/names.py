"""Names in a column (tasters, wines, sites) as codes into a list of labels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.collect.table.arrays import Codes
from halfpoint.collect.table.raw import as_text

LONGEST_NAME = 200
_UNTIDY = r'^\s|\s$|\s\s|[^\S ]'


@dataclass(frozen=True, slots=True)
class Names:
    """`labels[codes[i]]` is the name in row i, a Categorical; code -1 where it is blank."""

    codes: Codes
    labels: pl.Series

    def series(self, name: str) -> pl.Series:
        """The names as a Categorical column, null where blank."""
        codes = pl.Series(self.codes)
        if not self.labels.len():
            return pl.Series(name, [None] * codes.len(), dtype=pl.Categorical)
        return self.labels.gather(codes.set(codes < 0, None)).alias(name)

    def renamed(self, rename: Callable[[str], str]) -> Names:
        """The names after `rename`; an empty new name is blank, equal ones become one."""
        labels = [rename(label) for label in self.labels.to_list()]
        places = {label: k for k, label in enumerate(dict.fromkeys(filter(None, labels)))}
        table = np.array([*(places.get(label, -1) for label in labels), -1])
        return Names(table[self.codes], pl.Series(list(places), dtype=pl.Categorical))


def names_of(column: pl.Series) -> Names:
    """The trimmed names in a column; whole numbers are named without decimals.

    Tables are mostly in order of taster, so only the first row of each run is looked at
    when that halves the work.
    """
    text = _name_text(column)
    starts = text.ne_missing(text.shift(1))
    if text.len():
        starts[0] = True
    if starts.sum() * 2 > text.len():
        return _tidied(_coded(text))
    runs = _tidied(_coded(text.filter(starts)))
    return Names(runs.codes[starts.cum_sum().to_numpy() - 1], runs.labels)


def _coded(text: pl.Series) -> Names:
    categories = text.cast(pl.Categorical)
    distinct = categories.unique().drop_nulls()
    if not distinct.len():
        return Names(np.full(text.len(), -1), pl.Series([], dtype=pl.Categorical))
    places = distinct.to_physical().to_numpy()
    table = np.full(int(places.max()) + 1, -1)
    table[places] = np.arange(places.size)
    physical = categories.to_physical()
    codes = table[physical.fill_null(0).to_numpy()]
    if physical.null_count():
        codes[physical.is_null().to_numpy()] = -1
    return Names(codes, distinct)


def _tidied(names: Names) -> Names:
    labels = names.labels.cast(pl.String)
    untidy = labels.str.contains(_UNTIDY) | (labels == '')
    return names.renamed(lambda label: ' '.join(label.split())) if untidy.any() else names


def _name_text(column: pl.Series) -> pl.Series:
    if column.dtype.is_float():
        column = column.fill_nan(None)
        whole = column.drop_nulls()
        if bool(((whole == whole.floor()) & (whole.abs() < 2**53)).all()):
            column = column.cast(pl.Int64)
    return column if column.dtype == pl.Categorical else as_text(column)
