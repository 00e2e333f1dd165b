"""Taking a seat: codes, tables, and two devices on one seat."""

from __future__ import annotations

import pytest
from tests.serve.conftest import DEVICE, another_device


def _join(evening, code):
    return evening.client.post('/api/join', json={'code': code})


def _sit(evening, **place):
    sent = {'code': evening.code(), 'seat': 1, 'device': DEVICE, **place}
    return evening.client.post('/api/join/seat', json=sent)


def test_a_code_opens_its_table(evening) -> None:
    """The code on a table's card gives the site, the table, its seats and the cautions."""
    told = _join(evening, evening.code('quay')).json()
    assert ({'key': 'quay', 'name': "Quay House"}, 1) == (told['site'], told['table'])
    assert [{'seat': seat, 'taken': False} for seat in (1, 2, 3)] == told['seats']
    assert told['tasting']['invented']
    assert any('spit' in caution for caution in told['cautions'])


@pytest.mark.parametrize('write', [str.lower, lambda c: f' {c[:3]} {c[3:]} ', '-'.join])
def test_a_code_may_be_typed_as_it_is_spoken(evening, write) -> None:
    """Small letters, spaces and hyphens in a code do not matter."""
    assert 200 == _join(evening, write(evening.code())).status_code


@pytest.mark.parametrize('code', ['', 'AEIOUA', 'a' * 40, '🍷', '\u202ecode', '\x00'])
def test_an_unknown_code_is_refused_in_words(evening, code) -> None:
    """A code that is nowhere gets an answer that says where to look."""
    answer = _join(evening, code)
    assert (404, 'unknown-code') == (answer.status_code, answer.json()['code'])
    assert 'card' in answer.json()['remedy']


def test_guessing_codes_is_slowed_down(evening) -> None:
    """After many wrong codes from one address, a right one has to wait too."""
    most = evening.settings.limits.wrong_codes.most
    assert {404} == {_join(evening, 'AEIOUA').status_code for _ in range(most)}
    answer = _join(evening, evening.code())
    assert 429 == answer.status_code
    assert 0 < int(answer.headers['retry-after']) <= 600


def test_a_whole_room_joins_from_one_address(evening) -> None:
    """Sixty phones behind one router join one table without being slowed down."""
    code = evening.code()
    assert {200} == {_join(evening, code).status_code for _ in range(60)}


def test_a_code_that_everybody_tries_is_slowed_down(evening) -> None:
    """One code takes only so many in a minute, wherever they come from."""
    code, most = evening.code(), evening.settings.limits.joins_by_code.most
    assert {200} == {_join(evening, code).status_code for _ in range(most)}
    assert 429 == _join(evening, code).status_code


def test_a_device_sits_down(evening) -> None:
    """A seat gives a token; the taster is called as the plan says, or by the seat."""
    assert {'site': 'mill', 'seat': 1, 'taster': 'ansel', 'again': False} == {
        key: value for key, value in _sit(evening).json().items() if key != 'token'
    }
    assert 'mill-seat-2' == _sit(evening, seat=2).json()['taster']
    taken = [seat['taken'] for seat in _join(evening, evening.code()).json()['seats']]
    assert [True, True, False, False] == taken


def test_a_second_device_may_sit_down_and_is_told(evening) -> None:
    """A taken seat may be taken again; both devices have it then."""
    first = _sit(evening).json()
    second = _sit(evening, device=another_device()).json()
    assert (False, True) == (first['again'], second['again'])
    for one in (first, second):
        headers = {'Authorization': f'Bearer {one["token"]}'}
        assert 200 == evening.client.get('/api/sheet', headers=headers).status_code


def test_the_same_device_again_is_the_same(evening) -> None:
    """A device that joins once more at its seat is not told that somebody sits there."""
    first, second = _sit(evening).json(), _sit(evening).json()
    assert not second['again']
    assert 1 == len(evening.house.desk.devices('mill'))
    old = {'Authorization': f'Bearer {first["token"]}'}
    assert 401 == evening.client.get('/api/sheet', headers=old).status_code


def test_a_name_goes_to_the_desk_and_not_into_the_record(evening) -> None:
    """A typed name, in whatever letters, is kept by the desk alone."""
    name = "أمل ½ 🍇 O’Neill"
    assert 200 == _sit(evening, seat=2, name=f'  {name} ').status_code
    assert [('mill-seat-2', name)] == [(n.taster, n.name) for n in evening.house.desk.names()]
    assert name not in evening.tasting.ledger.read_bytes().decode('utf-8', 'replace')


@pytest.mark.parametrize(
    'place',
    [
        {'seat': 5}, {'seat': 0}, {'seat': 10**30}, {'seat': '1; drop'}, {'device': 'mine'},
        {'name': 'n' * 81}, {'name': 'two\nlines'}, {'code': None},
    ],
)  # fmt: skip
def test_a_seat_that_cannot_be_taken(evening, place) -> None:
    """A seat that is not there, or something no page would send, is refused in words."""
    answer = _sit(evening, **place)
    assert answer.status_code in {404, 422}
    assert {'found', 'where', 'expected', 'remedy', 'code'} == answer.json().keys()
    assert [] == evening.house.desk.devices()


def test_a_seat_that_is_not_there_is_told_of(evening) -> None:
    """Whoever names a seat that the table does not have is told to look at its label."""
    told = _sit(evening, seat=5).json()
    assert ('no-such-seat', "no seat 5 at this table") == (told['code'], told['found'])
    assert 'label' in told['remedy']


def test_a_seat_of_its_own_code(evening) -> None:
    """The code of one seat opens that seat and no other of its table."""
    seating = evening.seating
    code = seating.seat_codes['mill', 3]
    assert [3] == [seat['seat'] for seat in _join(evening, code).json()['seats']]
    assert 404 == _sit(evening, code=code, seat=2).status_code
    assert 200 == _sit(evening, code=code, seat=3).status_code
    codes = [*seating.seat_codes.values(), *seating.table_codes.values()]
    assert len(codes) == len(set(codes))


def test_joining_before_there_is_a_plan(unplanned) -> None:
    """Before the pours are planned nobody has a seat, and that is said."""
    answer = _join(unplanned, 'RKT74C')
    assert 409 == answer.status_code
    assert 'planned' in answer.json()['found']


def test_joining_before_there_is_a_tasting(empty) -> None:
    """Before there is a tasting, joining says so."""
    answer = _join(empty, 'RKT74C')
    assert (404, "there is no tasting here yet") == (answer.status_code, answer.json()['found'])
