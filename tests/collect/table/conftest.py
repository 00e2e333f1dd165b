"""Tables to read, the sheets they are read by, and an invented tasting."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from halfpoint.sheet.form import Category, Sheet
from halfpoint.sheet.load import load_sheet
from halfpoint.tasting.model import Site, Taster, Tasting, Wine

Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Write text or bytes to a file of a name, and give its path."""

    def write_file(content: str | bytes, name: str = 'marks.csv') -> Path:
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write_file


@pytest.fixture(scope='session')
def twenty() -> Sheet:
    """The built-in sheet of twenty points."""
    return load_sheet('twenty-point')


@pytest.fixture(scope='session')
def short() -> Sheet:
    """A sheet of two categories: aroma to 6 and taste to 6, in half points."""
    categories = tuple(
        Category(key=key, label=key.title(), top=6, step=0.5) for key in ('aroma', 'taste')
    )
    return Sheet(key='short', label="Short", categories=categories)


@pytest.fixture
def league(short: Sheet, tmp_path: Path) -> Tasting:
    """An invented tasting: two wines, two sites, three tasters."""
    return Tasting(
        key='invented',
        title="Invented tasting",
        invented=True,
        sheet=short,
        wines=(Wine(key='w1', name="Hillside White"), Wine(key='w2', name="Harbour Red")),
        sites=(Site(key='mill', name="The Old Mill"), Site(key='quay', name="Quay House")),
        tasters=(
            Taster(key='ann', name="Ann Aster", site='mill'),
            Taster(key='ben', name="Ben Briar", site='quay'),
            Taster(key='cid', name="Cid Clover"),
        ),
        ledger=tmp_path / 'ledger',
        source=tmp_path / 'tasting.toml',
    )
