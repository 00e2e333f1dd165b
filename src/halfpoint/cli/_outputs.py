"""Where `results` writes: checked before the work, written whole after it."""

from __future__ import annotations

import errno
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import typer

from halfpoint.errors import OutputError, UsageError

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.cli._weighing import Collected
    from halfpoint.estimate.findings import Findings

HELD = 'held.csv'
# What `--csv` writes; a table of marks under one of these names is not written over.
CSV_NAMES = (
    'wines.csv',
    'pairs.csv',
    'components.csv',
    'ranks.csv',
    'categories.csv',
    'covariates.csv',
    'suspect_bottles.csv',
    'tasters.csv',
    'scale_use.csv',
    'panel.csv',
    'decisions.csv',
    'terms.csv',
    'finish.csv',
    HELD,
)


@dataclass(frozen=True, slots=True)
class Outputs:
    """What to write, checked. `json_to_terminal` puts the JSON alone on standard output."""

    json_path: Path | None
    json_to_terminal: bool
    csv_directory: Path | None
    report: Path | None
    paper: Literal['a4', 'us-letter']


def check_outputs(
    *,
    source: Path | None = None,
    json_to: str | None,
    csv_to: Path | None,
    report: Path | None,
    paper: str,
) -> Outputs:
    """Refuse now what would fail after the work, or would write over the marks.

    Raises:
        UsageError: an unknown paper, or one file for two things.
        OutputError: a folder that does not exist or may not be written.
    """
    papers: dict[str, Literal['a4', 'us-letter']] = {'a4': 'a4', 'letter': 'us-letter'}
    if paper.lower() not in papers:
        raise UsageError(f'"{paper}"', where='--paper', expected='a4 or letter')
    json_path = None if json_to in (None, '-') else Path(str(json_to))
    for option, path in (('--json', json_path), ('--report', report)):
        if path is not None:
            check_file(option, path)
    if csv_to is not None:
        _check_folder(csv_to)
    refuse_same(
        {
            'the marks': source,
            '--json': json_path,
            '--report': report,
            **{f'{name} of --csv': csv_to / name for name in CSV_NAMES if csv_to},
        }
    )
    return Outputs(json_path, json_to == '-', csv_to, report, papers[paper.lower()])


def check_file(option: str, path: Path) -> None:
    """Refuse now a file that could not be written later.

    Raises:
        OutputError: it is a folder, or its folder is not there or may not be written to.
    """
    if path.is_dir():
        raise OutputError(f'{path} is a folder', where=option, expected='a file name')
    folder = path.parent
    if not folder.is_dir():
        raise OutputError(
            f'the folder {folder} does not exist', where=option, remedy='make it first'
        )
    _check_writable(option, folder)


def _check_folder(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise OutputError(f'{folder} is a file', where='--csv', expected='a folder')
    standing = next(each for each in (folder, *folder.absolute().parents) if each.exists())
    _check_writable('--csv', standing)


def _check_writable(option: str, folder: Path) -> None:
    if not os.access(folder, os.W_OK):
        reason = os.strerror(errno.EACCES)
        raise OutputError(f'{folder}: {reason}', where=option, remedy='choose another folder')


def refuse_same(paths: Mapping[str, Path | None]) -> None:
    """Nothing is written over what is read, nor one output over another.

    Args:
        paths: what each file is for, and the file.

    Raises:
        UsageError: one file would be two things.
    """
    taken: dict[Path, str] = {}
    for use, path in paths.items():
        if path is None or (path.exists() and not path.is_file()):
            continue
        other = taken.setdefault(path.resolve(), use)
        if other != use:
            raise UsageError(
                f'{path} would be both {other} and {use}',
                where=use,
                expected='a file of its own for each',
            )


def keep_held(outputs: Outputs, collected: Collected) -> tuple[Path, ...]:
    """Write the rows that a table could not hand over, for mending; give where they are.

    Beside the other tables where there are any, and else as `held.csv` here, but never over
    a file of that name with something else in it.
    """
    if collected.gathered is None or not collected.gathered.held:
        return ()
    from halfpoint.cli._held_files import write_held_files
    from halfpoint.collect.table.gather import write_held
    from halfpoint.writing import make_folder_safely

    held = collected.gathered.held
    if outputs.csv_directory is None:
        return write_held_files(Path(HELD), before=held, now=held, gathered=())
    make_folder_safely(outputs.csv_directory)
    write_held(held, outputs.csv_directory / HELD)
    return (outputs.csv_directory / HELD,)


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
    # Again, because the CSV tables have a shorter list of the held rows under the same name.
    kept = keep_held(outputs, collected)
    written += [("Held rows, to mend and give again", path) for path in kept]
    for name, path in written:
        console.print(f"{name}: {path}", soft_wrap=True)
