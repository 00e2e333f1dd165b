"""Marks of many wines at once into a practice file: from a table, all or none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

import typer

from halfpoint.cli import _practice_view as view
from halfpoint.cli._practice import Marking, Words, entry_of, session_name
from halfpoint.cli._record import counted
from halfpoint.collect.table.opening import open_table
from halfpoint.collect.table.raw import cell_text
from halfpoint.errors import InputError, UsageError
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.words import did_you_mean, fold
from halfpoint.teach.diary import Marked, note, read_diary, standing
from halfpoint.teach.progress import follow

BESIDE = {
    'wine': ('wine',),
    'session': ('session', 'date', 'day'),
    'terms': ('terms', 'aromas', 'aroma words'),
    'faults': ('faults',),
    'finish': ('finish', 'finish (s)', 'finish seconds', 'seconds'),
    'remark': ('remark', 'remarks', 'notes'),
}


def mark_table(
    path: Path, table: Path, session: str | None, *, another: bool, earlier: bool
) -> None:
    """Keep the marks of a table's rows, those already there left out, and say where one stands.

    Raises:
        InputError: a row or a column that cannot be taken; nothing was kept.
        FileNotReadable, NotATable: it cannot be read.
    """
    diary = read_diary(path)
    rows = list(_rows(table, diary.sheet))
    marked = []
    for number, cells in rows:
        given = _marking(cells, session, diary.sheet, another=another)
        try:
            entry = entry_of(diary, given)
        except UsageError as refusal:
            raise InputError(
                refusal.found,
                where=f'{table.name}, row {number}, {refusal.where}',
                expected=refusal.expected,
                remedy="mend the row; nothing of the table was kept",
            ) from None
        marked.append(Marked(session_name(given.session), entry))
    there = Counter(map(repr, (one for stage in diary.stages for one in standing(stage.marked))))
    new = []
    for one in marked:
        if there[repr(one)]:
            there[repr(one)] -= 1
        else:
            new.append(one)
    for one in new:
        note(path, one)
    already = len(marked) - len(new)
    beside = f"; {already:,} were there already" if already else ""
    typer.echo(f"Kept {counted(len(new), 'wine', 'wines')} of {table.name}{beside}.")
    view.print_short(diary, follow(read_diary(path), earlier=earlier))


def _rows(table: Path, sheet: Sheet) -> Iterator[tuple[int, Mapping[str, str]]]:
    """Row number, and cells by what their column is."""
    known = {fold(word): role for role, words in BESIDE.items() for word in words}
    for category in sheet.categories:
        known |= {fold(category.label): category.key, fold(category.key): category.key}
    opened = open_table(table, frozenset(known))
    frame = opened.table.frame
    roles = {column: known[fold(column)] for column in frame.columns if fold(column) in known}
    _refuse_columns(roles, frame.columns, sheet, table)
    if opened.table.held:
        held = opened.table.held[0]
        raise InputError(
            held.found, where=f'{table.name}, row {held.row}', expected=held.expected,
            remedy="mend the row; nothing of the table was kept",
        )  # fmt: skip
    for number, row in zip(opened.table.rows, frame.iter_rows(named=True), strict=True):
        yield number, {role: cell_text(row[column]).strip() for column, role in roles.items()}


def _refuse_columns(
    roles: Mapping[str, str], columns: list[str], sheet: Sheet, table: Path
) -> None:
    twice = [role for role, count in Counter(roles.values()).items() if count > 1]
    needed = ('wine', *sheet.categories_by_key)
    missing = [role for role in needed if role not in roles.values()]
    if twice or missing:
        found = f"two columns for {twice[0]}" if twice else f"no column for {', '.join(missing)}"
        raise InputError(
            found,
            where=table.name,
            expected=f"columns {', '.join(needed)}"
            + ("" if twice else did_you_mean(missing[0], columns)),
            remedy="name the columns so; session, aromas, faults, finish and remark may be beside",
        )


def _marking(
    cells: Mapping[str, str], session: str | None, sheet: Sheet, *, another: bool
) -> Marking:
    marks = '; '.join(f'{key}={cells[key]}' for key in sheet.categories_by_key)
    words = Words(
        cells.get('terms', ''), cells.get('faults', ''), _seconds(cells), cells.get('remark', '')
    )
    when = session or cells.get('session') or None
    return Marking(cells['wine'], marks, words, when, correct=False, another=another, later=True)


def _seconds(cells: Mapping[str, str]) -> float | None:
    text = cells.get('finish', '').replace(',', '.')
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        return float('nan')
