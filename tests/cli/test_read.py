"""`halfpoint read`: scans into the record, and what is said of them."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from tests.cli.paper import (
    Unread,
    doubtful,
    make_tasting,
    printed,
    ran,
    reading,
    scan,
    state_of,
    tasting_in,
)
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import HeldPage, Look
from halfpoint.errors import FileNotReadable, HalfpointError, OutputError, UsageError
from halfpoint.publish.export.readings import readings_schema
from halfpoint.tasting.model import Tasting

LOOK = Look('aroma', 'two', Rectangle(6, 36, 100, 6), choices=(4.5, 5.0))
BLACK = HeldPage('black-and-white', "a picture in black and white only", "grey", "scan in grey")


@pytest.fixture(scope='module')
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the tasting and its plan."""
    folder = tmp_path_factory.mktemp('spring')
    make_tasting(folder)
    return folder


@pytest.fixture
def tasting(once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Tasting:
    """A copy of it, to work in."""
    shutil.copytree(once, tmp_path / 'spring')
    monkeypatch.chdir(tmp_path / 'spring')
    return tasting_in(Path())


@pytest.fixture
def unread(tasting: Tasting, monkeypatch: pytest.MonkeyPatch) -> Unread:
    """All twelve pages in one file: a doubtful mark on the first, the last one held."""
    pages = [reading(page) for page in printed(tasting)]
    pages[0] = doubtful(pages[0], 2, LOOK)
    outcomes = {('all.tiff', n): page for n, page in enumerate(pages, 1)}
    batch = Unread({**outcomes, ('all.tiff', 12): BLACK})
    monkeypatch.setattr('halfpoint.collect.paper.read.process.batch_for', batch)
    scan(Path('scans/all.tiff'), 12)
    return batch


def refusal(*arguments: object) -> HalfpointError:
    """How the command refuses."""
    told = CliRunner().invoke(app, [str(each) for each in arguments])
    assert isinstance(told.exception, HalfpointError), told.output
    return told.exception


def test_it_says_what_became_of_the_pages(tasting: Tasting, unread: Unread) -> None:
    """Pages read and held with the reason, entries, what waits, what is missing, what next."""
    said = ran('read', 'spring.toml', 'scans')

    assert 'scans/all.tiff: 11 pages read, 1 held' in said
    assert '  page 12: a picture in black and white only; scan in grey' in said
    assert '28 new entries; 28 in the record' in said
    assert '1 page of the plan not seen yet:\n  South room: seat 3 (sheet 2)' in said
    assert '1 doubtful mark needs a look: halfpoint read spring.toml --review' in said
    assert 28 == len(state_of(tasting).entries)


def test_it_names_no_wine(unread: Unread) -> None:
    """Neither the words, nor the JSON, nor the table of marks tell what was poured."""
    said = ran('read', 'spring.toml', 'scans', '--json', 'out.json', '--marks', 'm.csv', '--all')
    said += ran('read', 'spring.toml', '--review', '--list')
    for text in (said, Path('out.json').read_text(), Path('m.csv').read_text()):
        assert 'zq' not in text.lower()


def test_reading_again_reads_and_adds_nothing(tasting: Tasting, unread: Unread) -> None:
    """Known pages are not looked at; the JSON tells of them all the same."""
    ran('read', 'spring.toml', 'scans', '--json', 'first.json')
    unread.looked_at.clear()
    said = ran('read', 'spring.toml', 'scans', '--json', 'again.json')

    assert [] == unread.looked_at
    assert 'scans/all.tiff: 0 pages read, 12 already read' in said
    assert 28 == len(state_of(tasting).entries)
    first, again = (json.loads(Path(n).read_text())['pages'] for n in ('first.json', 'again.json'))
    assert [page | {'status': ''} for page in first] == [page | {'status': ''} for page in again]
    assert {'seen before', 'held'} == {page['status'] for page in again}


def test_the_same_pages_in_another_file_add_nothing(tasting: Tasting, unread: Unread) -> None:
    """A second scan of the same sheets makes no entry; one that says otherwise waits."""
    ran('read', 'spring.toml', 'scans')
    pages = [reading(page) for page in printed(tasting)]
    marks = {**pages[1].pours[0].marks, 'taste': 1.0}
    changed = replace(pages[1], pours=(replace(pages[1].pours[0], marks=marks),))
    unread.outcomes = {('more.tiff', 1): pages[2], ('more.tiff', 2): changed}
    scan(Path('more.tiff'), 2, grey=90)
    said = ran('read', 'spring.toml', 'more.tiff', '--json', 'out.json')

    assert 'more.tiff: 0 pages read, 1 already read, 1 other picture' in said
    assert 'page 2: another picture of north, seat 1, sheet 2' in said
    assert '1 other picture waits for a choice' in said
    statuses = [page['status'] for page in json.loads(Path('out.json').read_text())['pages']]
    assert ['seen before', 'another picture'] == statuses


def test_the_json_is_as_its_schema_says(unread: Unread) -> None:
    """A page a line, in the order of the file, with a look where a mark is null."""
    ran('read', 'spring.toml', 'scans', '--json', 'out.json')
    text = Path('out.json').read_text(encoding='utf-8')
    document = json.loads(text)
    jsonschema.validate(document, readings_schema(), cls=jsonschema.Draft202012Validator)

    assert list(range(1, 13)) == [page['page'] for page in document['pages']]
    assert 14 == len(text.splitlines())
    pour = document['pages'][0]['pours'][1]
    assert pour['marks']['aroma'] is None
    says = 'more than one circle is marked'
    expected = {
        'field': 'aroma', 'about': '', 'reason': 'two', 'says': says, 'choices': [4.5, 5.0]
    }  # fmt: skip
    assert [expected] == pour['needs_look']
    assert 'black-and-white' == document['pages'][11]['held']['reason']


def test_json_alone_on_standard_output(unread: Unread) -> None:
    """With `--json -` nothing else is on standard output, and the words are beside it."""
    told = CliRunner().invoke(app, ['read', 'spring.toml', 'scans', '--json', '-'])
    assert 12 == len(json.loads(told.stdout)['pages'])
    assert '28 new entries' in told.stderr


def test_the_table_of_marks_can_be_gathered(tasting: Tasting, unread: Unread) -> None:
    """Gathered into a record with the same plan, it makes the same entries."""
    shutil.copytree('.', '../other')
    ran('read', 'spring.toml', 'scans', '--marks', '../other/m.csv')
    said = ran('gather', '../other/spring.toml', '../other/m.csv')

    assert '28 new entries, 0 already there, 0 held' in said
    ours, theirs = (state_of(t).entries.values() for t in (tasting, tasting_in(Path('../other'))))
    assert sorted(map(repr, (each.now for each in ours))) == sorted(
        map(repr, (each.now for each in theirs))
    )


def test_a_file_that_cannot_be_read_is_named_at_the_end(tasting: Tasting, unread: Unread) -> None:
    """The rest goes on and is recorded; the code is that of the last refusal."""
    Path('scans/a-note.pdf').write_text('no scan')
    told = CliRunner().invoke(app, ['read', 'spring.toml', 'scans', 'gone.pdf'])

    assert isinstance(told.exception, FileNotReadable)
    assert 'halfpoint: a-note.pdf: neither a PDF nor a picture' in told.stderr
    assert 28 == len(state_of(tasting).entries)


def test_an_interrupted_reading_goes_on_where_it_was(tasting: Tasting, unread: Unread) -> None:
    """What was read is recorded, the command ends with 130, and the next run reads the rest."""
    unread.stops_after = 5
    told = CliRunner().invoke(app, ['read', 'spring.toml', 'scans'])
    assert 130 == told.exit_code
    assert 'scans/all.tiff: 5 pages read' in told.output

    unread.stops_after = None
    unread.looked_at.clear()
    said = ran('read', 'spring.toml', 'scans')
    assert [('all.tiff', n) for n in range(6, 13)] == unread.looked_at
    assert '6 pages read, 5 already read, 1 held' in said
    assert 28 == len(state_of(tasting).entries)


def test_a_copy_of_a_file_is_not_read_twice(unread: Unread) -> None:
    """Two files with the same bytes in one run are one."""
    shutil.copy('scans/all.tiff', 'scans/copy.tiff')
    ran('read', 'spring.toml', 'scans')
    assert 12 == len(unread.looked_at)


def test_pictures_are_kept(tasting: Tasting, unread: Unread) -> None:
    """Every page that was read has its picture beside the record."""
    ran('read', 'spring.toml', 'scans')
    assert 11 == len(list(Path('spring.ledger.pages').rglob('*.jpg')))


def test_many_files_are_told_in_sum(tasting: Tasting, unread: Unread) -> None:
    """Of many photographs those are named of which something is to be said; --all names all."""
    pages = [reading(page) for page in printed(tasting)]
    unread.outcomes = {(f'p{n:02}.png', 1): page for n, page in enumerate(pages)}
    unread.outcomes |= {('p11.png', 1): BLACK, ('p12.png', 1): BLACK}
    for n in range(13):
        scan(Path(f'photos/p{n:02}.png'), grey=100 + n)
    said = ran('read', 'spring.toml', 'photos')
    assert 'photos/p12.png: 0 pages read, 1 held' in said
    assert '11 more files: 11 pages read (--all lists them)' in said
    assert 'photos/p03.png: 0 pages read, 1 already read' in ran(
        'read', 'spring.toml', 'photos', '--all'
    )


def test_glasses_that_nobody_marked_are_told(tasting: Tasting, unread: Unread) -> None:
    """A blank sheet makes no entry, and is not passed over in silence."""
    page = reading(printed(tasting)[1])
    empty = replace(page.pours[0], marks=dict.fromkeys(page.pours[0].marks), is_empty=True)
    unread.outcomes = {('all.png', 1): replace(page, pours=(empty,))}
    said = ran('read', 'spring.toml', scan(Path('all.png')))
    assert '0 new entries; 0 in the record\n1 glass has nothing marked at all' in said
    assert 'Nothing waits' not in said


def test_sites_and_seats_not_seen_are_told(tasting: Tasting, unread: Unread) -> None:
    """A seat without a page, and a site from which nothing has come."""
    pages = [page for page in printed(tasting) if page.identity.site == 'north']
    unread.outcomes = {('all.tiff', n): reading(pages[0]) for n in range(1, 13)}
    said = ran('read', 'spring.toml', 'scans')
    assert '11 pages of the plan not seen yet:' in said
    assert '  North room: seats 2, 3, 1 (sheet 2)' in said.replace(' and ', ', ')
    assert '  no page yet from South room' in said


def test_without_a_plan_nothing_can_be_read(tasting: Tasting) -> None:
    """The refusal says how a plan is made."""
    tasting.ledger.unlink()
    told = refusal('read', 'spring.toml', 'scans')
    assert isinstance(told, UsageError)
    assert 'no plan is in the record' == told.found
    assert 'halfpoint plan spring.toml' in told.remedy


@pytest.mark.parametrize(
    ('options', 'found'),
    [
        ([], 'nothing to read'),
        (['scans', '--review'], 'SCAN… and --review'),
        (['--review', '--audit', '5'], '--review and --audit'),
        (['scans', '--list'], '--list beside SCAN…'),
        (['--review', '--json', 'out.json'], '--json beside --review'),
        (['--audit', '5', '--show', 'file'], '--show beside --audit'),
        (['--review', '--seed', '0'], '--seed beside --review'),
        (['scans', '--workers', '0'], '0'),
        (['--audit', '0'], '0'),
        (['--review', '--show', 'wall'], "'wall'"),
        (['scans', '--json', 'spring.toml'], 'spring.toml would be both'),
        (['scans', '--json', 'o', '--marks', 'o'], 'o would be both'),
        (['scans/all.tiff', '--marks', 'scans/all.tiff'], 'scans/all.tiff would be both'),
    ],
)
def test_options_that_do_not_go_together(unread: Unread, options: list[str], found: str) -> None:
    """One thing at a time, each with its own options, and no file for two things."""
    told = refusal('read', 'spring.toml', *options)
    assert isinstance(told, UsageError)
    assert told.found.startswith(found)
    assert [] == unread.looked_at


def test_a_place_that_cannot_be_written_is_refused_before_reading(unread: Unread) -> None:
    """The folder of --json is looked at first."""
    assert isinstance(refusal('read', 'spring.toml', 'scans', '--json', 'no/o'), OutputError)
    assert [] == unread.looked_at


def test_without_the_parts_for_paper_it_says_how_to_get_them(
    tasting: Tasting, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Missing parts are named as they are installed."""
    monkeypatch.setattr('importlib.util.find_spec', lambda _name: None)
    told = refusal('read', 'spring.toml', 'scans')
    assert 'opencv-python-headless' in told.found
    assert 'halfpoint[paper]' in told.remedy
