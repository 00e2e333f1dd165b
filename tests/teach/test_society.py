"""Members under pseudonyms: the secret, and what comes of it."""

from __future__ import annotations

import base64
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as some

from halfpoint.errors import FileNotReadable, InputError, UsageError
from halfpoint.tasting.load import load_tasting
from halfpoint.teach.society import begin_society, members_of, pseudonym, read_society

# RFC 4231, test case 2: HMAC-SHA-256 with the key "Jefe".
JEFE, ASKS = b'Jefe', "what do ya want for nothing?"
DIGEST = '5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843'


def test_pseudonyms_are_those_of_the_standard() -> None:
    """The published digest, its first 80 bits in base 32 (RFC 4648)."""
    told = base64.b32encode(bytes.fromhex(DIGEST)[:10]).decode().lower()
    assert f'member-{told}' == pseudonym(JEFE, ASKS)


def test_the_secret_is_made_once_and_for_its_owner_alone(tmp_path: Path) -> None:
    """Nobody else may read it, and a second one never takes its place."""
    path = tmp_path / 'society.key'
    begin_society(path)
    assert 0o600 == stat.S_IMODE(path.stat().st_mode)
    key = read_society(path)
    assert 32 == len(key)
    with pytest.raises(UsageError, match='is there already'):
        begin_society(path)
    assert key == read_society(path)


@given(some.text(min_size=1, max_size=20))
def test_a_member_is_the_same_however_written(member: str) -> None:
    """Capitals and blanks do not make another member; another key does."""
    assert pseudonym(JEFE, member) == pseudonym(JEFE, f'  {member} ')
    assert pseudonym(JEFE, member) != pseudonym(b'other', member)


def test_what_is_no_key_is_refused(tmp_path: Path) -> None:
    """Missing, something else, or cut short: in words."""
    path = tmp_path / 'society.key'
    with pytest.raises(FileNotReadable, match='no such file'):
        read_society(path)
    begin_society(path)
    for text in (path.read_text()[:-10], 'hello', ''):
        path.write_text(text)
        with pytest.raises(InputError, match='cut short'):
            read_society(path)


def test_members_are_known_by_what_the_society_calls_them(tmp_path: Path) -> None:
    """By `member`, else by key; who was erased is nobody; one member twice is refused."""
    file = tmp_path / 'tasting.toml'
    start = '[tasting]\nkey = "a"\ntitle = "A"\n[[wine]]\nkey = "w"\nname = "W"\n'
    rows = (
        '[[taster]]\nkey = "t1"\nmember = "Ann 7"\n[[taster]]\nkey = "t2"\n[[taster]]\nkey = "t3"\n'
    )
    file.write_text(start + rows, encoding='utf-8')
    assert {'t1': "Ann 7", 't2': 't2'} == members_of(load_tasting(file), {'t3': 'person-1'})
    file.write_text(start + rows.replace('key = "t2"', 'key = "t2"\nmember = "ANN 7"'), 'utf-8')
    with pytest.raises(InputError, match='t1 and t2 are both'):
        members_of(load_tasting(file), {})
