"""`halfpoint print --sheets`: score sheets from the plan in the record."""

from __future__ import annotations

import json
import shutil
from contextlib import closing
from pathlib import Path

import jsonschema
import pypdfium2
import pytest
from click.testing import Result
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.collect.paper.print import layout_schema
from halfpoint.errors import HalfpointError, OutputError, SheetError, UsageError

TASTING = """
[tasting]
key = "spring"
title = "Spring round (invented)"
sheet = "SHEET"
invented = true
[plan]
seats = 3
capacity = 6
[[site]]
key = "north"
name = "North room"
[[site]]
key = "south"
name = "South room"
"""
WINES = ''.join(f'[[wine]]\nkey = "w{n}"\nname = "Zq Ossel {n}"\n' for n in range(5))
WIDE = 'key = "wide"\nlabel = "Wide"\n' + ''.join(
    f'[[category]]\nkey = "c{n}"\nlabel = "C{n}"\ntop = 5\nstep = 0.5\n' for n in range(8)
)


def halfpoint(*arguments: object) -> Result:
    """Run the command line."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def ran(*arguments: object) -> str:
    """Run the command line where it ends well, and give what it said."""
    told = halfpoint(*arguments)
    assert 0 == told.exit_code, told.exception
    return told.output


@pytest.fixture(scope='module')
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with tasting files of two sheets, and their plans in the record."""
    folder = tmp_path_factory.mktemp('spring')
    (folder / 'wide.toml').write_text(WIDE)
    for name, sheet in (('spring', 'twenty-point'), ('tall', 'wide.toml')):
        (folder / f'{name}.toml').write_text(TASTING.replace('SHEET', sheet) + WINES)
        ran('plan', folder / f'{name}.toml', '--into', folder / f'{name}-plan')
    return folder


@pytest.fixture
def folder(once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of it, to work in."""
    shutil.copytree(once, tmp_path / 'spring')
    monkeypatch.chdir(tmp_path / 'spring')
    return tmp_path / 'spring'


def pages(path: Path) -> list[str]:
    """The text of each page."""
    with closing(pypdfium2.PdfDocument(path)) as document:
        return [page.get_textpage().get_text_bounded() for page in document]


def test_every_site_gets_its_sheets_and_spares(folder: Path) -> None:
    """Three seats with five wines at four a page are six sheets; spares are apart."""
    said = ran('print', 'spring.toml', '--sheets', '--into', 'papers', '--blanks', '2')
    assert "12 score sheets and 4 spares in papers" in said
    assert "4 wines a page" in said
    assert 6 == len(pages(folder / 'papers/north/score-sheets.pdf'))
    spares = pages(folder / 'papers/south/spare-sheets.pdf')
    assert [1, 1] == [page.count(f'Spare sheet {n}') for n, page in enumerate(spares, start=1)]


def test_codes_are_those_of_the_plan_and_no_wine_is_named(folder: Path) -> None:
    """Each seat's codes are on its sheets; no sheet has the name of a wine."""
    ran('print', 'spring.toml', '--sheets', '--into', 'papers', '--blanks', '1')
    plan = json.loads((folder / 'spring-plan/plan.json').read_text())
    sheets = pages(folder / 'papers/north/score-sheets.pdf')
    for seat in (1, 2, 3):
        mine = ''.join(page for page in sheets if f'Seat {seat}' in page.splitlines())
        codes = [p['code'] for p in plan['pours'] if (p['site'], p['seat']) == ('north', seat)]
        assert 5 == len(codes)
        assert all(code in mine for code in codes)
    everything = ''.join(''.join(pages(path)) for path in (folder / 'papers').rglob('*.pdf'))
    assert 'Zq' not in everything
    assert 'Ossel' not in everything


def test_the_layout_is_written_by_its_schema(folder: Path) -> None:
    """--layout writes where everything stands, for the wines a page that were asked for."""
    options = ('--wines-a-page', '5', '--layout', 'layout.json', '--site', 'South room')
    said = ran('print', 'spring.toml', '--sheets', '--into', 'papers', *options)
    layout = json.loads((folder / 'layout.json').read_text())
    jsonschema.Draft202012Validator(layout_schema()).validate(layout)
    assert (5, 5) == (layout['wines_a_page'], len(layout['blocks']))
    assert "3 score sheets in papers" in said
    assert ['south'] == [path.name for path in (folder / 'papers').iterdir()]


def test_a_tall_sheet_gets_fewer_wines_a_page(folder: Path) -> None:
    """Unless told otherwise as many wines as fit; asked for more, the number that fits is named."""
    assert "3 wines a page" in ran('print', 'tall.toml', '--sheets', '--into', 'papers')
    told = halfpoint('print', 'tall.toml', '--sheets', '--into', 'more', '--wines-a-page', '4')
    assert isinstance(told.exception, SheetError)
    assert "print with --wines-a-page 3" == told.exception.remedy
    assert not (folder / 'more').exists()


@pytest.mark.parametrize(
    ('options', 'refusal', 'found'),
    [
        (['--blanks', '3'], UsageError, "--blanks is about score sheets"),
        (['--layout', 'l.json'], UsageError, "--layout is about score sheets"),
        (['--sheets', '--only', 'bag-tags'], UsageError, "--only does not go with --sheets"),
        (['--sheets', '--bagging', 'organiser'], UsageError, "--bagging does not go"),
        (['--sheets', '--wines-a-page', '6'], UsageError, "6"),
        (['--sheets', '--wines-a-page', '0'], UsageError, "0"),
        (['--sheets', '--blanks', '-1'], UsageError, "-1"),
        (['--sheets', '--layout', 'none/l.json'], OutputError, "could not be written"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused(
    folder: Path, options: list[str], refusal: type[HalfpointError], found: str
) -> None:
    """Options that contradict each other or say too much are refused, and nothing is printed."""
    told = halfpoint('print', 'spring.toml', '--into', 'papers', *options)
    assert isinstance(told.exception, refusal)
    assert found in told.exception.found
    assert not (folder / 'papers').exists()


def test_without_the_parts_for_paper_it_says_how_to_get_them(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where zxing-cpp is not installed, the extra to install is named."""
    monkeypatch.setattr('importlib.util.find_spec', lambda _name: None)
    told = halfpoint('print', 'spring.toml', '--sheets', '--into', 'papers')
    assert isinstance(told.exception, UsageError)
    assert "halfpoint[paper]" in told.exception.remedy
