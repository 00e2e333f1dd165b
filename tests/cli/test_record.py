"""The commands on the record: gather, check, correct, set-aside, history, verify, reveal."""

from __future__ import annotations

import json
import math
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.errors import (
    FileNotReadable,
    HalfpointError,
    LedgerAltered,
    LedgerError,
    NothingAccepted,
    NotInLedger,
    UsageError,
)
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.view import current_entries

TASTING = """
[tasting]
key = "spring"
title = "Spring whites (invented)"
invented = true
{sites}
[[wine]]
key = "w1"
name = "Ossel Hill"
[[wine]]
key = "w2"
name = "Brack Lane"
[[taster]]
key = "ann"
site = "north"
[[taster]]
key = "bob"
site = "north"
[[taster]]
key = "cy"
site = "south"
""".format(sites=''.join(f'[[site]]\nkey = "{s}"\nname = "{s}"\n' for s in ('north', 'south')))
HEADER = 'Taster,Site,Wine,Appearance,Aroma,Taste,Aftertaste,Overall\n'
GOOD = 'ann,north,w1,3,4.5,4,2,1.5\nann,north,w2,3,4½,4,2,1.5\nbob,north,w1,3,5,4,2,2\n'
BAD = 'bob,north,w2,3,9,4,2,2\n'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a tasting file and a table with three good rows and a bad one."""
    (tmp_path / 'tasting.toml').write_text(TASTING, encoding='utf-8')
    (tmp_path / 'north.csv').write_text(HEADER + GOOD + BAD, encoding='utf-8')
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(command: str, *options: str) -> str:
    """What the command says; its refusal is raised."""
    result = CliRunner().invoke(app, [command, 'tasting.toml', *options], catch_exceptions=False)
    assert 0 == result.exit_code, result.output
    return result.output


def test_gather_says_what_became_of_each_row(folder: Path) -> None:
    """Counts per file, and a held.csv by the tasting file with the reason beside the row."""
    output = run('gather', 'north.csv')

    assert 'north.csv: 3 new entries, 0 already there, 1 held' in output
    assert '3 entries in the record' in output
    assert '1 row needs a look: held.csv' in output
    held = (folder / 'held.csv').read_text(encoding='utf-8-sig').splitlines()
    assert HEADER.strip() + ',file,row,field,found,expected' == held[0]
    assert BAD.strip() + ',north.csv,5,aroma,9,0 to 6 in half points' == held[1]


def test_gathering_again_adds_nothing(folder: Path) -> None:
    """The record is byte for byte as long, and held.csv is as it was."""
    run('gather', 'north.csv')
    before, held = run('verify'), (folder / 'held.csv').read_bytes()
    output = run('gather', 'north.csv')

    assert '0 new entries, 3 already there, 0 held, 1 held before' in output
    assert before == run('verify')
    assert held == (folder / 'held.csv').read_bytes()


def test_a_mended_held_file_is_taken_and_goes(folder: Path) -> None:
    """Mended and gathered, the row is an entry from its first place; nothing is held any more."""
    run('gather', 'north.csv')
    held = folder / 'held.csv'
    held.write_text(held.read_text(encoding='utf-8').replace(',9,', ',5,', 1), encoding='utf-8')
    output = run('gather', 'held.csv')

    assert '1 new entry, 0 already there, 0 held' in output
    assert not held.exists()
    assert '(north.csv, row 5)' in run('history', '--taster', 'bob', '--wine', 'w2')
    assert 'Held' not in run('check')


def test_mending_that_was_not_gathered_is_never_overwritten(folder: Path) -> None:
    """When held.csv was changed but another file is gathered, the held rows go beside it."""
    run('gather', 'north.csv')
    held = folder / 'held.csv'
    mended = held.read_text(encoding='utf-8').replace(',9,', ',5,', 1)
    held.write_text(mended, encoding='utf-8')
    (folder / 'south.csv').write_text(HEADER + 'cy,south,w1,3,4,4,2,2\n', encoding='utf-8')
    output = run('gather', 'south.csv')

    assert '1 row needs a look: held-2.csv' in output
    assert mended == held.read_text(encoding='utf-8')
    run('gather', 'held.csv')
    assert not (folder / 'held.csv').exists()
    assert not (folder / 'held-2.csv').exists()


def test_files_headed_otherwise_are_held_apart(folder: Path) -> None:
    """Rows of tables with other column names go to a file of their own, so that both mend well."""
    other = HEADER.replace('Taster', 'Name').replace('Aroma', 'Nose')
    (folder / 'south.csv').write_text(other + 'cy,south,w1,3,7,4,2,2\n', encoding='utf-8')
    with pytest.raises(NothingAccepted):
        run('gather', 'south.csv')
    run('gather', 'north.csv')
    for name in ('held.csv', 'held-2.csv'):
        path = folder / name
        text = path.read_text(encoding='utf-8').replace(',9,', ',5,').replace(',7,', ',5,')
        path.write_text(text, encoding='utf-8')
    output = run('gather', 'held.csv', 'held-2.csv')

    assert 2 == output.count('1 new entry, 0 already there, 0 held')
    assert '5 entries in the record' in output
    assert [] == list(folder.glob('held*'))


def test_held_rows_go_where_they_are_wanted(folder: Path) -> None:
    """`--held` names the file."""
    run('gather', 'north.csv', '--held', 'at.csv')

    assert (folder / 'at.csv').exists()
    assert not (folder / 'held.csv').exists()


def test_nothing_accepted_is_said_but_nothing_lost(folder: Path) -> None:
    """When every row is held the command refuses with 14, and the rows are in the record."""
    (folder / 'north.csv').write_text(HEADER + BAD, encoding='utf-8')
    with pytest.raises(NothingAccepted, match='1 held'):
        run('gather', 'north.csv')

    assert (folder / 'held.csv').exists()
    assert 'held row 3' in run('check')


def test_one_bad_file_does_not_keep_the_others_out(folder: Path) -> None:
    """Files that can be read are gathered; the refusal of the other comes at the end."""
    with pytest.raises(FileNotReadable, match='no such file'):
        run('gather', 'missing.csv', 'north.csv')

    assert '3 entries from 2 tasters' in run('check')


def test_columns_are_mapped_and_kept_as_told(folder: Path) -> None:
    """`--map` says what a column is, `--keep` records one more; a malformed one is refused."""
    table = HEADER.replace('Aroma', 'Zeta').replace('\n', ',Light\n')
    (folder / 'odd.csv').write_text(table + 'ann,north,w1,3,4.5,4,2,1.5,red\n', encoding='utf-8')
    output = run('gather', 'odd.csv', '--map', 'aroma=Zeta', '--keep', 'Light')

    assert '1 new entry' in output
    with pytest.raises(UsageError, match='role=column'):
        run('gather', 'odd.csv', '--map', 'Zeta')


def test_any_kind_of_column_can_be_kept(folder: Path) -> None:
    """Numbers, blanks, infinity, dates and yes or no from a Parquet file are recorded."""
    kept = {
        'glass': [1, None],
        'warm': [12.5, math.inf],
        'day': [date(2026, 3, 6), None],
        'spat': [True, False],
        'taster': ['ann', 'bob'],
    }
    marks = {'appearance': 3.0, 'aroma': 4.0, 'taste': 4.0, 'aftertaste': 2.0, 'overall': 1.5}
    table = pl.DataFrame({**kept, 'site': 'north', 'wine': 'w1', **marks})
    table.write_parquet('app.parquet')
    run('gather', 'app.parquet', *(option for name in kept for option in ('--keep', name)))

    with Ledger.open(folder / 'tasting.ledger', tasting_key='spring', create=False) as ledger:
        frame = current_entries(ledger.records())
    assert [(1.0, 12.5, '2026-03-06', 'True', 'ann'), (None, None, None, 'False', 'bob')] == (
        frame.select(list(kept)).rows()
    )


def test_check_lists_what_is_missing(folder: Path) -> None:
    """Missing marks by site, sites not heard from, held rows; the same as JSON."""
    run('gather', 'north.csv')
    output = run('check')
    data = json.loads(run('check', '--json'))

    assert 'north: bob has not marked w2' in output
    assert 'Not heard from: sites (1)\n  south' in output
    assert 'north.csv, row 5, aroma: 9; expected 0 to 6 in half points' in output
    assert [{'site': 'north', 'taster': 'bob', 'wines': ['w2']}] == data['missing']
    assert (3, 3, 2, 1) == tuple(data[k] for k in ('entries', 'counted', 'tasters', 'sites'))
    assert [6] == [row['held'] for row in data['held']]


def test_check_before_anything_came(folder: Path) -> None:
    """Without a record, everything is missing, and none is begun."""
    assert '0 entries from 0 tasters' in run('check')
    assert not (folder / 'tasting.ledger').exists()


def test_correct_reads_marks_as_people_write_them(folder: Path) -> None:
    """½, a comma, a position, ticked words; what changed is said, and history keeps it."""
    run('gather', 'north.csv')
    options = ['--set', 'aroma=5½', '--set', 'taste=4,5', '--set', 'terms=lemon; honey']
    output = run('correct', '3', *options, '--who', 'Mira', '--why', 'misread')

    for words in ('aroma: 5½ (was 4½)', 'taste: 4½ (was 4)', 'terms: honey, lemon (was nothing)'):
        assert words in output
    told = json.loads(run('history', '--entry', '3', '--json'))
    assert ['entry', 'correction'] == [happening['kind'] for happening in told]
    assert "Mira" == told[1]['who']


@pytest.mark.parametrize(
    ('change', 'refusal'),
    [
        ('aroma', UsageError),
        ('aroma=lots', UsageError),
        ('aroma=4.25', UsageError),
        ('nose=4', UsageError),
        ('position=first', UsageError),
        ('wine=w9', UsageError),
    ],
)
def test_correct_refuses_what_does_not_fit(
    folder: Path, change: str, refusal: type[HalfpointError]
) -> None:
    """A change that cannot be read or that the sheet does not allow is a usage error."""
    run('gather', 'north.csv')
    with pytest.raises(refusal):
        run('correct', '3', '--set', change, '--who', 'Mira', '--why', 'misread')


def test_set_aside_and_restore(folder: Path) -> None:
    """A bottle is set aside with its count, shown by check, and comes back."""
    run('gather', 'north.csv')
    reason = ['--who', 'Mira', '--why', 'corked']
    bottle = ['--site', 'north', '--wine', 'Ossel Hill']
    output = run('set-aside', *bottle, *reason)

    assert 'all entries of wine w1 at site north (2 entries)' in output
    assert 'Mira: corked' in run('check')
    assert 1 == json.loads(run('check', '--json'))['counted']
    assert 'Counts again' in run('set-aside', *bottle, '--restore', *reason)
    assert 3 == json.loads(run('check', '--json'))['counted']


@pytest.mark.parametrize(
    ('options', 'refusal'),
    [
        ([], UsageError),
        (['--site', 'north'], UsageError),
        (['--wine', 'w1'], UsageError),
        (['--taster', 'eve'], UsageError),
        (['--taster', 'cy'], NotInLedger),
        (['--entry', '99'], NotInLedger),
        (['--held', '3'], NotInLedger),
        (['--entry', '3', '--restore'], NotInLedger),
    ],
)
def test_set_aside_refuses_what_is_not_there(
    folder: Path, options: list[str], refusal: type[HalfpointError]
) -> None:
    """Nothing named, half a bottle named, and what the record does not hold are refused."""
    run('gather', 'north.csv')
    with pytest.raises(refusal):
        run('set-aside', *options, '--who', 'Mira', '--why', 'x')


def test_history_tells_one_line_for_each_file(folder: Path) -> None:
    """The whole history names files, not every entry; JSON has all; nothing found is said."""
    run('gather', 'north.csv')
    output = run('history')

    assert 'gathered north.csv: 3 new, 0 already there, 1 held' in output
    assert 'ann marked' not in output
    assert 6 == len(json.loads(run('history', '--json')))
    with pytest.raises(NotInLedger):
        run('history', '--entry', '77')


def test_verify_shows_the_head_and_takes_it_back(folder: Path) -> None:
    """The head printed can be noted and given back, with blanks; a cut record then refuses."""
    run('gather', 'north.csv')
    head = run('verify').split('Head: ')[1].split()[0]

    assert 'record 6; all up to it is unchanged' in run(
        'verify', '--head', f'{head[:8]} {head[8:]}'
    )
    with pytest.raises(UsageError):
        run('verify', '--head', head[:15])
    with pytest.raises(LedgerAltered, match='noted head'):
        run('verify', '--head', 'f' * 64)


def test_reveal_names_the_wines_once(folder: Path) -> None:
    """The reveal shows key and name of each wine, and keeps who did it first."""
    run('gather', 'north.csv')

    assert 'Revealed by Mira.\n  w1: Ossel Hill\n  w2: Brack Lane\n' == run(
        'reveal', '--who', 'Mira'
    )
    assert 'Revealed before, by Mira' in run('reveal', '--who', 'Noor')


@pytest.mark.parametrize('command', ['verify', 'history', 'reveal'])
def test_commands_that_read_do_not_begin_a_record(folder: Path, command: str) -> None:
    """Before anything was gathered there is no record, and reading does not make one."""
    options = ['--who', 'Mira'] if command == 'reveal' else []
    with pytest.raises(LedgerError, match='no record yet'):
        run(command, *options)
    assert not (folder / 'tasting.ledger').exists()


def test_exit_codes_are_stable(folder: Path) -> None:
    """As a process: 0 for gathered, 14 for nothing accepted, 21 for altered, with a message."""

    def code(*arguments: str) -> tuple[int, str]:
        script = 'from halfpoint.cli.main import run; run()'
        process = subprocess.run(
            [sys.executable, '-c', script, *arguments], capture_output=True, text=True, check=False
        )
        return process.returncode, process.stderr

    assert (0, '') == code('gather', 'tasting.toml', 'north.csv')
    (folder / 'bad.csv').write_text(HEADER + BAD, encoding='utf-8')
    assert 14 == code('gather', 'tasting.toml', 'bad.csv')[0]
    with closing(sqlite3.connect('tasting.ledger', isolation_level=None)) as raw:
        raw.execute('DROP TRIGGER record_keeps_what_it_says')
        raw.execute("UPDATE record SET body = replace(body, '4.5', '5.5') WHERE sequence = 3")
    status, message = code('verify', 'tasting.toml')
    assert 21 == status
    assert 'record 3: its content does not match its hash' in message
    assert 'Traceback' not in message
