"""`halfpoint results` refuses in words, with a stable exit code and nothing half-written."""

from __future__ import annotations

import errno
import json
import os
import zipfile
from pathlib import Path

import numpy as np
import pytest
from tests.cli.marks import HEADER, in_a_shell, results, rows, write

from halfpoint.errors import (
    ColumnsNotFound,
    DiskFull,
    EstimateError,
    FileNotReadable,
    LedgerError,
    NotATable,
    NothingAccepted,
    NoVariation,
    OutputError,
    SheetError,
    TastingFileError,
    TooFewMarks,
    UsageError,
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in with `marks.csv`."""
    write(tmp_path / 'marks.csv', rows())
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def refused(folder, capsys, monkeypatch):
    """The command; it must refuse with the code of `kind`, and leave no file behind."""

    def command(kind, *options: str | Path, words: str, leaves=frozenset()) -> str:
        before = set(folder.rglob('*'))
        told = results(capsys, monkeypatch, *options)
        assert (kind.exit_code, True) == (told.code, words in told.err), told.err
        assert told.err.startswith('halfpoint: ')
        assert set(leaves) == {path.name for path in set(folder.rglob('*')) - before}
        return told.err

    return command


def constant(row: dict[str, str]) -> dict[str, str]:
    return row | {'appearance': '3', 'aroma': '4', 'taste': '4', 'aftertaste': '2', 'overall': '1'}


def test_empty_file(refused, folder) -> None:
    """No bytes at all."""
    (folder / 'empty.csv').touch()
    refused(NotATable, 'empty.csv', words='an empty file')


def test_header_only(refused, folder) -> None:
    """A header and no rows."""
    write(folder / 'header.csv', [])
    refused(NotATable, 'header.csv', words='a header and no rows')


def test_a_delimiter_that_nobody_uses(refused, folder) -> None:
    """One column of joined words: the columns cannot be found."""
    text = (folder / 'marks.csv').read_text().replace(',', '~')
    (folder / 'tilde.csv').write_text(text)
    refused(ColumnsNotFound, 'tilde.csv', words='a single column')


def test_one_taster(refused, folder) -> None:
    """Marks of one person alone."""
    write(folder / 'one.csv', [row for row in rows() if row['taster'] == 'T01'])
    refused(TooFewMarks, 'one.csv', words='all marks are by one taster')


def test_one_wine(refused, folder) -> None:
    """Nothing to compare."""
    write(folder / 'one.csv', [row for row in rows() if row['wine'] == 'Ash'])
    refused(TooFewMarks, 'one.csv', words='one wine only (Ash)')


def test_constant_marks(refused, folder) -> None:
    """Everybody gave everything the same."""
    write(folder / 'flat.csv', [constant(row) for row in rows()])
    refused(NoVariation, 'flat.csv', words='every mark in "total" is 14')


@pytest.mark.parametrize('bad', ['nan', 'inf', '-inf', '7', '-1', '2.3', 'x', '', '1e999'])
def test_marks_that_cannot_be_are_held(folder, capsys, monkeypatch, bad) -> None:
    """NaN, infinity, out of range, off the step, no number, none: held, and the rest weighed."""
    table = rows()
    table[0] |= {'aroma': bad}
    write(folder / 'bad.csv', table)
    told = results(capsys, monkeypatch, 'bad.csv', '--json', '-')
    assert 0 == told.code
    document = json.loads(told.out)
    assert (47, ['aroma']) == (document['marks'], [held['field'] for held in document['held']])


def test_every_row_held(refused, folder) -> None:
    """No row fits the sheet: refused with the reason, and the rows are written for mending."""
    write(folder / 'bad.csv', [row | {'aroma': '66'} for row in rows()])
    refused(NothingAccepted, 'bad.csv', words='48 held', leaves={'held.csv'})


def test_held_rows_are_kept_when_the_rest_cannot_be_weighed(refused, folder) -> None:
    """A table refused after reading still leaves its held rows for mending."""
    table = [constant(row) for row in rows()]
    table[0] |= {'aroma': '66'}
    write(folder / 'flat.csv', table)
    refused(NoVariation, 'flat.csv', words='every mark', leaves={'held.csv'})


def test_duplicate_rows_count_once(folder, capsys, monkeypatch) -> None:
    """The same rows twice weigh as once."""
    write(folder / 'twice.csv', rows() + rows())
    found = []
    for name in ('marks.csv', 'twice.csv'):
        told = results(capsys, monkeypatch, name, '--json', '-')
        assert 0 == told.code
        found.append(json.loads(told.out))
    assert 48 == found[0]['marks'] == found[1]['marks']
    assert found[0]['criterion'] == pytest.approx(found[1]['criterion'])


def test_one_taster_per_wine_has_no_order(folder, capsys, monkeypatch) -> None:
    """Nobody marked two wines: plain means, no order, and the reason."""
    kept = [row for i, row in enumerate(rows()) if i // 4 % 4 == i % 4]
    write(folder / 'apart.csv', kept)
    told = results(capsys, monkeypatch, 'apart.csv', '--json', '-')
    assert 0 == told.code
    document = json.loads(told.out)
    assert not document['connected']
    assert [None] * 4 == [wine['adjusted'] for wine in document['wines']]


def test_a_cell_of_ten_megabytes(folder, capsys, monkeypatch) -> None:
    """One enormous cell: its row is held or the table refused, quickly."""
    table = rows()
    table[0] |= {'aroma': 'a' * 10_000_000}
    write(folder / 'wide.csv', table)
    told = results(capsys, monkeypatch, 'wide.csv')
    assert told.code in {0, NotATable.exit_code}
    assert len(told.out + told.err) < 100_000


def test_a_zip_bomb(refused, folder) -> None:
    """A small workbook that unpacks to a gigabyte is refused before it does."""
    with zipfile.ZipFile(folder / 'bomb.xlsx', 'w', zipfile.ZIP_DEFLATED) as archive:
        archive.writestr('[Content_Types].xml', '<Types/>')
        with archive.open('xl/worksheets/sheet1.xml', 'w', force_zip64=True) as part:
            for _ in range(1024):
                part.write(bytes(1 << 20))
    refused(NotATable, 'bomb.xlsx', words='bomb.xlsx')


def test_binary_junk(refused, folder) -> None:
    """Random bytes named .csv, .xlsx and .parquet."""
    junk = np.random.default_rng(1).bytes(4000)
    for name in ('junk.csv', 'junk.xlsx', 'junk.parquet'):
        (folder / name).write_bytes(junk)
        refused(NotATable, name, words=name)


def test_a_directory(refused, folder) -> None:
    """A folder is no table."""
    (folder / 'room').mkdir()
    refused(FileNotReadable, 'room', words='a folder')


def test_a_missing_file(refused) -> None:
    """A name that is not there, table or tasting file."""
    refused(FileNotReadable, 'nothing.csv', words='no such file')
    refused(FileNotReadable, 'nothing.toml', words='nothing.toml')


def test_no_permission_to_read(refused, folder, monkeypatch) -> None:
    """A file that may not be read (opening it is made to fail: the tests may run as root)."""
    plain = open

    def forbidden(file, *args, **kwargs):
        if str(file).endswith('locked.csv'):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(file))
        return plain(file, *args, **kwargs)

    write(folder / 'locked.csv', rows())
    monkeypatch.setattr('builtins.open', forbidden)
    monkeypatch.setattr('io.open', forbidden)
    monkeypatch.setattr(Path, 'open', forbidden)
    refused(FileNotReadable, 'locked.csv', words='locked.csv')


@pytest.mark.parametrize(
    ('options', 'kind', 'words'),
    [
        (('--wines', 'some'), UsageError, '--wines: "some"'),
        (('--paper', 'a5'), UsageError, '--paper: "a5"'),
        (('--map', 'taster'), UsageError, 'ROLE=COLUMN'),
        (('--map', 'site=site', '--map', 'site=weather'), UsageError, 'site is both'),
        (('--effects', ''), UsageError, 'no effect is named'),
        (('--effects', 'taster,taster'), UsageError, 'stands twice'),
        (('--effects', 'nothing'), ColumnsNotFound, "'nothing'"),
        (('--effects', 'wine'), EstimateError, 'cannot be told from the wines'),
        (('--effects', 'taster:wine'), EstimateError, 'one mark for each level'),
        (('--covariate', 'nothing'), ColumnsNotFound, "no column 'nothing'"),
        (('--covariate', 'wine'), EstimateError, 'cannot be told from the wines'),
        (('--covariate', 'position', '--covariate', 'position'), EstimateError, 'stands twice'),
        (('--mark', 'nothing'), ColumnsNotFound, 'nothing'),
        (('--sheet', 'nothing'), SheetError, "'nothing'"),
        (('--map', 'nobody=taster'), ColumnsNotFound, "'nobody'"),
        (('--map', 'taster=nothing'), ColumnsNotFound, 'nothing'),
    ],
)
def test_options_that_do_not_fit(refused, options, kind, words) -> None:
    """Each names the option or column, and what would do."""
    refused(kind, 'marks.csv', *options, words=words)


def test_a_tasting_file_takes_no_table_options(refused, folder) -> None:
    """A tasting file already says its sheet, marks and columns; a broken one says where."""
    (folder / 'tasting.toml').write_text('[tasting]\nkey = 3\n', encoding='utf-8')
    for option in (('--sheet', 'liking'), ('--mark', 'taste'), ('--map', 'site=room')):
        refused(UsageError, 'tasting.toml', *option, words=option[0])
    refused(TastingFileError, 'tasting.toml', words='tasting.toml')


def test_a_tasting_without_a_record(refused, folder) -> None:
    """Nothing gathered yet: the command that gathers is named."""
    wines = ''.join(f'[[wine]]\nkey = "{w}"\nname = "{w}"\n' for w in ('a', 'b'))
    text = f'[tasting]\nkey = "leaf"\ntitle = "Leaf fall"\n{wines}'
    (folder / 'tasting.toml').write_text(text, encoding='utf-8')
    refused(LedgerError, 'tasting.toml', words='halfpoint gather')


# --- writing -------------------------------------------------------------------------------


@pytest.mark.parametrize('option', ['--report', '--json'])
def test_a_missing_folder_is_refused_before_the_work(refused, monkeypatch, option) -> None:
    """The marks are not even read."""
    monkeypatch.setattr('halfpoint.cli._weighing.gather_marks', lambda _: pytest.fail('read'))
    refused(OutputError, 'marks.csv', option, 'no/such/file', words='does not exist')


def test_a_folder_or_file_in_the_way(refused, folder) -> None:
    """A folder where a file should go, and a file where a folder should."""
    (folder / 'there').mkdir()
    refused(OutputError, 'marks.csv', '--json', 'there', words='there is a folder')
    refused(OutputError, 'marks.csv', '--csv', 'marks.csv', words='is a file')


def test_nothing_is_written_over_the_marks(refused, folder) -> None:
    """Neither the table nor another output."""
    before = (folder / 'marks.csv').read_bytes()
    write(folder / 'pairs.csv', rows())
    refused(UsageError, 'marks.csv', '--json', 'marks.csv', words='both the marks and --json')
    refused(UsageError, 'marks.csv', '--report', './marks.csv', words='both the marks')
    refused(UsageError, 'pairs.csv', '--csv', '.', words='both the marks and pairs.csv')
    refused(UsageError, 'marks.csv', '--json', 'a', '--report', 'a', words='both --json and')
    assert before == (folder / 'marks.csv').read_bytes()


def test_no_permission_to_write(refused, monkeypatch) -> None:
    """A folder that may not be written to (access is made to fail: the tests may run as root)."""
    monkeypatch.setattr(os, 'access', lambda path, mode: mode != os.W_OK)
    for option in (('--json', 'a.json'), ('--report', 'a.pdf'), ('--csv', 'new/tables')):
        refused(OutputError, 'marks.csv', *option, words='Permission denied')


@pytest.mark.parametrize(
    ('option', 'name'),
    [('--json', 'out.json'), ('--report', 'out.pdf'), ('--csv', 'tables')],
)
def test_disk_full_while_writing(refused, folder, monkeypatch, option, name) -> None:
    """No space at the moment the bytes must reach the disk: what stood there still stands."""
    target = folder / name
    if option == '--csv':
        target.mkdir()
        target /= 'wines.csv'
    target.write_text('from before', encoding='utf-8')

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, 'fsync', full)
    refused(DiskFull, 'marks.csv', option, name, words='no space was left')
    assert 'from before' == target.read_text('utf-8')


@pytest.mark.skipif(not Path('/dev/full').exists(), reason="needs Linux's /dev/full")
@pytest.mark.parametrize('options', [('marks.csv',), ('marks.csv', '--json', '-')])
def test_disk_full_behind_standard_output(folder, options) -> None:
    """Output sent to a full disk: a message and the exit code of a full disk."""
    with Path('/dev/full').open('w') as full:
        told = in_a_shell(folder, *options, to=full.fileno())
    assert DiskFull.exit_code == told.code
    assert told.err.endswith(
        'halfpoint: standard output: no space was left on the disk\n'
        'what to do: make room, or choose another disk, and run the command again\n'
    )


def test_header_names_the_columns_of_the_tests() -> None:
    """The invented table has what `results` reads."""
    assert {'taster', 'wine', 'site', 'position'} < set(HEADER)
