"""Invented entries and records for the tests of the ledger."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import EntryRecorded, RowHeld
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.load import load_sheet
from halfpoint.sheet.validity import check_entry

SHEET = load_sheet('twenty-point')
DIGEST = 'd' * 64


def entry(taster: str = 'ann', wine: str = 'w1', aroma: float = 4.5, **others: Any) -> Entry:
    """A valid entry on the twenty-point sheet."""
    marks = {'appearance': 3.0, 'aroma': aroma, 'taste': 4.0, 'aftertaste': 2.0, 'overall': 1.5}
    made = check_entry(SHEET, taster=taster, wine=wine, marks=marks, **others)
    assert isinstance(made, Entry), made
    return made


def arrived(taster: str = 'ann', wine: str = 'w1', row: int = 2, **others: Any) -> EntryRecorded:
    """The entry as it comes from row `row` of a file."""
    return EntryRecorded(entry(taster, wine, **others), file='south.csv', row=row)


def held(row: int = 3, **others: Any) -> RowHeld:
    """A row that is held."""
    told = {'found': '9', 'original': {'taster': 'bob', 'wine': 'w1', 'aroma': '9'}, **others}
    return RowHeld('south.csv', row, 'aroma', expected='0 to 6 in half points', **told)


def opened(folder: Path) -> Ledger:
    """A record in this folder, begun when it is not there."""
    return Ledger.open(folder / 'tasting.ledger', tasting_key='spring', title="Spring")


def unguarded(folder: Path) -> sqlite3.Connection:
    """A raw connection to the record with its guards taken out, as a forger would have it."""
    connection = sqlite3.connect(folder / 'tasting.ledger', isolation_level=None)
    triggers = connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
    for (name,) in triggers.fetchall():
        connection.execute(f'DROP TRIGGER {name}')
    return connection
