"""Correcting an entry onto a pour that has a sheet already."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.ledger.sample import SHEET, arrived, opened

from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.moves import Taken, correct_or_move, look_ahead
from halfpoint.ledger.replay import State, replay
from halfpoint.ledger.view import current_entries, held_rows

REASON = {'who': "Mira", 'why': "a reason"}
TO_BOB = {'taster': 'bob'}


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    """Ann and Bob mark wine w1, entries 2 and 3, Bob lower; Ann marks w2, entry 4."""
    with opened(tmp_path) as ledger:
        entries = [arrived('ann', 'w1'), arrived('bob', 'w1', aroma=2.0), arrived('ann', 'w2')]
        ledger.append(entries, who="Mira")
        yield ledger


def _state(ledger: Ledger) -> State:
    return replay(ledger.records())


def test_a_free_pour_is_taken(ledger: Ledger) -> None:
    """Where nothing stands it is a correction, and one record."""
    assert look_ahead(_state(ledger), SHEET, 4, TO_BOB).other is None
    assert 'corrected' == correct_or_move(ledger, SHEET, 4, TO_BOB, **REASON)
    assert ['correction'] == [record.kind for record in ledger.records(after=4)]
    assert 'bob' == _state(ledger).entries[4].now.taster


def test_a_taken_pour_becomes_a_conflict(ledger: Ledger) -> None:
    """The one that stands counts on; the other is set aside and waits with all it says."""
    moving = look_ahead(_state(ledger), SHEET, 2, TO_BOB)
    assert moving.other is not None
    assert 3 == moving.other.number
    assert 'held' == correct_or_move(ledger, SHEET, 2, TO_BOB, **REASON)
    state = _state(ledger)
    (row,) = state.waiting().values()
    assert (3, 'aroma', 'bob', '4.5') == (
        row.conflicts, row.field, row.original['taster'], row.original['aroma'],
    )  # fmt: skip
    assert row.found.startswith('4½, where entry 3')
    assert [3, 4] == current_entries(state)['entry'].to_list()
    assert [(2, "a reason")] == [(e.number, s.why) for e, s in state.set_aside()]
    assert 'ann' == state.entries[2].now.taster


def test_what_says_the_same_waits_for_nobody(ledger: Ledger) -> None:
    """A copy of what stands there is only set aside."""
    changes = {**TO_BOB, 'aroma': 2.0}
    assert 'same' == correct_or_move(ledger, SHEET, 2, changes, **REASON)
    assert held_rows(ledger.records()).is_empty()
    assert [3, 4] == current_entries(ledger.records())['entry'].to_list()


def test_two_are_swapped(ledger: Ledger) -> None:
    """Each takes the other's pour and keeps its marks, in two records or none."""
    assert 'swapped' == correct_or_move(ledger, SHEET, 2, TO_BOB, taken='swap', **REASON)
    entries = _state(ledger).entries
    assert [('bob', 4.5), ('ann', 2.0)] == [
        (entries[n].now.taster, entries[n].now.marks['aroma']) for n in (2, 3)
    ]
    assert ['correction'] * 2 == [record.kind for record in ledger.records(after=4)]


def test_once_more_adds_nothing(ledger: Ledger) -> None:
    """What is set aside and waits already is not set aside or held again."""
    for _ in range(2):
        correct_or_move(ledger, SHEET, 2, TO_BOB, **REASON)
    assert ['set_aside', 'held'] == [record.kind for record in ledger.records(after=4)]


@pytest.mark.parametrize(
    ('number', 'changes', 'taken'),
    [(3, {'taster': 'cy'}, 'hold'), (3, {'taster': 'ann', 'wine': 'w2'}, 'hold'),
     (4, {'taster': 'bob', 'wine': 'w1'}, 'swap')],
)  # fmt: skip
def test_what_a_conflict_is_about_stays(
    ledger: Ledger, number: int, changes: dict[str, str], taken: Taken
) -> None:
    """An entry that another sheet is held against goes nowhere: the conflict would be gone."""
    correct_or_move(ledger, SHEET, 2, TO_BOB, **REASON)
    head = ledger.head
    with pytest.raises(UsageError, match='waits as a conflict with entry 3'):
        correct_or_move(ledger, SHEET, number, changes, taken=taken, **REASON)
    assert head == ledger.head
    assert 1 == len(_state(ledger).waiting())


def test_a_reason_and_an_entry_are_needed(ledger: Ledger) -> None:
    """Without them nothing is recorded, and so without any change."""
    head = ledger.head
    with pytest.raises(UsageError, match='--why'):
        correct_or_move(ledger, SHEET, 2, TO_BOB, who="Mira", why=" ")
    with pytest.raises(NotInLedger):
        correct_or_move(ledger, SHEET, 99, TO_BOB, **REASON)
    with pytest.raises(UsageError, match='nothing would change'):
        correct_or_move(ledger, SHEET, 2, {'taster': 'ann'}, **REASON)
    assert head == ledger.head
