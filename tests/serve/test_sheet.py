"""The taster's sheet over HTTP: what a phone gets, and what becomes of what it sends."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from tests.serve.conftest import HIDDEN, TASTING, Evening, serve, write_tasting
from tests.serve.filled import DEVICE, OTHER, body, pour_id, sheet

from halfpoint.ledger.records import Consented
from halfpoint.serve.served import local_now, open_ledger
from halfpoint.serve.settings import Settings
from halfpoint.sheet.load import load_sheet

ENTRIES = '/api/sheet/entries'


def codes_of(evening: Evening, seat: int = 1, site: str = 'mill') -> list[str]:
    return [pour.code for pour in evening.seating.plan.by_seat[site, seat]]


def send(evening: Evening, *entries: dict, device: str = DEVICE, seat: int = 1) -> list[dict]:
    answer = evening.client.put(
        ENTRIES,
        json=body(*entries, device=device),
        headers=evening.taster(seat=seat, device=device),
    )
    assert 200 == answer.status_code, answer.text
    return answer.json()['answers']


def test_the_sheet_is_whole(evening: Evening) -> None:
    """A phone gets the score sheet, its pours by code, and cautions."""
    got = evening.client.get('/api/sheet', headers=evening.taster()).json()
    known = load_sheet('twenty-point')
    assert [c.key for c in known.categories] == [c['key'] for c in got['sheet']['categories']]
    assert [f.key for f in known.families] == [f['key'] for f in got['sheet']['families']]
    assert codes_of(evening) == [pour['code'] for pour in got['pours']]
    assert list(range(1, len(got['pours']) + 1)) == [pour['position'] for pour in got['pours']]
    assert ('mill', "The Old Mill") == (got['site']['key'], got['site']['name'])
    assert 'ansel' == got['taster']
    assert 'open' == got['tasting']['state']
    assert got['cautions']
    assert [] == got['sent']


def test_nothing_names_a_wine(evening: Evening) -> None:
    """Neither the sheet nor any answer has a word of the names behind the codes."""
    first, *_ = codes_of(evening)
    said = [
        evening.client.get('/api/sheet', headers=evening.taster()).text,
        json.dumps(send(evening, sheet(first), sheet('000'))),
        json.dumps(send(evening, sheet(first, aroma=1.0, device=OTHER), device=OTHER)),
        evening.client.get('/api/sheet', headers=evening.taster()).text,
    ]
    assert [] == [word for word in HIDDEN if word in ' '.join(said).casefold()]


def test_an_unchanged_sheet_is_not_sent_again(evening: Evening) -> None:
    """With the tag of what it has a phone gets nothing until something has changed."""
    headers = evening.taster()
    first = evening.client.get('/api/sheet', headers=headers)
    tag = {'If-None-Match': first.headers['ETag']}
    assert 304 == evening.client.get('/api/sheet', headers=headers | tag).status_code
    send(evening, sheet(codes_of(evening)[0]))
    headers = evening.taster()
    assert 200 == evening.client.get('/api/sheet', headers=headers | tag).status_code


def test_a_sheet_is_kept_and_comes_back(evening: Evening) -> None:
    """What is answered as kept is in the record, and is shown on the seat's sheet."""
    code = codes_of(evening)[1]
    more = {
        'terms': ['lemon'], 'own_words': ["wet slate", "Lemon"], 'finish_seconds': 22,
        'remark': "עם לימון 🍋", 'written': '2026-03-14T19:05:00Z',
    }  # fmt: skip
    (answer,) = send(evening, sheet(code, **more))
    assert 'kept' == answer['state']
    (shown,) = evening.client.get('/api/sheet', headers=evening.taster()).json()['sent']
    assert (answer['entry'], 'kept', 15.0) == (shown['entry'], shown['state'], shown['total'])
    assert (pour_id(code), 1) == (shown['id'], shown['version'])
    assert (['lemon'], ["wet slate"]) == (shown['terms'], shown['own_words'])
    assert "עם לימון 🍋" == shown['remark']


def test_the_same_again_is_already_there(evening: Evening) -> None:
    """What was not answered can always be sent again, in any company."""
    one, two, *_ = codes_of(evening)
    assert ['kept'] == [a['state'] for a in send(evening, sheet(one))]
    again = send(evening, sheet(one), sheet(two), sheet(one), sheet(one, 2, aroma=5))
    assert ['already', 'kept', 'already', 'kept'] == [a['state'] for a in again]
    assert 1 == len({a['entry'] for a in again if a['id'] == pour_id(one)})


def test_two_devices_on_one_seat_are_a_conflict(evening: Evening) -> None:
    """The second is held, with words for the taster and nothing lost."""
    code = codes_of(evening)[0]
    send(evening, sheet(code))
    (answer,) = send(evening, sheet(code, device=OTHER, aroma=2), device=OTHER)
    assert 'conflict' == answer['state']
    assert "2, where 4½ is recorded for this pour" == answer['problems'][0]['found']
    shown = evening.client.get('/api/sheet', headers=evening.taster()).json()['sent']
    assert ['kept', 'conflict'] == [each['state'] for each in shown]
    assert [4.5, 2.0] == [each['marks']['aroma'] for each in shown]


@pytest.mark.parametrize(
    ('change', 'field'),
    [
        ({'marks': {'aroma': 4.3}}, 'aroma'),
        ({'code': '000'}, 'code'),
        ({'code': ''}, 'code'),
        ({'finish_seconds': 9999}, 'finish_seconds'),
        ({'faults': ['ghost']}, 'faults'),
        ({'remark': 'a\x00b'}, 'remark'),
        ({'remark': 'x' * 20_000}, 'remark'),
        ({'own_words': ['x' * 200]}, 'own_words'),
        ({'marks': {'colour': 3}}, 'colour'),
    ],
)
def test_what_cannot_be_accepted_is_held(evening: Evening, change: dict, field: str) -> None:
    """Each is answered with its field and reason, and kept as it was sent."""
    asked = sheet(codes_of(evening)[0])
    marks = {**asked['marks'], **change.get('marks', {})}
    (answer,) = send(evening, {**asked, **change, 'marks': marks})
    assert 'held' == answer['state']
    assert field in {problem['field'] for problem in answer['problems']}
    assert all(problem['expected'] for problem in answer['problems'])
    (shown,) = evening.client.get('/api/sheet', headers=evening.taster()).json()['sent']
    assert 'held' == shown['state']


def test_half_a_character_is_held(evening: Evening) -> None:
    """A lone surrogate is no text: the sheet is held with it written out."""
    asked = json.dumps(body(sheet(codes_of(evening)[0], remark='a\ud83db')))
    answer = evening.client.put(ENTRIES, content=asked, headers=evening.taster())
    assert ['held'] == [a['state'] for a in answer.json()['answers']]
    (shown,) = evening.client.get('/api/sheet', headers=evening.taster()).json()['sent']
    assert r'a\x1aud83db' == shown['remark']


def test_an_unknown_term_is_an_own_word(evening: Evening) -> None:
    """A page older than the score sheet loses no word."""
    (answer,) = send(evening, sheet(codes_of(evening)[0], terms=['lemon', 'moon dust']))
    assert 'kept' == answer['state']
    (shown,) = evening.client.get('/api/sheet', headers=evening.taster()).json()['sent']
    assert (['lemon'], ['moon dust']) == (shown['terms'], shown['own_words'])


def test_an_unfinished_sheet_is_kept_as_one(evening: Evening) -> None:
    """Marks still to come are no mistake, but no entry either, until they are there."""
    code = codes_of(evening)[0]
    (answer,) = send(evening, sheet(code, aroma=None, complete=False))
    assert 'held' == answer['state']
    assert "nothing yet: this pour is not finished" == answer['problems'][0]['found']
    assert 'kept' == send(evening, sheet(code, 2))[0]['state']
    shown = evening.client.get('/api/sheet', headers=evening.taster()).json()['sent']
    assert ['kept'] == [each['state'] for each in shown]


def test_hints_come_with_the_answer(evening: Evening) -> None:
    """A contradiction is told once, when it is kept; no mark is changed."""
    asked = sheet(codes_of(evening)[0], faults=['corked'], aroma=6)
    (answer,) = send(evening, asked)
    assert 'kept' == answer['state']
    assert ['aroma'] == [hint['field'] for hint in answer['hints'][:1]]


def test_a_10_mb_remark_is_refused_in_words(evening: Evening) -> None:
    """More than 256 KB is refused before it is read, and nothing is recorded."""
    asked = body(sheet(codes_of(evening)[0], remark='x' * 10_000_000))
    answer = evening.client.put(ENTRIES, json=asked, headers=evening.taster())
    assert 413 == answer.status_code
    assert answer.json()['remedy']
    assert [] == evening.client.get('/api/sheet', headers=evening.taster()).json()['sent']


@pytest.mark.parametrize(
    'content',
    [
        b'', b'{', b'[]', b'\xff\xfe', b'{"device": "x", "entries": []}',
        b'[' * 100_000, b'{"a": "\\ud83d"}',
        json.dumps(body(*[sheet('123')] * 65)).encode(),
        json.dumps(body(sheet('123', version=0))).encode(),
        json.dumps(body(sheet('123', id='nine'))).encode(),
    ],
)  # fmt: skip
def test_what_is_not_as_agreed_is_refused(evening: Evening, content: bytes) -> None:
    """A body that is no request is refused as a whole, in words, with nothing recorded."""
    answer = evening.client.put(ENTRIES, content=content, headers=evening.taster())
    assert 422 == answer.status_code
    assert {'found', 'where', 'expected', 'remedy', 'code'} == set(answer.json())


def test_another_devices_token_is_refused(evening: Evening) -> None:
    """Sheets of one device cannot be sent with the token of another."""
    answer = evening.client.put(
        ENTRIES, json=body(sheet('123'), device=OTHER), headers=evening.taster()
    )
    assert (409, 'other-device') == (answer.status_code, answer.json()['code'])


def test_without_a_token_nothing_is_given(evening: Evening) -> None:
    """Neither sheet nor sending without a seat, nor with a host's link."""
    assert 401 == evening.client.get('/api/sheet').status_code
    assert 401 == evening.client.put(ENTRIES, json=body(sheet('123'))).status_code
    assert 403 == evening.client.get('/api/sheet', headers=evening.host()).status_code


@pytest.mark.parametrize(('days', 'word'), [(5, "before"), (-5, "after")])
def test_outside_its_days_a_sheet_is_held(
    tmp_path: pytest.TempPathFactory, days: int, word: str
) -> None:
    """By the server's clock, whatever the device says; held, not lost."""
    day = local_now().date() + timedelta(days=days)
    dated = TASTING.replace('invented = true', f'invented = true\nopens = {day}\ncloses = {day}')
    for evening in serve(Settings(tasting=write_tasting(tmp_path, dated))):
        code = codes_of(evening)[0]
        (answer,) = send(evening, sheet(code, written='1999-01-01T00:00:00Z'))
        assert 'held' == answer['state']
        assert word in answer['problems'][0]['found']
        assert "by the server's clock" in answer['problems'][0]['expected']


def test_a_seat_cannot_touch_another(evening: Evening) -> None:
    """What one seat sends, even under another's id, never changes the other's entry."""
    one = codes_of(evening, 1)[0]
    send(evening, sheet(one))
    send(evening, sheet(one, 2, aroma=1), seat=2)
    (shown,) = evening.client.get('/api/sheet', headers=evening.taster()).json()['sent']
    assert 4.5 == shown['marks']['aroma']


def test_a_letter_is_the_tasters_own_choice(evening: Evening) -> None:
    """No letter unless asked for; asked for and taken back it is in the record, once each."""
    sheet_now = lambda: evening.client.get('/api/sheet', headers=evening.taster()).json()  # noqa: E731
    assert sheet_now()['letter'] is False
    for wanted in (True, True, False):
        said = evening.client.put(
            '/api/sheet/letter', json={'wanted': wanted}, headers=evening.taster()
        )
        assert (200, {'wanted': wanted}) == (said.status_code, said.json())
        assert wanted == sheet_now()['letter']
    with open_ledger(evening.tasting) as ledger:
        told = [(r.who, r.content) for r in ledger.records() if r.kind == 'consent']
    assert [('ansel', Consented('ansel', True)), ('ansel', Consented('ansel', False))] == told


def test_a_letter_is_asked_for_from_a_seat(evening: Evening) -> None:
    """Without a seat, or with something else than yes or no, nothing is recorded."""
    assert 401 == evening.client.put('/api/sheet/letter', json={'wanted': True}).status_code
    said = evening.client.put(
        '/api/sheet/letter', json={'wanted': 'perhaps'}, headers=evening.taster()
    )
    assert 422 == said.status_code
