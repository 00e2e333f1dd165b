"""A sheet that was filed under a wrong seat, room, taster or wine, put right at the desk."""

from __future__ import annotations

from typing import Any

import pytest
from tests.serve.conftest import HIDDEN, Evening, another_device
from tests.serve.desk.filled_desk import send
from tests.serve.desk.looking import decide, last, looks
from tests.serve.filled import sheet

from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import EntryRecorded
from halfpoint.plan.model import Pour
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.validity import check_entry

ENTRIES = '/api/desk/entries'


@pytest.fixture
def pour(evening: Evening) -> Pour:
    """The first pour of seat 1 of the mill, with a sheet: entry 3."""
    pour = next(p for p in evening.plan.pours if ('mill', 1, 1) == (p.site, p.seat, p.position))
    send(evening, pour, sheet(pour.code))
    return pour


def _at(evening: Evening, like: Pour, seat: int, site: str = 'mill') -> Pour:
    """The pour of the same wine at another seat."""
    return next(
        p for p in evening.plan.pours if (site, seat, like.wine) == (p.site, p.seat, p.wine)
    )


def _ask(evening: Evening, path: str, body: dict[str, Any], status: int = 200) -> Any:
    answer = evening.client.post(f'{ENTRIES}/{path}', json=body, headers=evening.log_in())
    assert status == answer.status_code, answer.text
    return answer.json()


def _move(evening: Evening, status: int = 200, entry: int = 3, **wanted: Any) -> Any:
    body = {'version': 0, 'why': 'wrong phone', 'who': 'Mara Quill', **wanted}
    return _ask(evening, str(entry), body, status)


def _ahead(evening: Evening, status: int = 200, **changes: Any) -> Any:
    return _ask(evening, '3/preview', {'version': 0, 'changes': changes}, status)


def _records(evening: Evening) -> int:
    with Ledger.open(evening.tasting.ledger, tasting_key='mossgate') as ledger:
        return ledger.head.count


def test_a_look_ahead_tells_before_and_after(evening: Evening, pour: Pour) -> None:
    """Seat, taster and place in the order as they are and would be; no wine, and no record."""
    before, there = _records(evening), _at(evening, pour, 2)
    ahead = _ahead(evening, seat=2)
    told = {field: (was, now) for field, was, now in ahead['changes']}
    assert ('1', '2') == told['seat']
    assert ('ansel', 'mill-seat-2') == told['taster']
    assert str(there.position) == told.get('position', ('', str(pour.position)))[1]
    assert (None, False) == (ahead['taken'], ahead['same'])
    assert [] == [word for word in HIDDEN if word in str(ahead).casefold()]
    assert before == _records(evening)


def test_a_sheet_goes_to_a_free_seat(evening: Evening, pour: Pour) -> None:
    """One correction; taster and place in the order follow, marks and code stay."""
    came = _move(evening, changes={'seat': 2})
    assert ('corrected', None) == (came['outcome'], came['other'])
    assert (2, 'mill-seat-2', pour.code, _at(evening, pour, 2).position) == tuple(
        came['entry'][name] for name in ('seat', 'taster', 'code', 'position')
    )
    assert 4.5 == came['marks']['aroma']
    who, content = last(evening)[-1]
    assert ('Mara Quill', 'correction', pour.wine) == (who, content.kind, content.entry.wine)  # type: ignore[union-attr]


def test_another_room_takes_a_code_of_that_room(evening: Evening, pour: Pour) -> None:
    """Codes are a room's own: without one of them it is refused, with one the wine follows."""
    refused = _move(evening, 409, changes={'site': 'quay', 'seat': 1})
    assert (f"'{pour.code}'", 'a code poured at quay') == (refused['found'], refused['expected'])
    there = _at(evening, pour, 1, 'quay')
    came = _move(evening, changes={'site': 'quay', 'seat': 1, 'code': there.code})
    assert ('quay', 1, there.position) == tuple(
        came['entry'][name] for name in ('site', 'seat', 'position')
    )


@pytest.fixture
def both(evening: Evening, pour: Pour) -> Pour:
    """Seat 2 has sent a sheet for the same wine: entry 4."""
    send(evening, _at(evening, pour, 2), sheet(pour.code, aroma=2.0), another_device())
    return pour


def test_a_taken_seat_is_told_ahead(evening: Evening, both: Pour) -> None:
    """The entry that stands there is shown before anything is kept."""
    ahead = _ahead(evening, seat=2)
    assert (4, 2, False) == (ahead['taken']['entry'], ahead['taken']['seat'], ahead['same'])
    assert _ahead(evening, seat=2, aroma=2.0)['same']


@pytest.mark.parametrize(('key', 'aroma'), [('keep', 2.0), ('take', 4.5)])
def test_a_taken_seat_becomes_a_conflict(
    evening: Evening, both: Pour, key: str, aroma: float
) -> None:
    """Both wait under what needs a look, blind, and a person takes either."""
    came = _move(evening, changes={'seat': 2})
    assert ('held', 4, True) == (came['outcome'], came['other'], came['entry']['aside'])
    (item,) = looks(evening)['items']
    assert ('conflict', 4) == (item['kind'], item['entry'])
    assert [['Aroma', '4.5']] == item['says']
    assert [['Aroma', '2']] == item['said']
    assert [] == [word for word in HIDDEN if word in str(item).casefold()]
    decide(evening, item['id'], value=key)
    stands = evening.client.get(f'{ENTRIES}/4', headers=evening.log_in()).json()
    assert (aroma, False) == (stands['marks']['aroma'], stands['entry']['aside'])
    assert [] == looks(evening)['items']


def test_what_a_conflict_is_about_stays(evening: Evening, both: Pour) -> None:
    """The sheet that stands there goes nowhere until the conflict is decided; it is said why."""
    _move(evening, changes={'seat': 2})
    refused = _move(evening, 409, entry=4, changes={'seat': 3})
    assert "another sheet waits as a conflict with entry 4" == refused['found']
    assert "under Needs a look" in refused['remedy']
    assert 1 == len(looks(evening)['items'])


def test_two_sheets_are_swapped(evening: Evening, both: Pour) -> None:
    """Whoever took each other's phone gets the own marks back, and the order of the own seat."""
    came = _move(evening, changes={'seat': 2}, taken='swap')
    assert ('swapped', 4, 2) == (came['outcome'], came['other'], came['entry']['seat'])
    other = evening.client.get(f'{ENTRIES}/4', headers=evening.log_in()).json()
    assert (1, both.position, 2.0) == (
        other['entry']['seat'], other['entry']['position'], other['marks']['aroma'],
    )  # fmt: skip
    assert [] == looks(evening)['items']


def test_a_phone_whose_sheet_was_moved_changes_it_no_more(evening: Evening, pour: Pour) -> None:
    """What it sends afterwards waits beside the moved one, and is not lost."""
    _move(evening, changes={'seat': 2})
    answer = send(evening, pour, sheet(pour.code, version=2, aroma=5.0))
    assert 'conflict' == answer['state']
    shown = evening.client.get(f'{ENTRIES}/3', headers=evening.log_in()).json()
    assert (4.5, 2) == (shown['marks']['aroma'], shown['entry']['seat'])


@pytest.mark.parametrize(
    ('changes', 'status', 'found'),
    [
        ({'seat': 9}, 404, "no seat 9 at this site"),
        ({'seat': 1.5}, 409, "'1.5'"),
        ({'seat': None}, 409, "nothing"),
        ({'seat': 'two'}, 409, "'two'"),
        ({'site': 'moon'}, 404, "no seat 1 at this site"),
        ({'taster': 'ansel'}, 409, "'taster'"),
        ({'seat': 1}, 409, "nothing would change"),
    ],
)
def test_a_place_that_is_none_is_refused(
    evening: Evening, pour: Pour, changes: dict[str, Any], status: int, found: str
) -> None:
    """A seat or room that is not there, no seat, or the same again: nothing is recorded."""
    before = _records(evening)
    assert _move(evening, status, changes=changes)['found'].startswith(found)
    assert before == _records(evening)


def test_an_older_page_sees_nothing_ahead(evening: Evening, pour: Pour) -> None:
    """A look ahead from before somebody changed the sheet is refused."""
    _move(evening, changes={'aroma': 3})
    assert 'changed since' in _ahead(evening, 409, seat=2)['found']


def _entry(evening: Evening, taster: str, wine: str, aroma: float) -> Entry:
    marks = {'appearance': 3, 'aroma': aroma, 'taste': 4, 'aftertaste': 2, 'overall': 1}
    made = check_entry(evening.tasting.sheet, taster=taster, wine=wine, marks=marks, site='mill')
    assert isinstance(made, Entry)
    return made


def test_without_a_plan_names_are_corrected(unplanned: Evening) -> None:
    """A sheet of a table names taster and wine; both are corrected by name, and told."""
    with Ledger.open(unplanned.tasting.ledger, tasting_key='mossgate', create=True) as ledger:
        ledger.append(
            [EntryRecorded(_entry(unplanned, 'ansel', 'drumlark', 4.0), file='mill.csv', row=2)],
            who='Mara Quill',
        )
    shown = unplanned.client.get(f'{ENTRIES}/2', headers=unplanned.log_in()).json()
    assert ('ansel', 'Tarnbeck Drumlark', 'The Old Mill') == tuple(shown['names'].values())
    came = _move(unplanned, entry=2, changes={'wine': "Sallowfen Oxpiper"})
    assert "Sallowfen Oxpiper" == came['names']['wine']
    assert ['wine', 'drumlark', 'oxpiper'] in came['story'][-1]['changes']
    refused = _move(unplanned, 409, entry=2, version=1, changes={'wine': "Oxpipe"})
    assert ("'Oxpipe'", "a wine of this tasting; did you mean 'oxpiper'?") == (
        refused['found'], refused['expected'],
    )  # fmt: skip
