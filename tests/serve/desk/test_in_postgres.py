"""The server with its record in PostgreSQL: the same answers, and nothing of the record on disk."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from tests.postgres import Server, moved, url
from tests.serve.conftest import TASTING, Evening, serve, write_tasting
from tests.serve.desk.filled_desk import fill
from tests.serve.test_photos import Desk, hand_in

from halfpoint.ledger.ledger import Ledger
from halfpoint.serve.desk import results
from halfpoint.serve.photos import Photos
from halfpoint.serve.settings import Settings
from halfpoint.tasting.record_place import Database

DESK = '/api/desk'


@pytest.fixture
def place(postgres: Server, monkeypatch: pytest.MonkeyPatch) -> Database:
    """A schema for the record; the password stands in the environment, as libpq looks there."""
    monkeypatch.setenv('PGPASSWORD', postgres.place.password)
    monkeypatch.setattr(results, 'PATIENCE', 60.0)
    return postgres.new()


@pytest.fixture
def in_postgres(tmp_path: Path, place: Database, _password: str) -> Iterator[Evening]:
    """As `evening`, with the planned record in a database that the tasting file names."""
    folder = tmp_path / 'evening'
    folder.mkdir()
    file = write_tasting(folder)
    moved(file.with_suffix('.ledger'), place)
    named = f'[tasting]\nledger = "{url(place, password=False)}"'
    file.write_text(TASTING.replace('[tasting]', named), encoding='utf-8')
    yield from serve(Settings(tasting=file), _password)


def asked(evening: Evening, path: str, **options: Any) -> Any:
    """An answer to the organiser."""
    answer = evening.client.get(f'{DESK}/{path}', headers=evening.log_in(), **options)
    assert 200 == answer.status_code, answer.text
    return answer


def test_the_same_sheets_have_the_same_result(in_postgres: Evening, evening: Evening) -> None:
    """Sheets of phones, weighed in a database and in a file, make one and the same document."""
    for each in (in_postgres, evening):
        fill(each)
        asked(each, 'results')
    one, other = (asked(e, 'files/result.json').json() for e in (in_postgres, evening))
    assert one == other
    for table in ('files/entries.csv', 'progress', 'looks', 'people'):
        mine, its = (asked(e, table) for e in (in_postgres, evening))
        assert its.text == mine.text, table


def test_results_are_worked_out_in_a_process(in_postgres: Evening) -> None:
    """The process beside the server opens the database by itself."""
    fill(in_postgres)
    assert 4 == len(asked(in_postgres, 'results').json()['findings']['wines'])


def test_what_lies_where(in_postgres: Evening) -> None:
    """The desk's file and the pictures of pages lie beside the tasting file, and nothing else."""
    in_postgres.client.app.state.photos = Photos(Desk)
    assert ['read', 'held'] == [
        p['status'] for p in hand_in(in_postgres, 'mill 1', 'blur')['pages']
    ]
    folder = in_postgres.settings.folder
    kept = {path.name for path in folder.iterdir()} - {'tasting.desk-wal', 'tasting.desk-shm'}
    assert {'tasting.toml', 'tasting.desk', 'tasting.ledger.photos'} == kept


def test_the_copy_is_a_file_that_ends_where_the_record_does(
    in_postgres: Evening, tmp_path: Path
) -> None:
    """What the desk hands out is a record in a file, with the head of the one in the database."""
    fill(in_postgres)
    copy = tmp_path / 'taken.ledger'
    copy.write_bytes(asked(in_postgres, 'files/record.ledger').content)
    with closing(sqlite3.connect(copy)) as raw:
        assert raw.execute('PRAGMA quick_check').fetchone() == ('ok',)
    key = in_postgres.tasting.key
    with (
        Ledger.open(copy, tasting_key=key, create=False) as copied,
        Ledger.open(in_postgres.tasting.ledger, tasting_key=key, create=False) as ledger,
    ):
        assert copied.verify().holds
        assert ledger.head == copied.head


def test_a_cleaned_copy_is_made_of_it(in_postgres: Evening, tmp_path: Path) -> None:
    """Erasing a person, and the copy without the name, work as with a file."""
    fill(in_postgres)
    why = {'who': 'Mara Quill', 'why': 'asked to be'}
    headers = in_postgres.log_in()
    erased = in_postgres.client.post(
        f'{DESK}/people/ansel/erase', json={'confirm': 'ansel', **why}, headers=headers
    )
    assert 200 == erased.status_code, erased.text
    clean = in_postgres.client.post(
        f'{DESK}/people/{erased.json()["called"]}/cleaned.ledger',
        json={'names': ['Ansel Marrow'], **why}, headers=headers,
    )  # fmt: skip
    assert 200 == clean.status_code, clean.text
    assert b'ansel' not in clean.content.lower()
    copy = tmp_path / 'clean.ledger'
    copy.write_bytes(clean.content)
    with Ledger.open(copy, tasting_key=in_postgres.tasting.key, create=False) as ledger:
        assert ledger.verify().holds


def test_a_server_that_was_away_is_found_again(in_postgres: Evening, postgres: Server) -> None:
    """When the database was away for a moment, the next request is answered again."""
    before = asked(in_postgres, 'progress').json()
    with postgres.raw() as raw:
        raw.execute(
            'SELECT pg_terminate_backend(pid) FROM pg_stat_activity'
            " WHERE application_name = 'halfpoint'"
        )
    lost = in_postgres.client.get(f'{DESK}/progress', headers=in_postgres.log_in())
    assert lost.status_code in {200, 503}
    assert before == asked(in_postgres, 'progress').json()
    fill(in_postgres, but=20)
