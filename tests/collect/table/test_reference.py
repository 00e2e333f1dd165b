"""The page about tables says what the code does."""

from __future__ import annotations

from pathlib import Path

import pytest

from halfpoint.collect.table import archive, aside, columnar, extent, header, names, objections
from halfpoint.collect.table.words import CATEGORY_WORDS, ROLE_WORDS

PAGE = (Path(__file__).parents[3] / 'docs/reference/tables.md').read_text(encoding='utf-8')


@pytest.mark.parametrize(('role', 'words'), (ROLE_WORDS | CATEGORY_WORDS).items())
def test_every_word_is_listed(role: str, words: tuple[str, ...]) -> None:
    """Each role's row on the page lists exactly the words that the code knows."""
    row = next(line for line in PAGE.splitlines() if line.startswith(f'| `{role}` |'))
    others = [word for word in words if word.replace(' ', '_') != role]

    assert others == row.split('|')[2].strip().split(', ')


@pytest.mark.parametrize(
    'limit',
    [
        header.MOST_COLUMNS,
        columnar.MOST_ROWS,
        extent.MOST_CELLS,
        objections.MOST_HELD,
        aside.LONGEST_REMARK,
        names.LONGEST_NAME,
        archive.MOST_RATIO,
    ],
)
def test_every_limit_is_told(limit: int) -> None:
    """The limits on the page are those of the code."""
    assert f'{limit:,}' in PAGE
