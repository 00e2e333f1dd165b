"""The printed account of a table."""

from __future__ import annotations

from pathlib import Path

import pytest
from rich.console import Console

from halfpoint.cli._account import print_account
from halfpoint.collect.table.gather import read_marks


@pytest.fixture
def console() -> Console:
    """A console that records what is printed."""
    return Console(record=True, width=100)


def _printed(console: Console, path: Path, text: str) -> str:
    path.write_text(text)
    print_account(console, read_marks(path, sheet=None, mark='mark'))
    return console.export_text()


def test_the_account_names_columns_and_held_rows(console: Console, tmp_path: Path) -> None:
    """Each column with what it is, each note, and the held rows with their reasons."""
    text = 'judge,wine,mark,weather\nAnn,X,4,dry\nBen,X,four,dry\n,X,4,dry\n'

    printed = _printed(console, tmp_path / 'marks.csv', text)

    assert printed.startswith("marks.csv: 1 pour taken.")
    assert ['judge', 'taster', "(a word for it)"] == printed.splitlines()[1].strip().split(
        maxsplit=2
    )
    assert "column 'weather' not used" in printed
    assert "2 rows need a look" in printed
    assert "1 × mark: expected a number" in printed
    assert "found four" in printed


def test_many_held_rows_are_summed_up(console: Console, tmp_path: Path) -> None:
    """Only the first held rows are shown, and the rest are counted."""
    rows = ''.join(f'T{k},X,none given\n' for k in range(30))

    printed = _printed(console, tmp_path / 'marks.csv', f'taster,wine,mark\n{rows}')

    assert "30 × mark: expected a number" in printed
    assert "and 25 more" in printed
    assert 5 == printed.count("found none given")


def test_marks_of_emphasis_in_a_name_are_only_text(console: Console, tmp_path: Path) -> None:
    """Square brackets in a heading or a cell are printed as they stand."""
    printed = _printed(console, tmp_path / 'marks.csv', 'taster,wine,mark,[red]x\nA,X,[bold]4,1\n')

    assert "column '[red]x' not used" in printed
    assert "found [bold]4" in printed
