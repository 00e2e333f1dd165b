"""What needs a look: one list, and one key to decide."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

from tests.serve.conftest import Evening
from tests.serve.desk.filled_desk import send
from tests.serve.desk.looking import decide, last, looks
from tests.serve.filled import DEVICE, OTHER, sheet


def gather_exit(*files: Path) -> int:
    """The exit code of `halfpoint gather`, run beside the server."""
    command = [sys.executable, '-c', 'from halfpoint.cli.main import run; run()', 'gather']
    done = subprocess.run([*command, *map(str, files)], check=False, capture_output=True)
    return done.returncode


def test_nothing_needs_a_look(evening: Evening) -> None:
    """An empty record has an empty list."""
    found = looks(evening)
    assert [] == found['items']
    assert {0} == set(found['counts'].values())


def test_held_mark_offers_the_nearest(evening: Evening, off_step: dict[str, Any]) -> None:
    """A mark off the step can be taken as the step below or above, with one key."""
    assert ('held', 'aroma') == (off_step['kind'], off_step['field'])
    assert [4.0, 4.5, 'set_aside'] == [choice['value'] for choice in off_step['choices']]
    came = decide(evening, off_step['id'], choice='2', who='Mara Quill')
    assert 1 == len(came['entries'])
    assert [] == looks(evening)['items']
    assert 'Mara Quill' == last(evening)[-1][0]
    entries = evening.client.get(
        '/api/desk/files/entries.csv?pseudonyms=false', headers=evening.log_in()
    ).text
    assert ',4.5,' in entries


def test_held_mark_can_be_typed(evening: Evening, off_step: dict[str, Any]) -> None:
    """Any mark of the sheet can be typed; another one leaves it held, with the reason."""
    came = decide(evening, off_step['id'], value='4.3')
    assert came['held']
    (again,) = looks(evening)['items']
    assert 1 == len(decide(evening, again['id'], value='3½')['entries'])


def test_held_sheet_can_be_left_out(evening: Evening, off_step: dict[str, Any]) -> None:
    """Leaving out is recorded with name and reason."""
    decide(evening, off_step['id'], choice='3', who='Mara Quill', why='a child drew on it')
    assert [] == looks(evening)['items']
    who, content = last(evening)[-1]
    assert ('Mara Quill', 'a child drew on it') == (who, content.why)  # type: ignore[union-attr]


def test_conflict_shows_both(conflict: dict[str, Any]) -> None:
    """Both sheets are told, where they differ."""
    assert ['Aroma', '3'] in conflict['says']
    assert ['Aroma', '4.5'] in conflict['said']


def test_conflict_the_one_that_stands(evening: Evening, conflict: dict[str, Any]) -> None:
    """Keeping the entry leaves the other out."""
    decide(evening, conflict['id'], choice='1', why='saw it')
    assert 0 == looks(evening)['counts']['conflict']


def test_conflict_the_other(evening: Evening, conflict: dict[str, Any]) -> None:
    """Taking the other is a correction of the entry."""
    came = decide(evening, conflict['id'], choice='2', who='Mara Quill')
    assert [conflict['entry']] == came['corrected']
    assert 0 == looks(evening)['counts']['conflict']
    who, content = last(evening)[-1]
    assert ('Mara Quill', 3.0) == (who, content.entry.marks['aroma'])  # type: ignore[union-attr]


def test_hint_left_as_meant_comes_no_more(evening: Evening) -> None:
    """A hint that somebody looked at is not shown again, unless the entry changes."""
    pour = evening.plan.pours[0]
    top = {'appearance': 3, 'aroma': 6, 'taste': 6, 'aftertaste': 3, 'overall': 2}
    send(evening, pour, sheet(pour.code) | {'marks': top})
    items = looks(evening, kind='hint')['items']
    assert items
    for item in items:
        decide(evening, item['id'], choice='1', who='Mara Quill', why='loved it')
    assert 0 == looks(evening)['counts']['hint']
    assert 'left' == last(evening)[-1][1].kind


def test_decided_once(evening: Evening, off_step: dict[str, Any]) -> None:
    """What was decided already says so when decided again."""
    decide(evening, off_step['id'], choice='1')
    looks(evening)
    assert 'decided-already' == decide(evening, off_step['id'], 409, choice='1')['code']


def test_unknown_choice_is_refused(evening: Evening, off_step: dict[str, Any]) -> None:
    """A key that stands for nothing is refused, and nothing is recorded."""
    said = decide(evening, off_step['id'], 422, choice='9')
    assert '1: 4' in said['expected']
    assert 1 == len(looks(evening)['items'])


def test_after_goes_on(evening: Evening) -> None:
    """The list goes on after the last one seen, also when that was decided meanwhile."""
    for pour in evening.plan.pours[:4]:
        send(evening, pour, sheet(pour.code, aroma=4.2), DEVICE)
    ids = [item['id'] for item in looks(evening)['items']]
    assert 4 == len(ids)
    decide(evening, ids[1], choice='1')
    assert ids[2:] == [item['id'] for item in looks(evening, after=ids[1])['items']]
    assert ids[:1] == [item['id'] for item in looks(evening, most=1)['items']]


def test_a_total_that_does_not_add_up(evening: Evening) -> None:
    """With one key the marks are taken as right, and their sum counts."""
    pour = evening.plan.pours[0]
    marks = {'appearance': '3', 'aroma': '4', 'taste': '4.5', 'aftertaste': '2', 'overall': '1.5'}
    table = ['taster,site,code,' + ','.join(marks) + ',Total']
    table.append(f"{pour.taster},{pour.site},{pour.code},{','.join(marks.values())},13.5")
    file = evening.settings.tasting.parent / 'late.csv'
    file.write_text('\n'.join(table), encoding='utf-8')
    assert 14 == gather_exit(evening.settings.tasting, file)

    (item,) = looks(evening)['items']
    assert 'written_total' == item['field']
    came = decide(evening, item['id'], choice='1', who='Mara Quill')

    assert 1 == len(came['entries'])
    assert [] == looks(evening)['items']


def test_own_words_with_commas_stay_whole(evening: Evening) -> None:
    """A word of one's own that holds a comma is one word when the other sheet is taken."""
    pour = evening.plan.pours[0]
    words = ['wet, warm slate', 'old rope']
    send(evening, pour, sheet(pour.code))
    send(evening, pour, sheet(pour.code, device=OTHER, own_words=words), OTHER)
    (item,) = looks(evening, kind='conflict')['items']
    decide(evening, item['id'], choice='2', who='Mara Quill')
    _, content = last(evening)[-1]
    assert tuple(words) == content.entry.own_words  # type: ignore[union-attr]


def test_own_words_with_commas_stay_whole_when_a_mark_is_mended(evening: Evening) -> None:
    """They come back as they were from a held sheet too."""
    pour = evening.plan.pours[0]
    send(evening, pour, sheet(pour.code, aroma=4.2, own_words=['wet, warm slate', 'and/or']))
    (item,) = looks(evening)['items']
    (number,) = decide(evening, item['id'], choice='1')['entries']
    writer = evening.run(evening.house.served).writer
    words = evening.run(writer.read, lambda state: state.entries[number].now.own_words)
    assert ('wet, warm slate', 'and/or') == words
