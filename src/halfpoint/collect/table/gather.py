"""A table of marks to entries: the way it goes, step by step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import polars as pl

from halfpoint.collect.table.aside import beside_marks
from halfpoint.collect.table.columns import ColumnUse, Request, known_names
from halfpoint.collect.table.held import (
    commonest_reasons,
    held_rows,
    nothing_accepted,
    write_held,
)
from halfpoint.collect.table.marks import marks_of
from halfpoint.collect.table.objections import by_row, standing
from halfpoint.collect.table.opening import open_table
from halfpoint.collect.table.people import who_poured
from halfpoint.collect.table.raw import HeldRow
from halfpoint.collect.table.repeats import (
    identity,
    object_to_repeats,
    TELLING,
    pours_told_apart,
    repeated,
)
from halfpoint.collect.table.shape import find_layout, lay_out
from halfpoint.sheet.form import Sheet
from halfpoint.tasting.model import Tasting

__all__ = [
    'ColumnUse',
    'Gathered',
    'HeldRow',
    'commonest_reasons',
    'nothing_accepted',
    'read_marks',
    'write_held',
]


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a table gave.

    `entries` has one row per accepted pour: taster, wine and, where the table tells them,
    site (Categorical), position (Int64), code, pour (String); one Float64 column per
    category and `total`, or `total` alone when one mark was asked for; where told, terms
    and faults (List of String), finish_seconds, written_total (Float64), remark (String);
    covariates and further columns under the names asked for; `row` (UInt32), the row in
    the file with the first as 1.
    """

    entries: pl.DataFrame
    held: tuple[HeldRow, ...]
    account: tuple[ColumnUse, ...]
    notes: tuple[str, ...]
    source: str
    digest: str


def read_marks(
    path: str | Path,
    *,
    sheet: Sheet | None,
    mark: str | None = None,
    mapping: Mapping[str, str] | None = None,
    covariates: Sequence[str] = (),
    extra: Sequence[str] = (),
    tasting: Tasting | None = None,
) -> Gathered:
    """Read a table of marks: CSV and its kin, XLSX, ODS or Parquet, long or wide.

    Args:
        path: the file; `book.xlsx#Sheet` names a sheet of a workbook.
        sheet: the score sheet whose categories the table carries; None with `mark`.
        mark: the column that holds a single mark for each pour.
        mapping: role → column, overruling the names; an empty column leaves the role out.
        covariates: columns that must have a value in every entry.
        extra: columns carried along untouched.
        tasting: whose wines, sites and tasters the names must be.

    Raises:
        FileNotReadable, NotATable: the file is no table.
        ColumnsNotFound, UsageError: what a column is cannot be made out.
    """
    request = Request(sheet, mark, mapping or {}, covariates, extra)
    opened = open_table(path, known_names(request))
    raw, where = opened.table, opened.where
    layout = find_layout(raw.frame, request, tasting, where)
    pours = lay_out(raw, layout)

    who = who_poured(pours, tasting)
    marks = marks_of(pours, sheet, mark, layout.marks)
    beside = beside_marks(pours, sheet, frozenset(covariates))
    objections = [*who.objections, *marks.objections, *beside.objections]

    count = pours.origin.size
    rows = raw.rows[pours.origin]
    key = identity(who.names, beside.columns)
    stands = standing(count, objections)
    notes = [*raw.notes, *layout.notes, *pours.notes]
    if 'mark' in layout.marks and not layout.blocks and not pours_told_apart(beside.columns):
        if again := repeated(key, stands):
            notes.append(f"{again:,} rows repeat a taster and wine: taken as repeated pours")
    else:
        objections += object_to_repeats(key, stands, list(marks.columns.values()), rows)
        stands = standing(count, objections)

    columns = {
        **{role: names.series(role) for role, names in who.names.items()},
        **{name: beside.columns[name] for name in TELLING if name in beside.columns},
        **{name: pl.Series(name, values) for name, values in marks.columns.items()},
    }
    columns = columns | {k: v for k, v in beside.columns.items() if k not in columns}
    columns['row'] = rows.alias('row')
    entries = pl.DataFrame(columns)
    return Gathered(
        entries=entries if stands.size == count else entries[stands],
        held=(*raw.held, *held_rows(raw, layout, pours, by_row(objections), where)),
        account=layout.account,
        notes=tuple(notes),
        source=where,
        digest=opened.digest,
    )
