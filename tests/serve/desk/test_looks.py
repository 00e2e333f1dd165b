"""What needs a look: one list, and one key to decide."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.serve.conftest import Evening
from tests.serve.desk.filled_desk import send
from tests.serve.filled import DEVICE, OTHER, sheet

from halfpoint.ledger.records import Content

LOOKS = '/api/desk/looks'


def _looks(evening: Evening, **asked: Any) -> dict[str, Any]:
    answer = evening.client.get(LOOKS, params=asked, headers=evening.log_in())
    assert 200 == answer.status_code, answer.text
    return answer.json()


def _decide(evening: Evening, key: str, status: int = 200, **said: Any) -> dict[str, Any]:
    answer = evening.client.post(f'{LOOKS}/{key}', json=said, headers=evening.log_in())
    assert status == answer.status_code, answer.text
    return answer.json()


def gather_exit(*files: Path) -> int:
    """The exit code of `halfpoint gather`, run beside the server."""
    command = [sys.executable, '-c', 'from halfpoint.cli.main import run; run()', 'gather']
    done = subprocess.run([*command, *map(str, files)], check=False, capture_output=True)
    return done.returncode


def _last(evening: Evening) -> list[tuple[str, Content]]:
    writer = evening.run(evening.house.served).writer
    return evening.run(
        writer.do, lambda ledger, _: [(r.who, r.content) for r in list(ledger.records())[-3:]]
    )


@pytest.fixture
def off_step(evening: Evening) -> dict[str, Any]:
    """A sheet with a mark off the step is held."""
    pour = evening.plan.pours[0]
    assert 'held' == send(evening, pour, sheet(pour.code, aroma=4.2))['state']
    (item,) = _looks(evening)['items']
    return item


@pytest.fixture
def conflict(evening: Evening) -> dict[str, Any]:
    """Two devices at one seat say otherwise."""
    pour = evening.plan.pours[0]
    send(evening, pour, sheet(pour.code, aroma=4.5))
    other = send(evening, pour, sheet(pour.code, aroma=3.0, device=OTHER), OTHER)
    assert 'conflict' == other['state']
    (item,) = _looks(evening, kind='conflict')['items']
    return item


def test_nothing_needs_a_look(evening: Evening) -> None:
    """An empty record has an empty list."""
    found = _looks(evening)
    assert [] == found['items']
    assert {0} == set(found['counts'].values())


def test_held_mark_offers_the_nearest(evening: Evening, off_step: dict[str, Any]) -> None:
    """A mark off the step can be taken as the step below or above, with one key."""
    assert ('held', 'aroma') == (off_step['kind'], off_step['field'])
    assert [4.0, 4.5, 'set_aside'] == [choice['value'] for choice in off_step['choices']]
    came = _decide(evening, off_step['id'], choice='2', who='Mara Quill')
    assert 1 == len(came['entries'])
    assert [] == _looks(evening)['items']
    assert 'Mara Quill' == _last(evening)[-1][0]
    entries = evening.client.get(
        '/api/desk/files/entries.csv?pseudonyms=false', headers=evening.log_in()
    ).text
    assert ',4.5,' in entries


def test_held_mark_can_be_typed(evening: Evening, off_step: dict[str, Any]) -> None:
    """Any mark of the sheet can be typed; another one leaves it held, with the reason."""
    came = _decide(evening, off_step['id'], value='4.3')
    assert came['held']
    (again,) = _looks(evening)['items']
    assert 1 == len(_decide(evening, again['id'], value='3½')['entries'])


def test_held_sheet_can_be_left_out(evening: Evening, off_step: dict[str, Any]) -> None:
    """Leaving out is recorded with name and reason."""
    _decide(evening, off_step['id'], choice='3', who='Mara Quill', why='a child drew on it')
    assert [] == _looks(evening)['items']
    who, content = _last(evening)[-1]
    assert ('Mara Quill', 'a child drew on it') == (who, content.why)  # type: ignore[union-attr]


def test_conflict_shows_both(conflict: dict[str, Any]) -> None:
    """Both sheets are told, where they differ."""
    assert ['aroma', '3'] in conflict['says']
    assert ['aroma', '4.5'] in conflict['said']


def test_conflict_the_one_that_stands(evening: Evening, conflict: dict[str, Any]) -> None:
    """Keeping the entry leaves the other out."""
    _decide(evening, conflict['id'], choice='1', why='saw it')
    assert 0 == _looks(evening)['counts']['conflict']


def test_conflict_the_other(evening: Evening, conflict: dict[str, Any]) -> None:
    """Taking the other is a correction of the entry."""
    came = _decide(evening, conflict['id'], choice='2', who='Mara Quill')
    assert [conflict['entry']] == came['corrected']
    assert 0 == _looks(evening)['counts']['conflict']
    who, content = _last(evening)[-1]
    assert ('Mara Quill', 3.0) == (who, content.entry.marks['aroma'])  # type: ignore[union-attr]


def test_hint_left_as_meant_comes_no_more(evening: Evening) -> None:
    """A hint that somebody looked at is not shown again, unless the entry changes."""
    pour = evening.plan.pours[0]
    top = {'appearance': 3, 'aroma': 6, 'taste': 6, 'aftertaste': 3, 'overall': 2}
    send(evening, pour, sheet(pour.code) | {'marks': top})
    items = _looks(evening, kind='hint')['items']
    assert items
    for item in items:
        _decide(evening, item['id'], choice='1', who='Mara Quill', why='loved it')
    assert 0 == _looks(evening)['counts']['hint']
    assert 'left' == _last(evening)[-1][1].kind


def test_decided_once(evening: Evening, off_step: dict[str, Any]) -> None:
    """What was decided already says so when decided again."""
    _decide(evening, off_step['id'], choice='1')
    _looks(evening)
    assert 'decided-already' == _decide(evening, off_step['id'], 409, choice='1')['code']


def test_unknown_choice_is_refused(evening: Evening, off_step: dict[str, Any]) -> None:
    """A key that stands for nothing is refused, and nothing is recorded."""
    said = _decide(evening, off_step['id'], 422, choice='9')
    assert '1: 4' in said['expected']
    assert 1 == len(_looks(evening)['items'])


def test_after_goes_on(evening: Evening) -> None:
    """The list goes on after the last one seen, also when that was decided meanwhile."""
    for pour in evening.plan.pours[:4]:
        send(evening, pour, sheet(pour.code, aroma=4.2), DEVICE)
    ids = [item['id'] for item in _looks(evening)['items']]
    assert 4 == len(ids)
    _decide(evening, ids[1], choice='1')
    assert ids[2:] == [item['id'] for item in _looks(evening, after=ids[1])['items']]
    assert ids[:1] == [item['id'] for item in _looks(evening, most=1)['items']]


def test_a_total_that_does_not_add_up(evening: Evening) -> None:
    """With one key the marks are taken as right, and their sum counts."""
    pour = evening.plan.pours[0]
    marks = {'appearance': '3', 'aroma': '4', 'taste': '4.5', 'aftertaste': '2', 'overall': '1.5'}
    table = ['taster,site,code,' + ','.join(marks) + ',Total']
    table.append(f"{pour.taster},{pour.site},{pour.code},{','.join(marks.values())},13.5")
    file = evening.settings.tasting.parent / 'late.csv'
    file.write_text('\n'.join(table), encoding='utf-8')
    assert 14 == gather_exit(evening.settings.tasting, file)

    (item,) = _looks(evening)['items']
    assert 'written_total' == item['field']
    came = _decide(evening, item['id'], choice='1', who='Mara Quill')

    assert 1 == len(came['entries'])
    assert [] == _looks(evening)['items']
