"""`halfpoint print`: the plan on paper, from the record or from a file."""

from __future__ import annotations

import json
import shutil
from contextlib import closing
from pathlib import Path

import pypdfium2
import pytest
from click.testing import Result
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.errors import FileNotReadable, InputError, OutputError, UsageError

TASTING = """
[tasting]
key = "spring"
title = "Spring round (invented)"
invented = true
[plan]
seats = 3
[[site]]
key = "north"
name = "North room"
[[site]]
key = "south"
name = "South room"
[[wine]]
key = "w1"
name = "Zq Ossel Hill"
[[wine]]
key = "w2"
name = "Zq Brack Lane"
"""


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
    """A folder with a tasting file and its plan in the record."""
    folder = tmp_path_factory.mktemp('spring')
    (folder / 'spring.toml').write_text(TASTING)
    ran('plan', folder / 'spring.toml', '--into', folder / 'plan')
    return folder


@pytest.fixture
def folder(once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of it, to work in."""
    shutil.copytree(once, tmp_path / 'spring')
    monkeypatch.chdir(tmp_path / 'spring')
    return tmp_path / 'spring'


def text(path: Path) -> str:
    """The text of a PDF."""
    with closing(pypdfium2.PdfDocument(path)) as document:
        return ' '.join(page.get_textpage().get_text_bounded() for page in document)


def test_the_plan_in_the_record_is_printed(folder: Path) -> None:
    """Codes on the labels are those of the recorded plan; what names wines is told."""
    said = ran('print', 'spring.toml', '--into', 'papers')
    plan = json.loads((folder / 'plan' / 'plan.json').read_text())
    codes = {pour['code'] for pour in plan['pours'] if pour['site'] == 'north'}
    label = text(folder / 'papers' / 'north' / 'seat-labels.pdf')
    assert codes <= set(label.split())
    assert "22 papers in papers" in said
    assert "names-the-wines and organiser name the wines" in said


def test_no_wine_is_named_outside_the_folders_that_say_so(folder: Path) -> None:
    """Of all that was printed, only those folders hold papers with a wine's name."""
    ran('print', 'spring.toml', '--into', 'papers')
    naming = {
        path.relative_to(folder / 'papers').as_posix()
        for path in (folder / 'papers').rglob('*.pdf')
        if 'Zq' in text(path)
    }
    listed = {
        f'{s}/names-the-wines/cellar-{k}.pdf' for s in ('north', 'south') for k in ('key', 'list')
    }
    joined = {'all-cellar-key.pdf', 'all-cellar-list.pdf', 'shopping-list.pdf'}
    assert listed | {f'organiser/{name}' for name in joined} == naming


def test_options_narrow_it_down(folder: Path) -> None:
    """One site by its name, two kinds, on Letter."""
    said = ran(
        'print', 'spring.toml', '--into', 'papers', '--paper', 'letter', '--site', 'South room',
        '--only', 'pour-sheet,run-sheet',
    )  # fmt: skip
    assert "2 papers in papers" in said
    written = {path.name for path in (folder / 'papers' / 'south').iterdir()}
    assert {'pour-sheet.pdf', 'run-sheet.pdf'} == written
    with closing(pypdfium2.PdfDocument(folder / 'papers/south/run-sheet.pdf')) as document:
        assert (612, 792) == tuple(round(length) for length in document[0].get_size())


def test_a_plan_from_a_file_is_printed(folder: Path) -> None:
    """Without a record, --plan names the plan; the same plan may be given beside the record."""
    arguments = ('--plan', 'plan/plan.json', '--only', 'bag-tags')
    assert "3 papers" in ran('print', 'spring.toml', '--into', 'papers', *arguments)
    (folder / 'spring.ledger').unlink()
    assert "3 papers" in ran('print', 'spring.toml', '--into', 'papers', *arguments)


def test_without_a_plan_it_says_how_to_make_one(folder: Path) -> None:
    """No plan in the record and none given: the command to run is named, and nothing written."""
    (folder / 'spring.ledger').unlink()
    told = halfpoint('print', 'spring.toml', '--into', 'papers')
    assert isinstance(told.exception, UsageError)
    assert "halfpoint plan spring.toml" in told.exception.remedy
    assert not (folder / 'papers').exists()


def test_another_plan_than_the_recorded_is_refused(folder: Path) -> None:
    """Papers from a plan that entries are not checked against would have every entry held."""
    plan = (folder / 'plan' / 'plan.json').read_text().replace('"seat": 3', '"seat": 4')
    (folder / 'other.json').write_text(plan)
    told = halfpoint('print', 'spring.toml', '--into', 'papers', '--plan', 'other.json')
    assert isinstance(told.exception, UsageError)
    assert "is not the plan in the record" in told.exception.found


@pytest.mark.parametrize(
    ('options', 'refusal', 'found', 'expected'),
    [
        (['--only', 'pour-shet'], UsageError, "'pour-shet'", "did you mean 'pour-sheet'?"),
        (['--site', 'nrth'], UsageError, "'nrth'", "did you mean 'north'?"),
        (['--paper', 'a5'], UsageError, '"a5"', "a4 or letter"),
        (['--bagging', 'me'], UsageError, '"me"', "host or organiser"),
        (['--plan', 'none.json'], FileNotReadable, "no such file", "plan.json"),
        (['--plan', 'spring.toml'], InputError, "invalid json", "a plan"),
        (['--into', 'spring.toml'], OutputError, "could not be written", "a folder"),
    ],
)
def test_what_does_not_fit_is_refused(
    folder: Path, options: list[str], refusal: type[InputError], found: str, expected: str
) -> None:
    """Each refusal says what was found and what was expected, and nothing is written."""
    told = halfpoint('print', 'spring.toml', '--into', 'papers', *options)
    assert isinstance(told.exception, refusal)
    assert found in told.exception.found
    assert expected in told.exception.expected
    assert not (folder / 'papers').exists()


def test_a_tasting_that_changed_since_is_told(folder: Path) -> None:
    """More seats than the plan has: the papers are printed, and a word says to plan again."""
    (folder / 'spring.toml').write_text(TASTING.replace('seats = 3', 'seats = 4'))
    said = ran('print', 'spring.toml', '--into', 'papers', '--only', 'bag-tags')
    assert "other sites or seats than the plan" in said


def test_printing_changes_nothing_in_the_record(folder: Path) -> None:
    """Printing reads the record and writes papers."""
    before = (folder / 'spring.ledger').read_bytes()
    ran('print', 'spring.toml', '--into', 'papers', '--only', 'bag-tags')
    assert before == (folder / 'spring.ledger').read_bytes()
