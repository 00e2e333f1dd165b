"""The pages about the score sheet and the tasting file say what the code does."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import builtin_sheets, builtin_text
from halfpoint.sheet.soundness import RESERVED
from halfpoint.tasting.load import load_tasting
from key_tables import KEYS, PAGES, with_keys

DOCS = Path(__file__).parents[2] / 'docs'
SHEET_PAGE, TASTING_PAGE = PAGES
EXAMPLES = [
    example
    for path in (*PAGES, DOCS / 'how-to/make-your-own-sheet.md')
    for example in re.findall(r'```toml\n(.*?)```', path.read_text('utf-8'), re.DOTALL)
]


@pytest.mark.parametrize('path', PAGES, ids=lambda path: path.name)
def test_tables_of_keys_are_fresh(path: Path) -> None:
    """Every key and default is there as in the code (mend with `python tools/key_tables.py`)."""
    page = path.read_text('utf-8')
    assert with_keys(page) == page


def test_every_table_has_its_keys_on_a_page() -> None:
    """No table of either file is left out."""
    named = [name for path in PAGES for name in KEYS.findall(path.read_text('utf-8'))]
    sheet = 'Sheet Category Guidance AromaFamily Fault FinishBand'
    tasting = 'Event Wine Site Taster Planning Components Printing'
    assert [*sheet.split(), *tasting.split()] == named


def test_there_are_examples() -> None:
    """The pages show a whole sheet and whole tasting files."""
    assert 4 == len(EXAMPLES)


@pytest.mark.parametrize('example', EXAMPLES)
def test_every_example_is_accepted(example: str, tmp_path: Path) -> None:
    """A reader may copy any TOML on the pages."""
    (tmp_path / 'ours.toml').write_text(builtin_text('twenty-point'), 'utf-8')
    path = tmp_path / 'example.toml'
    path.write_text(example, 'utf-8')
    if 'category' in tomllib.loads(example):
        assert 15 == Sheet.model_validate(tomllib.loads(example)).top
    else:
        assert load_tasting(path).wines


def test_names_that_a_category_may_not_have_are_listed() -> None:
    """The page names every reserved column."""
    page = SHEET_PAGE.read_text('utf-8')
    assert [] == [name for name in sorted(RESERVED) if f'`{name}`' not in page]


def test_built_in_sheets_are_on_the_page() -> None:
    """Each has its row."""
    page = SHEET_PAGE.read_text('utf-8')
    assert [] == [name for name in builtin_sheets() if f'| `{name}` |' not in page]
