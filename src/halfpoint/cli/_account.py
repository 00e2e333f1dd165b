"""What was taken as what in a table, and which of its rows need a look, in print."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console
    from rich.table import Table

    from halfpoint.collect.table.gather import ColumnUse, Gathered, HeldRow

MOST_COLUMNS_SHOWN = 24
MOST_REASONS = 3
MOST_ROWS_SHOWN = 5


def print_account(console: Console, gathered: Gathered) -> None:
    """Print what each column was taken as, what to know beside it, and the held rows."""
    from rich.text import Text

    count = gathered.entries.height
    console.print(Text(f"{gathered.source}: {count:,} {_pours(count)} taken.", style='bold'))
    console.print(_columns(gathered.account))
    for note in gathered.notes:
        console.print(Text(f"  {note}"))
    if gathered.held:
        _print_held(console, gathered.held)


def _columns(account: Sequence[ColumnUse]) -> Table:
    from rich.text import Text

    table = _grid()
    for use in account[:MOST_COLUMNS_SHOWN]:
        table.add_row(Text(_short(use.column)), Text(_role(use.role)), Text(f"({use.how})"))
    more = len(account) - MOST_COLUMNS_SHOWN
    if more > 0:
        table.add_row(Text(f"and {more:,} more"))
    return table


def _print_held(console: Console, held: Sequence[HeldRow]) -> None:
    from rich.text import Text

    from halfpoint.collect.table.held import commonest_reasons

    count = len(held)
    needs = "row needs" if count == 1 else "rows need"
    console.print(Text(f"{count:,} {needs} a look, and {_is(count)} held:", style='bold'))
    for reason, times in commonest_reasons(held, MOST_REASONS):
        console.print(Text(f"  {times:,} × {reason}"))
    table = _grid()
    for row in held[:MOST_ROWS_SHOWN]:
        found = f"found {_short(row.found)}"
        table.add_row(*map(Text, (f"row {row.row}", _short(_role(row.field)), found)))
    console.print(table)
    if count > MOST_ROWS_SHOWN:
        console.print(Text(f"  and {count - MOST_ROWS_SHOWN:,} more"))


def _grid() -> Table:
    from rich.table import Table

    return Table.grid(padding=(0, 0, 0, 2), pad_edge=True)


def _role(role: str) -> str:
    return role.replace('_', ' ')


def _short(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:59]}…"


def _pours(count: int) -> str:
    return "pour" if count == 1 else "pours"


def _is(count: int) -> str:
    return "is" if count == 1 else "are"
