"""A host's page over HTTP: the own site and no other, and never a wine."""

from __future__ import annotations

import gzip
import json
from pathlib import Path
from typing import Any

import pytest
from tests.serve.conftest import HIDDEN, Evening, serve, write_tasting
from tests.serve.filled import DEVICE, OTHER, body, sheet
from typer.testing import CliRunner

from halfpoint.cli.main import app
from halfpoint.errors import InputError
from halfpoint.publish.handouts.single import WITHOUT_WINES
from halfpoint.serve.settings import Settings


def codes_of(evening: Evening, seat: int = 1, site: str = 'mill') -> list[str]:
    return [pour.code for pour in evening.seating.plan.by_seat[site, seat]]


def send(evening: Evening, *entries: Any, seat: int = 1, site: str = 'mill') -> list[Any]:
    answer = evening.client.put(
        '/api/sheet/entries', json=body(*entries), headers=evening.taster(site, seat)
    )
    return answer.json()['answers']


def site_of(evening: Evening, site: str = 'mill') -> dict[str, Any]:
    answer = evening.client.get('/api/site', headers=evening.host(site))
    assert 200 == answer.status_code, answer.text
    return answer.json()


def seat_of(shown: dict[str, Any], number: int) -> dict[str, Any]:
    return next(s for table in shown['tables'] for s in table['seats'] if s['seat'] == number)


def test_a_host_sees_who_has_sent_what(evening: Evening) -> None:
    """Seat by seat: how many pours, sent, held, phones; and what waits, by code."""
    one, two, *_ = codes_of(evening, 2)
    send(evening, sheet(one), sheet(two, aroma=4.3), seat=2)
    shown = site_of(evening)
    seat = seat_of(shown, 2)
    assert (4, 1, 1, 1) == (seat['pours'], seat['sent'], seat['held'], seat['devices'])
    assert seat['last_seen'].endswith('Z')
    assert (16, 1) == (shown['expected'], shown['arrived'])
    assert [(2, two, 'aroma')] == [(h['seat'], h['code'], h['field']) for h in shown['held']]
    assert "Ansel Marrow" == seat_of(shown, 1)['name']
    assert [evening.code('mill', 1)] == [table['code'] for table in shown['tables']]


def test_a_host_sees_no_other_site(evening: Evening) -> None:
    """Neither counts nor held sheets of another site, nor its seats."""
    send(evening, sheet(codes_of(evening)[0], aroma=4.3))
    shown = site_of(evening, 'quay')
    assert (0, []) == (shown['arrived'], shown['held'])
    assert 'mill' not in json.dumps(shown)
    answer = evening.client.get('/api/site/seats/4/entries', headers=evening.host('quay'))
    assert (404, 'no-such-seat') == (answer.status_code, answer.json()['code'])


def test_a_taster_is_no_host(evening: Evening) -> None:
    """The token of a seat opens none of a host's pages."""
    for path in ('/api/site', '/api/site/run-sheet', '/api/site/seats/1/entries'):
        assert 403 == evening.client.get(path, headers=evening.taster()).status_code
        assert 401 == evening.client.get(path).status_code


def test_nothing_a_host_gets_names_a_wine(evening: Evening) -> None:
    """Every page and file of the host, with sheets in the record, and held ones."""
    headers = evening.host()
    send(evening, *(sheet(code) for code in codes_of(evening)))
    send(evening, sheet('000'), seat=2)
    told = [
        evening.client.get(path, headers=headers).text
        for path in ('/api/site', '/api/site/run-sheet', '/api/site/seats/1/entries')
    ]
    bundle = evening.client.get('/api/site/bundle', headers=headers).content
    told.append(gzip.decompress(bundle).decode())
    assert [] == [word for word in HIDDEN if word in ' '.join(told).casefold()]


def test_a_seat_is_added(evening: Evening) -> None:
    """The new seat has a number of its own, pours of another's order, and takes sheets."""
    asked = {'table': 1, 'name': "Late Comer"}
    added = evening.client.post('/api/site/seats', json=asked, headers=evening.host()).json()
    assert {'seat': 5, 'table': 1, 'taster': 'mill-seat-5', 'pours_like': 1} == added
    got = evening.client.get('/api/sheet', headers=evening.taster(seat=5)).json()
    assert codes_of(evening, 1) == [pour['code'] for pour in got['pours']]
    (answer,) = send(evening, sheet(codes_of(evening)[0]), seat=5)
    assert 'kept' == answer['state']
    seat = seat_of(site_of(evening), 5)
    assert ("Late Comer", True, 1) == (seat['name'], seat['added'], seat['sent'])
    again = evening.client.post('/api/site/seats', json={'table': 1}, headers=evening.host())
    assert (6, 2) == (again.json()['seat'], again.json()['pours_like'])
    assert 'Late' not in ''.join(p.read_text('latin-1') for p in _ledger_files(evening))


def _ledger_files(evening: Evening) -> list[Path]:
    return list(evening.settings.folder.glob('*.ledger*'))


def test_a_seat_at_no_table_is_refused(evening: Evening) -> None:
    """A table that is not there is told so."""
    answer = evening.client.post('/api/site/seats', json={'table': 9}, headers=evening.host())
    assert 404 == answer.status_code
    assert "a table of the plan" == answer.json()['expected']


def test_a_paper_sheet_is_typed_in(evening: Evening) -> None:
    """A host's sheet is an entry like any other; the phone's own is not overwritten."""
    one, two, *_ = codes_of(evening)
    send(evening, sheet(one))
    path, headers = '/api/site/seats/1/entries', evening.host()
    typed = body(sheet(one, device=OTHER, aroma=2), sheet(two, device=OTHER, aroma=2), device=OTHER)
    answers = evening.client.put(path, json=typed, headers=headers).json()['answers']
    assert ['conflict', 'kept'] == [answer['state'] for answer in answers]
    shown = evening.client.get(path, headers=headers).json()
    assert ['kept', 'kept', 'conflict'] == [each['state'] for each in shown['sent']]


def test_the_run_sheet_joins_no_code_to_a_bag(evening: Evening) -> None:
    """Letters by seat and time; the codes of a flight beside them, in numerical order."""
    shown = evening.client.get('/api/site/run-sheet', headers=evening.host()).json()
    (flight,) = shown['flights']
    assert sorted(codes_of(evening)) == flight['codes']
    (table,) = flight['tables']
    assert [1, 2, 3, 4] == [each['position'] for each in table['rounds']]
    assert {'1', '2', '3', '4'} == set(table['rounds'][0]['bags'])
    by_seat = {p.position: p.bag for p in evening.seating.plan.by_seat['mill', 1]}
    assert by_seat == {each['position']: each['bags']['1'] for each in table['rounds']}


@pytest.mark.parametrize('kind', ['run-sheet', 'table-cards'])
def test_a_host_prints_what_names_no_wine(evening: Evening, kind: str) -> None:
    """The papers of the site come as PDF."""
    answer = evening.client.get(f'/api/site/papers/{kind}.pdf', headers=evening.host())
    assert (200, 'application/pdf') == (answer.status_code, answer.headers['Content-Type'])
    assert answer.content.startswith(b'%PDF')


@pytest.mark.parametrize('kind', ['cellar-key', 'cellar-list', 'shopping-list', 'nothing'])
def test_a_host_prints_nothing_that_names_wines(evening: Evening, kind: str) -> None:
    """Those papers are the organiser's."""
    answer = evening.client.get(f'/api/site/papers/{kind}.pdf', headers=evening.host())
    assert (404, 'no-such-paper') == (answer.status_code, answer.json()['code'])
    assert kind not in WITHOUT_WINES


# --- bundles ------------------------------------------------------------------------


def bundle_of(evening: Evening, site: str = 'mill') -> bytes:
    return evening.client.get('/api/site/bundle', headers=evening.host(site)).content


def load(evening: Evening, data: bytes, site: str = 'mill') -> Any:
    files = {'file': ('mill.halfpoint-site.json.gz', data)}
    return evening.client.post('/api/site/bundle', files=files, headers=evening.host(site))


@pytest.fixture
def filled(evening: Evening) -> Evening:
    """A site with two sheets kept, one held and one in conflict."""
    one, two, three, _ = codes_of(evening)
    send(evening, sheet(one, terms=['lemon'], own_words=["wet slate"]), sheet(two))
    send(evening, sheet(one, 2, aroma=5, remark="½ עברית 🍷"), sheet(three, aroma=4.3))
    evening.client.put(
        '/api/sheet/entries',
        json=body(sheet(two, device=OTHER, aroma=1, own_words=["wet, warm slate"]), device=OTHER),
        headers=evening.taster(device=OTHER),
    )
    return evening


def test_a_bundle_loaded_elsewhere_brings_all(filled: Evening, tmp_path: Path) -> None:
    """Entries, corrections and held sheets come over; loading it again adds nothing."""
    data = bundle_of(filled)
    assert data == bundle_of(filled)
    (tmp_path / 'elsewhere').mkdir()
    for other in serve(Settings(tasting=write_tasting(tmp_path / 'elsewhere'))):
        assert codes_of(filled) == codes_of(other)
        loaded = load(other, data).json()
        assert (2, 0, 2) == (loaded['new'], loaded['already'], len(loaded['held']))
        shown = _without_numbers(other.client.get('/api/sheet', headers=other.taster()).json())
        here = _without_numbers(filled.client.get('/api/sheet', headers=filled.taster()).json())
        assert here == shown
        version = other.run(_version, other)
        again = load(other, data).json()
        assert (0, 2, 2) == (again['new'], again['already'], len(again['held']))
        assert version == other.run(_version, other)
        # A phone that comes home later is known by what it sent in its own room.
        code = codes_of(other)[0]
        asked = sheet(code, 2, aroma=5, remark="½ עברית 🍷")
        assert ['already'] == [a['state'] for a in send(other, asked)]


async def _version(evening: Evening) -> int:
    served = await evening.house.served()
    return await served.writer.read(lambda state: state.last)


def _without_numbers(shown: dict[str, Any]) -> list[Any]:
    left_out = {'entry', 'problems'}
    return sorted(
        ({k: v for k, v in each.items() if k not in left_out} for each in shown['sent']),
        key=lambda each: (each['code'], each['state']),
    )


def test_a_bundle_loaded_where_it_was_made_adds_nothing(filled: Evening) -> None:
    """All of it is there already."""
    version = filled.run(_version, filled)
    assert 0 == load(filled, bundle_of(filled)).json()['new']
    assert version == filled.run(_version, filled)


def _changed(data: bytes, **change: Any) -> bytes:
    told = json.loads(gzip.decompress(data))
    return json.dumps(told | change).encode()


def test_a_poor_bundle_is_refused_in_words(filled: Evening) -> None:
    """Cut off, altered, of a later form, another tasting or site, or no bundle: nothing changes."""
    data, version = bundle_of(filled), filled.run(_version, filled)
    poor = {
        "cut off": data[: len(data) // 2],
        "cut": gzip.decompress(data)[:-20],
        "not as it was saved": _changed(data, entries=[]),
        "later halfpoint": _changed(data, version=2),
        "no bundle": b'{"format": "else"}',
        "or no bundle": b'\x1f\x8b junk',
        "no bundle of a site": b'[]',
    }
    for words, bad in poor.items():
        answer = load(filled, bad)
        assert (422, words in answer.json()['found']) == (answer.status_code, True), answer.text
        assert answer.json()['remedy']
    assert "of the site 'mill'" in load(filled, data, site='quay').json()['found']
    assert version == filled.run(_version, filled)


def test_a_bundle_of_another_tasting_is_refused(filled: Evening, tmp_path: Path) -> None:
    """The refusal says which tasting it is of."""
    text = (filled.settings.folder / 'tasting.toml').read_text().replace('mossgate', 'moorgate')
    (tmp_path / 'elsewhere').mkdir()
    for other in serve(Settings(tasting=write_tasting(tmp_path / 'elsewhere', text))):
        answer = load(other, bundle_of(filled))
        assert "a bundle of the tasting 'mossgate'" == answer.json()['found']


def test_a_bundle_cannot_speak_for_another_site(filled: Evening) -> None:
    """A bundle whose digest is right but whose tasters sit elsewhere is refused whole."""
    from halfpoint.ledger.bundle import _digest

    told = json.loads(gzip.decompress(bundle_of(filled)))
    told.pop('sha256')
    told['entries'][0]['taster'] = 'quay-seat-1'
    forged = json.dumps({**told, 'sha256': _digest(told)}).encode()
    answer = load(filled, forged)
    assert (422, "sheets of others" in answer.text) == (answer.status_code, True)


def test_a_device_is_named_in_no_bundle(filled: Evening) -> None:
    """What a device calls itself stays with the device."""
    assert DEVICE not in gzip.decompress(bundle_of(filled)).decode()


def test_the_organiser_gathers_a_bundle(filled: Evening, tmp_path: Path) -> None:
    """On the command line a bundle is a file like any other; gathered again it adds nothing."""
    (tmp_path / 'elsewhere').mkdir()
    file = write_tasting(tmp_path / 'elsewhere')
    bundle = file.with_name('mill.halfpoint-site.json.gz')
    bundle.write_bytes(bundle_of(filled))
    first = CliRunner().invoke(app, ['gather', str(file), str(bundle)])
    assert "2 new entries, 0 already there, 2 held" in first.output
    again = CliRunner().invoke(app, ['gather', str(file), str(bundle)])
    assert "0 new entries, 2 already there, 0 held" in again.output
    bundle.write_bytes(bundle.read_bytes()[:-30])
    broken = CliRunner().invoke(app, ['gather', str(file), str(bundle)])
    assert isinstance(broken.exception, InputError)
