"""The result on the terminal: the finding in words, then the table, then what lies behind it."""

from __future__ import annotations

import sys
from collections.abc import Collection
from typing import TYPE_CHECKING

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from halfpoint.publish.beside_words import beside_in_words, notes_beside
from halfpoint.publish.numbers import interval, number, percent, plural
from halfpoint.publish.paper_words import second_look_in_words
from halfpoint.publish.standing import ordered
from halfpoint.publish.words import components_in_words, covariate_in_words, finding

if TYPE_CHECKING:
    from halfpoint.estimate.findings import Findings, MarkFindings, WineFinding

MOST_ROWS = 40
NARROW = 84


def new_result_console(*, quiet: bool) -> Console:
    """Where the result is shown: standard error when the JSON has standard output."""
    return Console(file=sys.stderr if quiet else None, markup=False, highlight=False, emoji=False)


def print_result(console: Console, findings: Findings, *, told: Collection[str] = ()) -> None:
    """Show the finding, the wines, the components and what was held or noted.

    Notes that were `told` before are not told again.
    """
    console.print()
    console.print(Text(findings.title, style="bold"))
    if findings.invented:
        console.print("Invented: towns, people, wines and marks were made up.")
    console.print(_counts(findings))
    console.print()
    console.print(Text(finding(findings), style="bold"))
    console.print()
    if findings.connected:
        _print_marks(console, findings.total)
    for part in findings.parts:
        console.print(f"{', '.join(part.wines)} ({plural(part.tasters, 'taster')}):")
        if part.result is None:
            console.print("  nothing to compare here.\n")
        else:
            _print_marks(console, part.result)
    for line in beside_in_words(findings):
        console.print(line)
    _print_notes(console, findings, told)


def _counts(findings: Findings) -> str:
    said = [plural(findings.marks, "mark"), plural(findings.tasters, "taster")]
    if findings.sites > 1:
        said.append(plural(findings.sites, "site"))
    return ", ".join(said)


def _print_marks(console: Console, marks: MarkFindings) -> None:
    console.print(_wine_table(marks, narrow=console.width < NARROW))
    left = len(marks.wines) - MOST_ROWS
    if left > 0:
        console.print(f"and {left:,} more (all in --json and --csv)")
    console.print()
    for line in components_in_words(marks.components):
        console.print(line)
    for covariate in marks.covariates:
        console.print(covariate_in_words(covariate))
    console.print()


def _wine_table(marks: MarkFindings, *, narrow: bool) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    table.add_column("wine", overflow="fold")
    table.add_column("score", justify="right")
    table.add_column("95 % interval", justify="right")
    if not narrow:
        table.add_column("plain mean", justify="right")
    table.add_column("places", justify="right")
    table.add_column("first", justify="right")
    table.add_column("together")
    for wine in ordered(marks)[:MOST_ROWS]:
        table.add_row(*_row(wine, narrow=narrow))
    return table


def _row(wine: WineFinding, *, narrow: bool) -> list[str]:
    places = "" if wine.rank_low is None else _places(wine.rank_low, wine.rank_high)
    cells = [wine.wine, number(wine.adjusted, 2), interval(wine.low, wine.high, 1)]
    if not narrow:
        cells.append(number(wine.raw_mean, 2))
    return [*cells, places, percent(wine.p_best), wine.letters]


def _places(low: int, high: int | None) -> str:
    return str(low) if high in (low, None) else f"{low}–{high}"


def _print_notes(console: Console, findings: Findings, told: Collection[str]) -> None:
    if findings.held:
        console.print(
            f"{plural(len(findings.held), 'row')} held: received, not acceptable yet, kept."
        )
    if findings.set_aside:
        console.print(f"{plural(len(findings.set_aside), 'entry', 'entries')} set aside.")
    if findings.audit:
        console.print(second_look_in_words(findings.audit))
    for note in (*findings.notes, *findings.total.notes):
        if note not in told:
            console.print(note)
    for category in findings.categories.values():
        for note in category.notes:
            console.print(f"{category.label}: {note}")
    for note in notes_beside(findings):
        console.print(note)
    if _lettered(findings):
        console.print("Wines that share a letter cannot be told apart by these marks.")
    console.print("Scores are at the average taster, site and bottle.")


def _lettered(findings: Findings) -> bool:
    shown = [findings.total, *(part.result for part in findings.parts if part.result)]
    return any(wine.letters for marks in shown for wine in marks.wines)
