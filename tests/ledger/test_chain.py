"""The hash chain, against `hashlib` and `json` used independently and a published digest."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.ledger.sample import arrived, opened, unguarded

from halfpoint.ledger.chain import START, Head, as_json, digest, link, walk

TEXT = st.text(st.characters(exclude_categories=['Cs']), max_size=30)


def test_the_hash_is_the_published_one() -> None:
    """SHA-256 of 'abc', FIPS 180-4 example (NIST, "SHA-256 Example", one block message)."""
    published = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'

    assert published == hashlib.sha256(b'abc').hexdigest()


def test_a_whole_record_is_recomputed_with_other_means(tmp_path: Path) -> None:
    """Every hash on disk is SHA-256 over the six fields as a JSON list and names the one before."""
    with opened(tmp_path) as ledger:
        ledger.append([arrived(remark="très bon, ½ \"point\"\n")], who="Zoë")
        head = ledger.head
    with closing(sqlite3.connect(tmp_path / 'tasting.ledger')) as raw:
        rows = raw.execute('SELECT * FROM record ORDER BY sequence').fetchall()

    previous = '0' * 64
    for *fields, hash_on_disk in rows:
        line = json.dumps(fields, ensure_ascii=False, separators=(',', ':'))
        assert previous == fields[5]
        assert hashlib.sha256(line.encode()).hexdigest() == hash_on_disk
        previous = hash_on_disk
    assert Head(2, previous) == head


@given(st.lists(st.tuples(TEXT, TEXT, TEXT), min_size=1, max_size=6), st.data())
def test_any_change_to_any_field_breaks_the_chain(
    said: list[tuple[str, str, str]], data: st.DataObject
) -> None:
    """Whatever a record says, saying anything else in one field is found at that record."""
    head, chain = Head(0, START), []
    for made, who, body in said:
        chain.append(link(head, 'entry', made, who, body))
        head = Head(chain[-1].sequence, chain[-1].hash)
    place = data.draw(st.integers(0, len(chain) - 1))
    field = data.draw(st.sampled_from(['made', 'who', 'body', 'previous', 'hash']))
    other = data.draw(TEXT.filter(lambda text: text != getattr(chain[place], field)))
    fields = {name: getattr(chain[place], name) for name in type(chain[place]).__slots__}
    altered = [*chain]
    altered[place] = type(chain[place])(**{**fields, field: other})

    assert walk(chain).holds
    assert place + 1 == walk(altered).broken_at


def test_fields_cannot_run_into_each_other() -> None:
    """Moving a letter from one field to the next gives another hash."""
    assert digest(1, 'entry', 'a', 'bc', '', START) != digest(1, 'entry', 'ab', 'c', '', START)


def test_json_has_no_nan() -> None:
    """What JSON (RFC 8259, section 6) does not allow is refused."""
    with pytest.raises(ValueError, match='Out of range'):
        as_json({'total': float('nan')})


@pytest.mark.parametrize(
    ('statement', 'broken_at', 'what'),
    [
        ("UPDATE record SET body = replace(body, '4.5', '5.5') WHERE sequence = 3", 3, 'hash'),
        ("UPDATE record SET who = 'Mallory' WHERE sequence = 2", 2, 'hash'),
        ("UPDATE record SET made = '2001-01-01T00:00:00Z' WHERE sequence = 4", 4, 'hash'),
        ('DELETE FROM record WHERE sequence = 3', 3, 'missing'),
        ('DELETE FROM record WHERE sequence = 1', 1, 'missing'),
        ("UPDATE record SET hash = printf('%064d', 1) WHERE sequence = 4", 4, 'hash'),
        ("UPDATE record SET body = CAST(x'7bff7d' AS TEXT) WHERE sequence = 4", 4, 'read'),
        ("UPDATE record SET body = x'00ff' WHERE sequence = 4", 4, 'not text'),
        ('UPDATE record SET sequence = 9 WHERE sequence = 4', 4, 'missing'),
    ],
)
def test_tampering_past_the_guards_is_found(
    tmp_path: Path, statement: str, broken_at: int, what: str
) -> None:
    """A change made through a raw connection is found, at the first record that it touched."""
    with opened(tmp_path) as ledger:
        ledger.append([arrived(wine=wine) for wine in ('w1', 'w2', 'w3')], who="Mira")
        assert ledger.verify().holds
        with closing(unguarded(tmp_path)) as raw:
            raw.execute(statement)
        result = ledger.verify()

    assert broken_at == result.broken_at
    assert what in result.what


def test_missing_guards_are_found(tmp_path: Path) -> None:
    """A record whose chain holds but whose guards were taken out does not verify."""
    with opened(tmp_path) as ledger:
        unguarded(tmp_path).close()
        result = ledger.verify()

    assert not result.holds
    assert 'guards' in result.what
    assert result.broken_at is None


def test_a_noted_head_shows_a_cut_off_end(tmp_path: Path) -> None:
    """The chain alone cannot see its end cut off; a head noted down can."""
    with opened(tmp_path) as ledger:
        ledger.append([arrived(), arrived(wine='w2')], who="Mira")
        noted = ledger.head.hash
        ledger.append([arrived(wine='w3')], who="Mira")
        assert 3 == ledger.verify(noted).noted_at
        assert 3 == ledger.verify(noted[:16]).noted_at
        with closing(unguarded(tmp_path)) as raw:
            raw.execute('DELETE FROM record WHERE sequence > 2')
        assert ledger.verify().broken_at is None
        cut = ledger.verify(noted)

    assert not cut.holds
    assert 'cut off' in cut.what


def test_a_record_written_anew_is_found_by_a_noted_head(tmp_path: Path) -> None:
    """A forger who computes the whole chain again gets another head."""
    (tmp_path / 'forged').mkdir()
    with opened(tmp_path) as ledger:
        ledger.append([arrived()], who="Mira")
        noted = ledger.head.hash
    with opened(tmp_path / 'forged') as forged:
        forged.append([arrived(aroma=6.0)], who="Mira")
        assert forged.verify().holds
        assert not forged.verify(noted).holds
