"""Starting the command costs little."""

from __future__ import annotations

import subprocess
import sys

import pytest

from halfpoint.cli.main import COMMANDS

HEAVY = frozenset({'polars', 'numpy', 'scipy', 'altair', 'typst', 'vl_convert', 'rapidfuzz'})

IMPORT = 'import sys, halfpoint, halfpoint.cli.main'
HELP = """
import sys
from typer.testing import CliRunner
from halfpoint.cli.main import app
assert CliRunner().invoke(app, {}).exit_code == 0
"""


def _imported(script: str, parts: frozenset[str]) -> str:
    report = f'{script}\nprint(*sorted({set(parts)} & set(sys.modules)))'
    told = subprocess.run(
        [sys.executable, '-c', report], capture_output=True, text=True, check=True
    )
    return told.stdout.strip()


@pytest.mark.parametrize('script', [IMPORT, HELP.format(['--help'])], ids=['import', 'help'])
def test_nothing_heavy_is_imported(script: str) -> None:
    """Importing the command line, and asking it for help, imports no heavy part."""
    assert '' == _imported(script, HEAVY | {'pydantic'})


@pytest.mark.parametrize('name', COMMANDS)
def test_help_of_a_command_imports_nothing_heavy(name: str) -> None:
    """Asking one command for help imports no heavy part (Typer itself brings in Pydantic)."""
    assert '' == _imported(HELP.format([name, '--help']), HEAVY)
