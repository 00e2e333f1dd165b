"""Where `--ledger` says that the record lies."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.engine import make_url

from halfpoint.cli._record_address import record_path
from halfpoint.errors import UsageError


@pytest.mark.parametrize('text', ['evening.ledger', '/srv/wine/evening.ledger', '../a b.ledger',
                                  'odd:name.ledger', 'C:/wine/evening.ledger'])  # fmt: skip
def test_a_path_is_a_path(text: str) -> None:
    """Without a scheme it is taken as it stands."""
    assert Path(text) == record_path(text)


@pytest.mark.parametrize('url', ['sqlite:///evening.ledger', 'sqlite:////srv/wine/evening.ledger'])
def test_a_url_of_sqlite_names_the_same_file(url: str) -> None:
    """As SQLAlchemy reads it: three strokes from here, four from the root."""
    assert Path(make_url(url).database or '') == record_path(url)


@given(st.text(min_size=1).filter(lambda name: name.strip() and '\0' not in name))
def test_any_name_can_be_written_as_a_url(name: str) -> None:
    """What is not allowed in a URL is quoted (RFC 3986, section 2.1)."""
    try:
        quoted = quote(name)
    except UnicodeEncodeError:
        return
    assert Path(name) == record_path(f'sqlite:///{quoted}')


@pytest.mark.parametrize('url', ['postgresql://ann:secret@db/wine', 'postgres://db/wine',
                                 'postgresql+psycopg://ann:secret@db/wine',
                                 'mysql://ann:secret@db/w', 'https://ann:secret@db/'])  # fmt: skip
def test_another_database_is_refused_in_words(url: str) -> None:
    """It is said what can be done now, and no password is repeated."""
    with pytest.raises(UsageError) as refused:
        record_path(url)
    said = str(refused.value)
    assert 'secret' not in said
    assert 'sqlite:///PATH' in said
    assert ('PostgreSQL' in said) is url.startswith('postgres')
    assert 'name a file' in said


@pytest.mark.parametrize('text', ['', '  ', 'sqlite://', 'sqlite:///', 'sqlite:', 'sqlite://host/a',
                                  'sqlite:///a?mode=ro', 'sqlite:///a%00b'])  # fmt: skip
def test_no_file_is_refused(text: str) -> None:
    """A record in memory would be gone with the server."""
    with pytest.raises(UsageError, match='sqlite:///PATH'):
        record_path(text)
