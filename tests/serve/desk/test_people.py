"""People and privacy at the desk."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.serve.conftest import Evening
from tests.serve.desk.filled_desk import fill

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.replay import replay
from halfpoint.serve.served import open_ledger

DESK = '/api/desk'


@pytest.fixture
def filled(evening: Evening) -> Evening:
    """Every pour has its sheet."""
    fill(evening)
    return evening


def _person(evening: Evening, key: str) -> dict[str, object]:
    rows = evening.client.get(f'{DESK}/people', headers=evening.log_in()).json()
    return next(row for row in rows if row['key'] == key)


def test_everybody_is_listed(filled: Evening) -> None:
    """Each seat is a person, with what came from it; a listed taster has a name."""
    rows = filled.client.get(f'{DESK}/people', headers=filled.log_in()).json()
    assert 7 == len(rows)
    assert {4} == {row['entries'] for row in rows}
    ansel = _person(filled, 'ansel')
    assert ('Ansel Marrow', True, 1) == (ansel['name'], ansel['listed'], ansel['devices'])


def test_name_and_consent_are_kept_at_the_desk(filled: Evening) -> None:
    """A name typed at the desk is shown there, and never reaches the record."""
    headers, key = filled.log_in(), filled.seating.plan.taster('quay', 2)
    said = filled.client.put(
        f'{DESK}/people/{key}', json={'name': 'Odo Brack', 'consent': True}, headers=headers
    )
    assert ('Odo Brack', True) == (said.json()['name'], said.json()['consent'])
    record = filled.client.get(f'{DESK}/files/record.ledger', headers=headers).content
    assert b'Odo Brack' not in record


def test_a_letter_is_agreed_to_apart_from_the_name(filled: Evening) -> None:
    """What the desk is told of letters goes into the record; left out, it stays as it is."""
    headers, key = filled.log_in(), filled.seating.plan.taster('quay', 2)
    assert _person(filled, key)['letter'] is False
    address = f'{DESK}/people/{key}'
    said = filled.client.put(address, json={'name': 'Odo Brack', 'letter': True}, headers=headers)
    assert (True, False) == (said.json()['letter'], said.json()['consent'])
    said = filled.client.put(address, json={'name': 'Odo', 'consent': True}, headers=headers)
    assert (True, True) == (said.json()['letter'], said.json()['consent'])
    with open_ledger(filled.tasting) as ledger:
        assert 1 == sum(record.kind == 'consent' for record in ledger.records())


def test_who_is_erased_gets_no_letter(filled: Evening) -> None:
    """Erasing a name takes back what was agreed to."""
    headers = filled.log_in()
    filled.client.put(
        f'{DESK}/people/ansel', json={'name': 'Ansel', 'letter': True}, headers=headers
    )
    said = filled.client.post(
        f'{DESK}/people/ansel/erase', json={'confirm': 'ansel'}, headers=headers
    )
    assert _person(filled, said.json()['called'])['letter'] is False


def test_export_has_all_that_is_kept(filled: Evening) -> None:
    """One file has the sheets of a person, and names no wine before the reveal."""
    said = filled.client.get(f'{DESK}/people/ansel/export', headers=filled.log_in())
    assert 200 == said.status_code, said.text
    told = said.json()
    assert 4 == len(told['entries'])
    assert {None} == {v['wine'] for e in told['entries'] for v in e['versions']}
    assert 'Ansel Marrow' == told['person']['name']
    assert told['records']


def test_erase_needs_the_key(filled: Evening) -> None:
    """Nothing is erased until the key is typed."""
    said = filled.client.post(
        f'{DESK}/people/ansel/erase', json={'confirm': 'yes'}, headers=filled.log_in()
    )
    assert 422 == said.status_code
    assert 'Ansel Marrow' == _person(filled, 'ansel')['name']


def test_erased_name_is_nowhere_shown(filled: Evening, tmp_path: Path) -> None:
    """After erasing neither name nor key is in any answer, nor in a cleaned copy; marks stay."""
    headers, phone = filled.log_in(), filled.taster('mill', 1)
    assert 200 == filled.client.get('/api/sheet', headers=phone).status_code
    wanted = {'confirm': 'ansel', 'who': 'Mara Quill', 'why': 'asked for'}
    said = filled.client.post(f'{DESK}/people/ansel/erase', json=wanted, headers=headers)
    assert 200 == said.status_code, said.text
    told = said.json()
    assert told['file_changed']
    assert told['devices'] >= 1
    assert 401 == filled.client.get('/api/sheet', headers=phone).status_code
    for address in ('people', 'files/entries.csv?pseudonyms=false', 'looks', 'set-aside'):
        text = filled.client.get(f'{DESK}/{address}', headers=headers).text.lower()
        assert 'ansel' not in text, address
        assert 'marrow' not in text, address
    site = filled.client.get('/api/site', headers=filled.host('mill')).text.lower()
    assert 'marrow' not in site
    assert 'ansel' not in site
    assert 'Marrow' not in filled.settings.tasting.read_text()
    assert 4 == _person(filled, told['called'])['entries']
    clean = filled.client.post(
        f'{DESK}/people/{told["called"]}/cleaned.ledger',
        json={'names': ['Ansel Marrow'], 'who': 'Mara Quill', 'why': 'the key is a name'},
        headers=headers,
    )
    assert 200 == clean.status_code, clean.text
    assert b'ansel' not in clean.content.lower()
    copy = tmp_path / 'clean.ledger'
    copy.write_bytes(clean.content)
    with Ledger.open(copy, tasting_key='mossgate', create=False) as ledger:
        assert ledger.verify().holds
        assert 28 == len(replay(ledger.records()).entries)


def test_stranger_is_refused(filled: Evening) -> None:
    """A key that nobody has is refused in words."""
    said = filled.client.get(f'{DESK}/people/nobody/export', headers=filled.log_in())
    assert 404 == said.status_code
    assert said.json()['expected']
