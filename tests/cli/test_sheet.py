"""`halfpoint sheet`."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from halfpoint.cli.main import app
from halfpoint.errors import SheetError
from halfpoint.sheet.load import builtin_sheets, load_sheet
from halfpoint.sheet.schema import sheet_schema


def run(*options: str) -> Result:
    """The command with these options."""
    return CliRunner().invoke(app, ['sheet', *options], catch_exceptions=False)


def test_the_common_sheet_is_shown_in_words() -> None:
    """Without a name it is the twenty-point sheet, halves written ½."""
    output = run().output
    for words in (
        "Twenty points, 0 to 20 in all",
        "Aroma: 0 to 6 in half points",
        "1½ to 2½  A doubt",
        "lemon, lime",
        "Usually 2½ or less for appearance.",
        "30 to 40 s; usually 2 to 2½ for aftertaste",
    ):
        assert words in output


@pytest.mark.parametrize('name', builtin_sheets())
def test_all_guidance_is_shown(name: str) -> None:
    """Every category, term and fault of every built-in sheet is there."""
    output = ' '.join(run(name).output.split())
    sheet = load_sheet(name)
    for part in (*sheet.categories, *sheet.families, *sheet.faults, *sheet.finish):
        assert part.label in output


def test_brackets_in_words_are_only_brackets(tmp_path: Path) -> None:
    """What people write in their sheet is never taken as a command to the terminal."""
    path = tmp_path / 'ours.toml'
    category = (
        '[[category]]\nkey = "taste"\nlabel = "[red]Taste[/]"\ntop = 1\nstep = 1\nweight = 2\n'
    )
    path.write_text(f'key = "ours"\nlabel = "Ours"\n{category}', 'utf-8')
    assert "[red]Taste[/]: 0 to 1 in whole points, counted 2 times" in run(str(path)).output


def test_the_list_names_every_sheet() -> None:
    """One line a sheet."""
    lines = run('--list').output.splitlines()
    assert list(builtin_sheets()) == [line.split()[0] for line in lines]


def test_a_built_in_sheet_can_be_copied() -> None:
    """What is printed is the file itself."""
    assert 'liking' == tomllib.loads(run('liking', '--toml').output)['key']


def test_the_schema_is_printed() -> None:
    """As JSON, the same as the code has it."""
    assert sheet_schema() == json.loads(run('--schema').output)


def test_an_unknown_name_is_refused() -> None:
    """The refusal passes through to the one place that reports it."""
    with pytest.raises(SheetError, match="did you mean 'liking'"):
        run('likin')
