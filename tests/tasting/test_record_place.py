"""Where `--ledger` and the tasting file say that the record lies."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

import pytest
from hypothesis import given
from hypothesis import strategies as st
from psycopg.conninfo import conninfo_to_dict
from sqlalchemy.engine import make_url

from halfpoint.errors import TastingFileError, UsageError
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.record_place import Database, record_place

TASTING = """
[tasting]
key = "spring"
title = "Spring (invented)"
ledger = "{ledger}"
[[wine]]
key = "w1"
name = "Ossel Hill"
"""


@pytest.mark.parametrize('text', ['evening.ledger', '/srv/wine/evening.ledger', '../a b.ledger',
                                  'odd:name.ledger', 'C:/wine/evening.ledger'])  # fmt: skip
def test_a_path_is_a_path(text: str) -> None:
    """Without a scheme it is taken as it stands."""
    assert Path(text) == record_place(text)


@pytest.mark.parametrize('url', ['sqlite:///evening.ledger', 'sqlite:////srv/wine/evening.ledger'])
def test_a_url_of_sqlite_names_the_same_file(url: str) -> None:
    """As SQLAlchemy reads it: three strokes from here, four from the root."""
    assert Path(make_url(url).database or '') == record_place(url)


@given(st.text(min_size=1).filter(lambda name: name.strip() and '\0' not in name))
def test_any_name_can_be_written_as_a_url(name: str) -> None:
    """What is not allowed in a URL is quoted (RFC 3986, section 2.1)."""
    try:
        quoted = quote(name)
    except UnicodeEncodeError:
        return
    assert Path(name) == record_place(f'sqlite:///{quoted}')


@pytest.mark.parametrize('url', [
    'postgresql://db/wine', 'postgres://ann@db/wine', 'postgresql://ann:secret@db:5433/wine',
    'postgresql:///wine', 'postgresql://ann@/wine?host=/var/run/postgresql',
    'postgresql://a%40b:s%2Fe%3Ac%40r%25et@db/wine%20cellar?sslmode=verify-full&connect_timeout=3',
    'postgresql://[2001:db8::7]:5432/wine', 'postgresql://:5433/wine',
])  # fmt: skip
def test_a_url_of_postgresql_is_read_as_postgresql_reads_it(url: str) -> None:
    """libpq itself takes the same parts from the same address (psycopg asks it)."""
    place = record_place(url)
    assert isinstance(place, Database)
    parts = {
        'dbname': place.database, 'user': place.user, 'password': place.password,
        'host': place.host, 'port': str(place.port or ''), **dict(place.options),
    }  # fmt: skip
    assert conninfo_to_dict(url) == {name: part for name, part in parts.items() if part}
    assert 'halfpoint' == place.schema


@given(st.text(min_size=1), st.text(min_size=1), st.text(min_size=1))
def test_any_user_and_password_can_be_written(user: str, password: str, database: str) -> None:
    """What is not allowed in a URL is quoted (RFC 3986, section 2.1); a password is not shown."""
    try:
        url = f"postgresql://{quote(user, '')}:{quote(password, '')}@db/{quote(database, '')}"
    except UnicodeEncodeError:
        return
    if '\0' in user + password + database or '/' in database:
        return
    place = record_place(url)
    assert isinstance(place, Database)
    assert (user, password, database) == (place.user, place.password, place.database)
    hidden = Database(database, user, '', 'db')
    assert (str(hidden), repr(hidden)) == (str(place), repr(place))


def test_the_schema_tells_records_in_one_database_apart() -> None:
    """It is a part of the address that people see; the options of the connection are not."""
    place = record_place('postgresql://ann:secret@db/wine?schema=autumn_2026&sslmode=require')
    assert isinstance(place, Database)
    assert 'autumn_2026' == place.schema
    assert 'postgresql://ann@db/wine?schema=autumn_2026' == str(place) == place.name


@pytest.mark.parametrize('url', [
    'postgresql://', 'postgresql:///', 'postgresql://ann:secret@db', 'postgresql:',
    'postgresql://ann:secret@db/a/b', 'postgresql://ann:se/cret@db/wine',
    'postgresql://ann:secret@db:port/wine', 'postgresql://ann:secret@db/wine#top',
    'postgresql://ann:secret@db/wine?schema', 'postgresql://ann:secret@db/wine?schema=Autumn',
    'postgresql://ann:secret@db/wine?schema=pg_wine', 'postgresql://ann:secret@db/wine?schema=',
    'postgresql://ann:secret@db/wine?schema=a"b', 'postgresql://db/wine?password=secret',
    'postgresql://ann:secret@db/wine?sslmod=require', 'postgresql://ann:secret@[db/wine',
    'postgresql://ann:secret@db/wine%00', 'postgresql://ann:secret@h1:1,h2:2/wine',
])  # fmt: skip
def test_what_is_no_address_of_postgresql_is_refused(url: str) -> None:
    """It is said what is expected, and no password is repeated."""
    with pytest.raises(UsageError) as refused:
        record_place(url)
    assert 'secret' not in str(refused.value)
    assert 'cret' not in str(refused.value)
    assert refused.value.expected
    assert refused.value.remedy


@pytest.mark.parametrize('url', ['mysql://ann:secret@db/w', 'https://ann:secret@db/',
                                 'postgresql+asyncpg://ann:secret@db/wine'])  # fmt: skip
def test_another_database_is_refused_in_words(url: str) -> None:
    """It is said what can be done, and no password is repeated."""
    with pytest.raises(UsageError) as refused:
        record_place(url)
    said = str(refused.value)
    assert 'secret' not in said
    assert 'sqlite:///PATH' in said
    assert 'postgresql://USER@HOST' in said


@pytest.mark.parametrize('text', ['', '  ', 'sqlite://', 'sqlite:///', 'sqlite:', 'sqlite://host/a',
                                  'sqlite:///a?mode=ro', 'sqlite:///a%00b'])  # fmt: skip
def test_no_file_is_refused(text: str) -> None:
    """A record in memory would be gone with the server."""
    with pytest.raises(UsageError, match='sqlite:///PATH'):
        record_place(text)


def written(folder: Path, ledger: str) -> Path:
    """A tasting file that says where its record lies."""
    file = folder / 'spring.toml'
    file.write_text(TASTING.format(ledger=ledger), encoding='utf-8')
    return file


@pytest.mark.parametrize(('ledger', 'path'), [
    ('', 'spring.ledger'), ('elsewhere/a.ledger', 'elsewhere/a.ledger'),
    ('sqlite:///a.ledger', 'a.ledger'), ('sqlite:////srv/a.ledger', '/srv/a.ledger'),
])  # fmt: skip
def test_a_tasting_file_names_a_file(tmp_path: Path, ledger: str, path: str) -> None:
    """From the folder of the tasting file; pictures and uploads lie beside it."""
    tasting = load_tasting(written(tmp_path, ledger))
    assert tmp_path / path == tasting.ledger == tasting.beside


def test_a_tasting_file_names_a_database(tmp_path: Path) -> None:
    """Then pictures and uploads lie beside the tasting file."""
    tasting = load_tasting(written(tmp_path, 'postgresql://ann@db/wine?schema=spring'))
    assert Database('wine', 'ann', host='db', schema='spring') == tasting.ledger
    assert tmp_path / 'spring.ledger' == tasting.beside


@pytest.mark.parametrize(('ledger', 'said'), [
    ('postgresql://ann:secret@db/wine', "an address with a password"),
    ('postgresql://ann:secret@db/', "cannot be read"),
    ('mysql://ann:secret@db/wine', "mysql://, in which halfpoint keeps no record"),
    ('sqlite:///', "sqlite:///"), ('sqlite:///spring.toml', "which is this file"),
    ('spring.toml', "which is this file"),
])  # fmt: skip
def test_a_tasting_file_with_no_place_for_the_record(
    tmp_path: Path, ledger: str, said: str
) -> None:
    """It is refused, a password in it too, as the file is sent to others."""
    with pytest.raises(TastingFileError) as refused:
        load_tasting(written(tmp_path, ledger))
    assert said in str(refused.value)
    assert 'tasting, key ledger' in str(refused.value)
    assert 'secret' not in str(refused.value)
