"""The commands with the record in PostgreSQL: what they say is what they say of a file."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.cli.paper import (
    TASTING,
    WINES,
    Unread,
    doubtful,
    printed,
    ran,
    reading,
    scan,
    tasting_in,
)
from tests.postgres import Server, url
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import Look
from halfpoint.errors import LedgerAltered
from halfpoint.tasting.record_place import Database

Both = Callable[[Callable[[], Any]], list[Any]]
LOOK = Look('aroma', 'two', Rectangle(6, 36, 100, 6), choices=(4.5, 5.0))
TABLE = """Taster,Site,Wine,Appearance,Aroma,Taste,Aftertaste,Overall
ann,north,zq0,3,4.5,4,2,1.5
ann,north,zq1,2,3,3,2,1
bob,north,zq0,3,5,4,2,2
bob,north,zq1,2,3.5,3,1.5,1
cy,south,zq0,3,9,4,2,2
cy,south,zq1,2,4,3,2,1
dee,south,zq0,2.5,4.5,4,2,2
dee,south,zq1,2.5,3,2.5,2,1
"""
# What no two runs have in common.
_CHANCE = re.compile(
    r'[0-9a-f]{64}|halfpoint-\w+|\d+(\.\d+)? s\b|\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d)?(\.\d+)?Z?'
)


@pytest.fixture
def place(postgres: Server, monkeypatch: pytest.MonkeyPatch) -> Database:
    """A schema for the record; the password stands in the environment, as libpq looks there."""
    monkeypatch.setenv('PGPASSWORD', postgres.place.password)
    return postgres.new()


@pytest.fixture
def both(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: Database) -> Both:
    """Does the same in two folders; the second, where it ends, has its record in a database."""
    folders = [tmp_path / 'file', tmp_path / 'database']
    for folder, ledger in zip(folders, ('', url(place, password=False)), strict=True):
        folder.mkdir()
        named = f'[tasting]\nledger = "{ledger}"' if ledger else '[tasting]'
        text = TASTING.replace('[tasting]', named) + WINES
        (folder / 'spring.toml').write_text(text, encoding='utf-8')
        (folder / 'marks.csv').write_text(TABLE, encoding='utf-8')

    def do(work: Callable[[], Any]) -> list[Any]:
        done = []
        for folder in folders:
            monkeypatch.chdir(folder)
            done.append(work())
        return done

    return do


def said(*arguments: str, typed: str | None = None) -> str:
    """What a command says, without what no two runs have in common."""
    return _CHANCE.sub('…', ran(*arguments, typed=typed))


WHO = ('--who', 'Mira', '--why', 'looked again')
COMMANDS = (
    ('check', 'spring.toml'),
    ('gather', 'spring.toml', 'marks.csv'),
    ('gather', 'spring.toml', 'marks.csv'),
    ('check', 'spring.toml', '--all'),
    ('correct', 'spring.toml', '4', '--set', 'aroma=4', *WHO),
    ('set-aside', 'spring.toml', '--entry', '5', *WHO),
    ('set-aside', 'spring.toml', '--entry', '5', '--restore', *WHO),
    ('history', 'spring.toml', '--taster', 'ann'),
    ('reveal', 'spring.toml', '--who', 'Mira'),
    ('verify', 'spring.toml'),
)


def test_each_command_says_the_same(both: Both) -> None:
    """From looking at nothing to the reveal, and the document of the result."""
    for command in COMMANDS:
        of_file, of_database = both(lambda command=command: said(*command))
        assert of_file == of_database, command

    def result() -> Any:
        ran('results', 'spring.toml', '--json', 'result.json')
        return json.loads(Path('result.json').read_text(encoding='utf-8'))

    of_file, of_database = both(result)
    assert of_file == of_database
    assert [True, False] == both(Path('spring.ledger').exists)


def test_paper_is_read_and_looked_at(both: Both, monkeypatch: pytest.MonkeyPatch) -> None:
    """Plan, pages, a doubtful mark decided, a second look; pictures beside the tasting file."""

    def work() -> list[str]:
        told = [said('plan', 'spring.toml', '--into', 'plan') for _ in range(2)]
        pages = [reading(page) for page in printed(tasting_in(Path()))]
        pages[0] = doubtful(pages[0], 2, LOOK)
        batch = Unread({('all.tiff', n): page for n, page in enumerate(pages, 1)})
        monkeypatch.setattr('halfpoint.collect.paper.read.process.batch_for', batch)
        scan(Path('scans/all.tiff'), 12)
        told += [
            said('read', 'spring.toml', 'scans'),
            said('read', 'spring.toml', 'scans'),
            said('read', 'spring.toml', '--review', '--list'),
            said('read', 'spring.toml', '--review', typed='1\n'),
            said('check', 'spring.toml', '--all'),
            said('verify', 'spring.toml'),
        ]
        assert '12 pictures of pages, as kept' in told[-1]
        return told

    of_file, of_database = both(work)
    assert of_file == of_database
    for pictures in both(
        lambda: sorted(path.name for path in Path().glob('spring.ledger.pages/*/*'))
    ):
        assert 12 == len(pictures)
    assert [True, False] == both(Path('spring.ledger').exists)


def test_verify_finds_what_an_owner_did(both: Both, postgres: Server, place: Database) -> None:
    """Where the owner of the database took the guards out and changed a mark, it is said."""
    both(lambda: ran('gather', 'spring.toml', 'marks.csv'))
    with postgres.raw(place) as raw:
        raw.execute('ALTER TABLE record DISABLE TRIGGER ALL')
        raw.execute("UPDATE record SET body = replace(body, 'ann', 'bob') WHERE sequence = 4")
    told = CliRunner().invoke(app, ['verify', 'spring.toml'])
    assert isinstance(told.exception, LedgerAltered)
    assert f'{place}, record 4' in str(told.exception)
    assert postgres.place.password not in str(told.exception)


def test_the_next_tasting_needs_a_schema_of_its_own(both: Both, place: Database) -> None:
    """A tasting that names the record of another is refused, and told how to name its own."""
    both(lambda: ran('gather', 'spring.toml', 'marks.csv'))
    other = Path('spring.toml').read_text(encoding='utf-8').replace('"spring"', '"autumn"')
    Path('autumn.toml').write_text(other, encoding='utf-8')
    told = CliRunner().invoke(app, ['check', 'autumn.toml'])
    assert 'belongs to the tasting spring' in str(told.exception)
    assert '?schema=autumn' in str(told.exception)
    other = other.replace(place.schema, f'{place.schema}_autumn')
    Path('autumn.toml').write_text(other, encoding='utf-8')
    assert '7 new entries' in ran('gather', 'autumn.toml', 'marks.csv')


def test_without_the_server_nothing_is_begun(both: Both, place: Database) -> None:
    """Where the database is away, every command says so and writes nothing beside the file."""
    both(lambda: None)
    file = Path('spring.toml')
    text = file.read_text(encoding='utf-8').replace(f':{place.port}/', ':1/')
    file.write_text(text, encoding='utf-8')
    before = sorted(Path().iterdir())
    for command in (
        *COMMANDS,
        ('plan', 'spring.toml', '--into', 'plan'),
        ('results', 'spring.toml'),
    ):
        told = CliRunner().invoke(app, command)
        assert 'the database cannot be reached' in str(told.exception), command
    assert before == sorted(Path().iterdir())
