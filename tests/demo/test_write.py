"""The folder of the invented tasting is as messy as a real one, and can be read like one."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.collect.table.gather import Gathered, read_marks
from halfpoint.demo import write
from halfpoint.demo.mishaps import KINDS, spoil
from halfpoint.demo.names import invent_names
from halfpoint.demo.scenario import CATEGORIES, SITES, WINES, settings
from halfpoint.demo.sheets import invent_tasting
from halfpoint.demo.write import write_demo
from halfpoint.errors import DiskFull, UsageError
from halfpoint.tasting.load import load_tasting

FILES = (
    'east-rooms.csv', 'south-laptop.csv', 'west-rooms.xlsx', 'typed-by-hand.csv',
    'harbour-rooms.tsv', 'league-app.parquet',
)  # fmt: skip


@pytest.fixture(scope='module')
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented tasting, written once."""
    place = tmp_path_factory.mktemp('demo') / 'new' / 'tasting'
    write_demo(place, seed=1)
    return place


@pytest.fixture(params=FILES)
def file(request: pytest.FixtureRequest) -> str:
    """Each file of sheets in turn."""
    return request.param


@pytest.fixture
def gathered(folder: Path, file: str) -> Gathered:
    """The file as the reader of tables takes it."""
    tasting = load_tasting(folder / 'tasting.toml')
    return read_marks(folder / 'sheets' / file, sheet=tasting.sheet, tasting=tasting)


def _bytes(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob('*'))
        if path.is_file()
    }


def test_same_seed_writes_the_same_bytes(folder: Path, tmp_path: Path) -> None:
    """Written again with the seed of before, every file is the same; with another it is not."""
    write_demo(tmp_path / 'same', seed=1)
    write_demo(tmp_path / 'other', seed=2)
    assert _bytes(folder) == _bytes(tmp_path / 'same')
    other = _bytes(tmp_path / 'other')
    assert not {name for name, content in _bytes(folder).items() if other[name] == content}


def test_says_that_it_is_invented(folder: Path) -> None:
    """The title, the tasting file, the README and the truth each say that all is invented."""
    tasting = load_tasting(folder / 'tasting.toml')
    assert tasting.invented
    assert '(invented)' in tasting.title
    assert 'This tasting is invented.' in (folder / 'README.txt').read_text(encoding='utf-8')
    assert json.loads((folder / 'truth.json').read_text(encoding='utf-8'))['invented']


def test_tasting_file_names_everyone(folder: Path) -> None:
    """The tasting file loads, with eight wines, twenty rooms and all tasters in their rooms."""
    tasting = load_tasting(folder / 'tasting.toml')
    assert (8, 20, 240) == (len(tasting.wines), len(tasting.sites), len(tasting.tasters))
    seats = pl.Series([taster.site for taster in tasting.tasters]).value_counts()
    assert {site.key: site.tasters for site in SITES} == dict(seats.iter_rows())


def test_files_are_read_back_as_they_were_drawn(gathered: Gathered) -> None:
    """Every sheet that no mishap touched comes back from its file, mark for mark."""
    drawn = invent_tasting(1).sheets
    keys = ['taster', 'wine', 'site', 'position', *CATEGORIES, 'total']
    read = gathered.entries.select(keys).with_columns(
        pl.col('taster', 'wine', 'site').cast(pl.String)
    )
    assert len(read) == len(read.join(drawn, on=keys, how='semi'))
    here = drawn.filter(pl.col('site').is_in(read['site'].unique().to_list()))
    spoiled = [row for row in gathered.held if row.field != 'pour']
    assert len(here) - len(spoiled) == len(read)


def test_each_mishap_is_held_and_nothing_else(folder: Path, file: str, gathered: Gathered) -> None:
    """What went wrong on purpose is exactly what the reader of tables holds."""
    truth = json.loads((folder / 'truth.json').read_text(encoding='utf-8'))
    expected = [mishap for mishap in truth['mishaps'] if mishap['file'] == file]
    assert len(expected) == len(gathered.held)


def test_files_come_in_the_encodings_that_they_stand_for(folder: Path) -> None:
    """Windows-1252 without UTF-8, UTF-16 and UTF-8 with their marks, decimal commas, ½."""
    sheets = folder / 'sheets'
    windows = (sheets / 'south-laptop.csv').read_bytes()
    with pytest.raises(UnicodeDecodeError):
        windows.decode('utf-8')
    assert 'Grüner Veltliner;' in windows.decode('cp1252')
    assert ';4,5;' in windows.decode('cp1252')
    assert (sheets / 'harbour-rooms.tsv').read_bytes()[:2] in (b'\xff\xfe', b'\xfe\xff')
    typed = (sheets / 'typed-by-hand.csv').read_bytes()
    assert typed.startswith(b'\xef\xbb\xbf')
    assert ',4½,' in typed.decode('utf-8-sig')
    assert ',4 1/2,' in typed.decode('utf-8-sig')


def test_order_of_two_leading_wines_cannot_be_seen_with_the_eye() -> None:
    """The scenario's first two wines are a tenth of a point apart, far less than a bottle."""
    quality = sorted(settings().quality.sum(axis=1), reverse=True)
    assert 0.1 == pytest.approx(quality[0] - quality[1])
    assert quality[1] - quality[2] > 0.4


def test_aroma_words_and_faults_are_on_the_sheet(folder: Path) -> None:
    """Every word that is ticked, and every typical word of a wine, is on the score sheet."""
    sheet = load_tasting(folder / 'tasting.toml').sheet
    terms = {term.label for family in sheet.families for term in family.terms}
    assert {aroma for wine in WINES for aroma in wine.aromas} <= terms
    faults = {fault.key for fault in sheet.faults}
    ticked = invent_tasting(1).sheets['faults'].drop_nulls().str.split('; ').explode()
    assert set(ticked) <= faults


def test_spoiled_bottle_shows_in_faults() -> None:
    """In the room with the spoiled bottle about half tick a fault for that wine."""
    plan, sheets = settings(), invent_tasting(1).sheets
    assert plan.spoiled is not None
    here = (pl.col('site') == SITES[plan.spoiled.site].key) & (
        pl.col('wine') == WINES[plan.spoiled.wine].key
    )
    assert sheets.filter(here)['faults'].is_not_null().mean() > 0.3
    assert sheets.filter(~here)['faults'].is_not_null().mean() < 0.03


def test_no_row_is_spoiled_twice() -> None:
    """Every kind of mishap at once touches as many different rows."""
    sheets = invent_tasting(1).sheets.head(40)
    spoiled, mishaps = spoil(np.random.default_rng(1), sheets, 'a.csv', tuple(KINDS))
    assert len(KINDS) == len({(mishap.taster, mishap.wine) for mishap in mishaps})
    added = sum(kind.adds for kind in KINDS.values())
    assert (len(sheets) + added, sheets.schema) == (len(spoiled), spoiled.schema)
    kept = sheets.join(spoiled, on=sheets.columns, how='semi', nulls_equal=True)
    assert len(KINDS) - added == len(sheets) - len(kept)


def test_names_are_different() -> None:
    """No two invented people share a name."""
    assert 1000 == len(set(invent_names(np.random.default_rng(1), 1000)))


def test_an_earlier_tasting_is_kept_unless_asked(folder: Path) -> None:
    """A folder with an invented tasting is refused without --again, and written with it."""
    with pytest.raises(UsageError) as refusal:
        write_demo(folder, seed=1)
    assert '--again' in refusal.value.remedy
    before = _bytes(folder)
    write_demo(folder, seed=1, again=True)
    assert before == _bytes(folder)


def test_a_record_beside_it_stays(tmp_path: Path) -> None:
    """Writing anew does not touch the record that lies in the folder."""
    write_demo(tmp_path, seed=1)
    (tmp_path / 'tasting.ledger').write_bytes(b'kept')
    write_demo(tmp_path, seed=2, again=True)
    assert b'kept' == (tmp_path / 'tasting.ledger').read_bytes()


@pytest.mark.parametrize('again', [False, True])
def test_other_things_are_never_written_over(tmp_path: Path, again: bool) -> None:
    """A folder with a real tasting, or anything else, is refused, --again or not."""
    (tmp_path / 'tasting.toml').write_text('[tasting]\n', encoding='utf-8')
    with pytest.raises(UsageError, match='the folder holds other things'):
        write_demo(tmp_path, seed=1, again=again)
    assert ['tasting.toml'] == [path.name for path in tmp_path.iterdir()]


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    """A file where the folder should be is named in the refusal."""
    place = tmp_path / 'taken'
    place.write_text('', encoding='utf-8')
    with pytest.raises(UsageError, match='taken: this is a file'):
        write_demo(place, seed=1)


def test_full_disk_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When no space is left the refusal says so and comes through unchanged."""

    def full(path: Path, content: bytes) -> None:
        raise DiskFull("no space was left on the disk", where=str(path))

    monkeypatch.setattr(write, 'write_bytes_safely', full)
    with pytest.raises(DiskFull, match=r'east-rooms\.csv'):
        write_demo(tmp_path, seed=1)


def test_command_names_what_it_wrote(tmp_path: Path) -> None:
    """`halfpoint demo` prints each path, that all is invented, and the next command."""
    told = CliRunner().invoke(app, ['demo', '--into', str(tmp_path / 'spring')])
    assert 0 == told.exit_code
    lines = told.output.splitlines()
    assert f'tasting  {tmp_path}/spring/tasting.toml' == lines[0]
    assert [f'sheets   {tmp_path}/spring/sheets/{file}' for file in FILES] == lines[1:7]
    assert 'No such league, wine or taster exists.' == lines[7]
    assert lines[8].startswith('Next: halfpoint gather ')


def test_command_refuses_a_negative_seed(tmp_path: Path) -> None:
    """A seed below nothing is a wrong option, code 2, and nothing is written."""
    told = CliRunner().invoke(app, ['demo', '--into', str(tmp_path / 'x'), '--seed', '-1'])
    assert (2, False) == (told.exit_code, (tmp_path / 'x').exists())
