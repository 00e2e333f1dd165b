"""The `halfpoint` command: one module per command, and the one place that reports refusals."""

from __future__ import annotations

import errno
import os
import sys
from importlib import import_module
from typing import NoReturn

import typer

from halfpoint import __version__
from halfpoint.errors import DiskFull, HalfpointError

# In the order of a tasting. Each module in this package holds one function `command`,
# and imports nothing heavy before it is called.
COMMANDS: tuple[str, ...] = (
    'demo',
    'sheet',
    'guide',
    'plan',
    'power',
    'print',
    'serve',
    'gather',
    'read',
    'check',
    'correct',
    'set-aside',
    'results',
    'reveal',
    'practice',
    'years',
    'letters',
    'history',
    'verify',
)

app = typer.Typer(
    name='halfpoint',
    help="From many rooms of lay tasters to a wine result that can be defended.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    add_completion=False,
    rich_markup_mode=None,
)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"halfpoint {__version__}")
        raise typer.Exit


@app.callback()
def _main(
    version: bool = typer.Option(
        False, "--version", callback=_show_version, is_eager=True, help="Say the version."
    ),
) -> None:
    del version


for _name in COMMANDS:
    _module = import_module(f'halfpoint.cli.{_name.replace("-", "_")}')
    app.command(_name)(_module.command)


def run() -> None:
    """Run the command line; refusals become a message and a stable exit code."""
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except HalfpointError as refusal:
        _refuse(refusal)
    except OSError as reason:
        if reason.errno not in {errno.ENOSPC, errno.EDQUOT}:
            raise
        # What could not be written stays in the buffer, and would fail again at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        _refuse(
            DiskFull(
                "no space was left on the disk",
                where="standard output",
                remedy="make room, or choose another disk, and run the command again",
            )
        )


def _refuse(refusal: HalfpointError) -> NoReturn:
    typer.echo(f"halfpoint: {refusal}", err=True)
    sys.exit(refusal.exit_code)
