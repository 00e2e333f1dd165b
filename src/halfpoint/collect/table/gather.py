"""A table of marks to entries: the way it goes, step by step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import polars as pl

from halfpoint.collect.table.aside import beside_marks
from halfpoint.collect.table.by_plan import HeldToPlan, codes_apart, hold_to_plan
from halfpoint.collect.table.columns import ColumnUse, Request, known_names
from halfpoint.collect.table.held import (
    commonest_reasons,
    held_rows,
    nothing_accepted,
    write_held,
)
from halfpoint.collect.table.marks import Marks, marks_of
from halfpoint.collect.table.objections import by_row, standing
from halfpoint.collect.table.opening import open_table
from halfpoint.collect.table.people import who_poured
from halfpoint.collect.table.poured import Poured
from halfpoint.collect.table.raw import HeldRow
from halfpoint.collect.table.repeats import TELLING, look_for_repeats
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
    faults and families (List of String), finish_seconds, written_total (Float64), remark and
    finish_band (String), own_words (List of String);
    covariates and further columns under the names asked for; `row` (UInt32), the row in
    the file with the first as 1. `origins` is empty but for a file of held rows: there it
    maps a row to the file and row that it was held from.
    """

    entries: pl.DataFrame
    held: tuple[HeldRow, ...]
    account: tuple[ColumnUse, ...]
    notes: tuple[str, ...]
    source: str
    digest: str
    origins: Mapping[int, tuple[str, int]] = field(default_factory=dict)


def read_marks(
    path: str | Path,
    *,
    sheet: Sheet | None,
    mark: str | None = None,
    mapping: Mapping[str, str] | None = None,
    covariates: Sequence[str] = (),
    extra: Sequence[str] = (),
    tasting: Tasting | None = None,
    poured: Poured | None = None,
) -> Gathered:
    """Read a table of marks: CSV and its kin, XLSX, ODS or Parquet, long or wide.

    Rows that cannot be accepted are held, each with its reason; when all are, `entries` is
    empty and the caller may raise `nothing_accepted(gathered.held, gathered.source)`.

    Args:
        path: the file; `book.xlsx#Sheet` names a sheet of a workbook.
        sheet: the score sheet whose categories the table carries; None with `mark`.
        mark: the column that holds a single mark for each pour. With a sheet it is judged
            as the category it names, or else as the total.
        mapping: role → column, overruling the names; an empty column leaves the role out.
        covariates: columns that must have a value in every entry.
        extra: columns carried along untouched.
        tasting: whose wines, sites and tasters the names must be.
        poured: the plan that rows are held against, so that a code tells its wine.

    Raises:
        FileNotReadable, NotATable: the file is no table.
        ColumnsNotFound, UsageError: what a column is cannot be made out.
    """
    mapping = mapping or {}
    mark = mark or mapping.get('mark')
    codes = None if poured is None else poured.codes
    request = Request(sheet, mark, mapping, covariates, extra, codes)
    opened = open_table(path, known_names(request))
    raw, where = opened.table, opened.where
    layout = find_layout(raw.frame, request, tasting, where)
    pours = lay_out(raw, layout)
    pours = pours if poured is None else codes_apart(pours, tasting)
    rows = raw.rows.gather(pours.origin)

    seated = frozenset() if poured is None else poured.seated
    who = who_poured(pours, tasting, by_code=poured is not None, seated=seated)
    marks = marks_of(pours, sheet, mark, layout.marks)
    beside = beside_marks(pours, sheet, frozenset(covariates))
    planned = HeldToPlan(who.names, beside.columns)
    if poured is not None:
        planned = hold_to_plan(who.names, beside.columns, poured, who.objections)
    objections = [
        *who.objections, *marks.objections, *beside.objections, *planned.objections,
    ]  # fmt: skip
    repeats = look_for_repeats(
        planned.names, planned.columns, marks.columns, standing(rows.len(), objections), rows,
        single_mark='mark' in layout.marks and not layout.blocks,
    )  # fmt: skip
    objections += repeats.objections
    stands = standing(rows.len(), objections)

    entries = _entries(planned, marks, rows)
    return Gathered(
        entries=entries if stands.size == rows.len() else entries[stands],
        held=held_rows(raw, layout, pours, by_row(objections), where),
        account=layout.account,
        notes=(*layout.notes, *pours.notes, *planned.notes, *repeats.notes),
        source=where,
        digest=opened.digest,
        origins=opened.origins,
    )


def _entries(beside: HeldToPlan, marks: Marks, rows: pl.Series) -> pl.DataFrame:
    columns = {role: names.series(role) for role, names in beside.names.items()}
    columns |= {name: beside.columns[name] for name in TELLING if name in beside.columns}
    columns |= {name: pl.Series(name, values) for name, values in marks.columns.items()}
    columns |= {name: c for name, c in beside.columns.items() if name not in columns}
    return pl.DataFrame({**columns, 'row': rows.alias('row')})
