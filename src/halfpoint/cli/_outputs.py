"""Where `results` writes: checked before the work, written whole after it."""

from __future__ import annotations

import errno
import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import typer

from halfpoint.errors import OutputError, UsageError

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.cli._weighing import Collected
    from halfpoint.estimate.findings import Findings


@dataclass(frozen=True, slots=True)
class Outputs:
    """What to write, checked. `json_to_terminal` puts the JSON alone on standard output."""

    json_path: Path | None
    json_to_terminal: bool
    csv_directory: Path | None
    report: Path | None
    paper: Literal['a4', 'us-letter']


def check_outputs(
    *, json_to: str | None, csv_to: Path | None, report: Path | None, paper: str
) -> Outputs:
    """Refuse now what would fail after the work.

    Raises:
        UsageError: an unknown paper.
        OutputError: a folder that does not exist or may not be written.
    """
    papers: dict[str, Literal['a4', 'us-letter']] = {'a4': 'a4', 'letter': 'us-letter'}
    if paper.lower() not in papers:
        raise UsageError(f'"{paper}"', where='--paper', expected='a4 or letter')
    json_path = None if json_to in (None, '-') else Path(str(json_to))
    for option, path in (('--json', json_path), ('--report', report)):
        if path is not None:
            _check_file(option, path)
    if csv_to is not None and csv_to.exists() and not csv_to.is_dir():
        raise OutputError(f'{csv_to} is a file', where='--csv', expected='a folder')
    return Outputs(json_path, json_to == '-', csv_to, report, papers[paper.lower()])


def _check_file(option: str, path: Path) -> None:
    if path.is_dir():
        raise OutputError(f'{path} is a folder', where=option, expected='a file name')
    folder = path.parent
    if not folder.is_dir():
        raise OutputError(
            f'the folder {folder} does not exist', where=option, remedy='make it first'
        )
    if not os.access(folder, os.W_OK):
        reason = os.strerror(errno.EACCES)
        raise OutputError(f'{folder}: {reason}', where=option, remedy='choose another folder')


def write_outputs(
    outputs: Outputs, findings: Findings, collected: Collected, console: Console
) -> None:
    """Write what was asked for and say where it is."""
    from halfpoint.publish.export import to_json, write_csv
    from halfpoint.writing import write_text_safely

    written: list[tuple[str, Path]] = []
    if outputs.json_to_terminal:
        typer.echo(to_json(findings), nl=False)
    if outputs.json_path is not None:
        write_text_safely(outputs.json_path, to_json(findings))
        written.append(("JSON", outputs.json_path))
    if outputs.csv_directory is not None:
        write_csv(findings, outputs.csv_directory)
        written.append(("CSV", outputs.csv_directory))
    if outputs.report is not None:
        from halfpoint.publish.report import write_report

        with console.status("Setting the report"):
            write_report(findings, outputs.report, paper=outputs.paper)
        written.append(("Report", outputs.report))
    if collected.gathered is not None and collected.gathered.held:
        from halfpoint.collect.table.gather import write_held

        beside = _held_path(outputs, collected.source)
        write_held(collected.gathered.held, beside)
        written.append(("Held rows, to mend and give again", beside))
    for name, path in written:
        console.print(f"{name}: {path}")


def _held_path(outputs: Outputs, source: Path) -> Path:
    """held.csv, but never over the file that was just read."""
    folder = outputs.csv_directory or Path()
    path = folder / 'held.csv'
    return folder / 'held-again.csv' if path.resolve() == source.resolve() else path
