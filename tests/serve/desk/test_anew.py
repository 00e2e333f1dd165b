"""What was decided is shown with who, when and why, and is decided anew by a new record."""

from __future__ import annotations

from typing import Any

import pytest
from tests.serve.conftest import Evening
from tests.serve.desk.filled_desk import send
from tests.serve.desk.looking import decide, looks
from tests.serve.filled import sheet

TOPS = {'appearance': 3, 'aroma': 6, 'taste': 6, 'aftertaste': 3, 'overall': 2}


def _decided(evening: Evening, **asked: Any) -> dict[str, Any]:
    answer = evening.client.get('/api/desk/looks/decided', params=asked, headers=evening.log_in())
    assert 200 == answer.status_code, answer.text
    return answer.json()


def _anew(evening: Evening, key: str, status: int = 200, **said: Any) -> dict[str, Any]:
    return decide(evening, key, status, anew=True, **{'who': 'Jory Fell', **said})


def _one(evening: Evening) -> dict[str, Any]:
    (one,) = _decided(evening)['items']
    return one


def _kinds(evening: Evening) -> list[str]:
    writer = evening.run(evening.house.served).writer
    return evening.run(writer.do, lambda ledger, _: [r.kind for r in ledger.records()])


def _aroma(evening: Evening) -> list[float]:
    """The aroma marks that count."""
    writer = evening.run(evening.house.served).writer
    return evening.run(writer.read, lambda state: [e.now.marks['aroma'] for e in state.in_force()])


@pytest.fixture
def odd(evening: Evening) -> dict[str, Any]:
    """A sheet with every mark at its top."""
    pour = evening.plan.pours[0]
    send(evening, pour, sheet(pour.code) | {'marks': TOPS})
    return looks(evening, kind='hint')['items'][0]


def test_nothing_was_decided(evening: Evening, off_step: dict[str, Any]) -> None:
    """What waits is not among what was decided."""
    assert off_step['id'].startswith('held-')
    assert {'items': [], 'before': None} == _decided(evening)


def test_a_held_mark_that_was_mended(evening: Evening, off_step: dict[str, Any]) -> None:
    """Who, when and why are told; another mark is a correction of the entry it became."""
    decide(evening, off_step['id'], choice='1', who='Mara Quill', why='asked')
    one = _one(evening)
    assert ('held', off_step['id']) == (one['item']['kind'], one['item']['id'])
    (first,) = one['decisions']
    assert ('Mara Quill', '4', 'asked') == (first['who'], first['said'], first['why'])
    assert first['made'].endswith('Z')
    before = _kinds(evening)

    came = _anew(evening, one['item']['id'], choice='2', why='asked once more')

    assert [one['item']['entry']] == came['corrected']
    assert [*before, 'correction'] == _kinds(evening)
    assert [4.5] == _aroma(evening)
    told = _one(evening)['decisions']
    assert [('Mara Quill', '4'), ('Jory Fell', '4½')] == [(d['who'], d['said']) for d in told]
    assert 'asked once more' == told[-1]['why']


def test_a_held_mark_that_was_mended_is_left_out_and_counts_again(
    evening: Evening, off_step: dict[str, Any]
) -> None:
    """The entry it became is set aside, and comes back with another mark."""
    decide(evening, off_step['id'], choice='1')
    _anew(evening, off_step['id'], choice='3')
    assert [] == _aroma(evening)
    assert 'leave out' == _one(evening)['decisions'][-1]['said']
    _anew(evening, off_step['id'], value='3½')
    assert [3.5] == _aroma(evening)
    assert ['set_aside', 'restored', 'correction'] == _kinds(evening)[-3:]


def test_a_held_mark_that_was_left_out(evening: Evening, off_step: dict[str, Any]) -> None:
    """It is brought back and mended in one step, and both are recorded."""
    decide(evening, off_step['id'], choice='3', why='a child drew on it')
    one = _one(evening)
    assert ('leave out', 'a child drew on it') == (
        one['decisions'][0]['said'], one['decisions'][0]['why'],
    )  # fmt: skip
    assert 1 == len(_anew(evening, off_step['id'], choice='2')['entries'])
    assert [4.5] == _aroma(evening)
    assert 'restored' in _kinds(evening)


def test_what_cannot_be_taken_leaves_everything_as_it_was(
    evening: Evening, off_step: dict[str, Any]
) -> None:
    """A choice that is none, or that changes nothing, is refused; nothing is recorded."""
    decide(evening, off_step['id'], choice='1')
    before = _kinds(evening)
    _anew(evening, off_step['id'], 422, choice='9')
    assert 'nothing would change' == _anew(evening, off_step['id'], 409, choice='1')['found']
    _anew(evening, off_step['id'], 409, value='17')
    assert before == _kinds(evening)


def test_a_conflict_in_which_the_other_was_taken(
    evening: Evening, conflict: dict[str, Any]
) -> None:
    """The entry is put back to what it said, and taken again: corrections over corrections."""
    decide(evening, conflict['id'], choice='2', who='Mara Quill')
    assert [3.0] == _aroma(evening)
    one = _one(evening)
    assert ['Aroma', '4.5'] in one['item']['said']
    assert ['Aroma', '3'] in one['item']['says']
    _anew(evening, conflict['id'], choice='1')
    assert [4.5] == _aroma(evening)
    _anew(evening, conflict['id'], choice='2')
    assert [3.0] == _aroma(evening)
    take, keep = "take the other", f"keep entry {conflict['entry']}, as it stands"
    assert [take, keep, take] == [d['said'] for d in _one(evening)['decisions']]
    assert ['correction'] * 3 == _kinds(evening)[-3:]


def test_what_was_corrected_since_stays(evening: Evening, conflict: dict[str, Any]) -> None:
    """Taking a choice back leaves alone what that choice did not change."""
    decide(evening, conflict['id'], choice='2')
    answer = evening.client.post(
        f'/api/desk/entries/{conflict["entry"]}',
        json={'changes': {'overall': 0.5}, 'why': 'the taster said so', 'version': 1},
        headers=evening.log_in(),
    )
    assert 200 == answer.status_code, answer.text
    _anew(evening, conflict['id'], choice='1')
    writer = evening.run(evening.house.served).writer
    marks = evening.run(writer.read, lambda state: state.entries[conflict['entry']].now.marks)
    assert (4.5, 0.5) == (marks['aroma'], marks['overall'])


def test_a_conflict_in_which_the_entry_was_kept(evening: Evening, conflict: dict[str, Any]) -> None:
    """What was left out is taken after all."""
    decide(evening, conflict['id'], choice='1')
    _anew(evening, conflict['id'], choice='2')
    assert [3.0] == _aroma(evening)
    assert ['restored', 'correction'] == _kinds(evening)[-2:]
    assert "take the other" == _one(evening)['decisions'][-1]['said']


def test_a_hint_that_was_left(evening: Evening, odd: dict[str, Any]) -> None:
    """It is left once more for another reason, left out, and counts again."""
    decide(evening, odd['id'], choice='1', why='loved it')
    key = _one(evening)['item']['id']
    _anew(evening, key, choice='1', why='asked the taster')
    assert ['loved it', 'asked the taster'] == [d['why'] for d in _one(evening)['decisions']]
    _anew(evening, key, choice='2')
    assert [] == _aroma(evening)
    _anew(evening, key, choice='1')
    assert [6.0] == _aroma(evening)


def test_an_odd_sheet_that_was_left_out(evening: Evening, odd: dict[str, Any]) -> None:
    """A sheet that was left out for a hint is shown, and counts again with one key."""
    decide(evening, odd['id'], choice='2')
    key = _one(evening)['item']['id']
    assert key.startswith('entry-')
    _anew(evening, key, choice='1')
    assert [6.0] == _aroma(evening)


def test_the_newest_comes_first(evening: Evening) -> None:
    """The list goes back part by part, and what was decided anew stands in front again."""
    for pour in evening.plan.pours[:3]:
        send(evening, pour, sheet(pour.code, aroma=4.2))
    ids = [item['id'] for item in looks(evening)['items']]
    for key in ids:
        decide(evening, key, choice='1')
    newest = _decided(evening, most=2)
    assert ids[:0:-1] == [each['item']['id'] for each in newest['items']]
    older = _decided(evening, most=2, before=newest['before'])
    assert ids[:1] == [each['item']['id'] for each in older['items']]
    assert older['before'] is None
    _anew(evening, ids[0], choice='2')
    assert ids[0] == _decided(evening)['items'][0]['item']['id']


def test_nobody_decides_anew_by_chance(evening: Evening, off_step: dict[str, Any]) -> None:
    """Without saying so nothing is decided twice; and what waits still is not decided anew."""
    assert 'decided-already' == _anew(evening, off_step['id'], 409, choice='1')['code']
    decide(evening, off_step['id'], choice='1')
    looks(evening)
    assert 'decided-already' == decide(evening, off_step['id'], 409, choice='2')['code']
    assert 'decided-already' == _anew(evening, 'held-99999', 409, choice='1')['code']
