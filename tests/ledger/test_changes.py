"""Corrections, set-asides and the reveal."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.ledger.sample import SHEET, arrived, held, opened

from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.changes import correct, restore, reveal, set_aside
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import Target
from halfpoint.ledger.replay import replay
from halfpoint.ledger.view import current_entries, set_aside_entries

REASON = {'who': "Mira", 'why': "a reason"}


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    """Ann and Bob at north and Cy at south mark two wines: entries 2 to 7; row 8 is held."""
    sites = {'ann': 'north', 'bob': 'north', 'cy': 'south'}
    with opened(tmp_path) as ledger:
        entries = [arrived(t, w, site=s) for t, s in sites.items() for w in ('w1', 'w2')]
        ledger.append([*entries, held()], who="Mira")
        yield ledger


def counting(ledger: Ledger) -> list[int]:
    """Numbers of the entries that count."""
    return current_entries(ledger.records())['entry'].to_list()


def test_a_correction_reads_anew_and_keeps_the_old(ledger: Ledger) -> None:
    """The current view has the new mark and total; the version before is still there."""
    before, after = correct(ledger, SHEET, 2, {'aroma': 5.5, 'terms': ('Lemon',)}, **REASON)
    row = current_entries(ledger.records()).row(0, named=True)

    assert (4.5, 15.0) == (before.marks['aroma'], before.total)
    assert (5.5, 16.0, ['lemon']) == (row['aroma'], row['total'], row['terms'])
    assert [before, after] == replay(ledger.records()).entries[2].versions


@pytest.mark.parametrize(
    ('changes', 'said'),
    [
        ({'aroma': 4.25}, '0 to 6 in half points'),
        ({'aroma': None}, '0 to 6 in half points'),
        ({'nose': 4.0}, 'one of appearance'),
        ({'terms': ('petrol station',)}, "one of this sheet's terms"),
        ({'aroma': 4.5}, 'nothing would change'),
        ({'wine': 'w2'}, 'entry 3 already stands for that pour'),
        ({'position': 0}, '1 for the first pour'),
    ],
)
def test_a_correction_that_does_not_fit_is_refused(
    ledger: Ledger, changes: dict[str, Any], said: str
) -> None:
    """What the sheet does not allow, changes nothing, or takes another's pour is not recorded."""
    head = ledger.head
    with pytest.raises(UsageError, match=said):
        correct(ledger, SHEET, 2, changes, **REASON)
    assert head == ledger.head


@pytest.mark.parametrize('number', [0, 1, 8, 99])
def test_only_entries_are_corrected(ledger: Ledger, number: int) -> None:
    """A number that is no entry's, or that of another kind of record, is not in the record."""
    with pytest.raises(NotInLedger):
        correct(ledger, SHEET, number, {'aroma': 5.0}, **REASON)


@pytest.mark.parametrize('missing', ['who', 'why'])
def test_who_and_why_are_needed(ledger: Ledger, missing: str) -> None:
    """Neither a correction nor a set-aside nor its undoing goes without a name and a reason."""
    reason = {**REASON, missing: '  '}
    with pytest.raises(UsageError, match=f'--{missing}'):
        correct(ledger, SHEET, 2, {'aroma': 5.0}, **reason)
    for change in (set_aside, restore):
        with pytest.raises(UsageError, match=f'--{missing}'):
            change(ledger, [Target(entry=2)], **reason)


@pytest.mark.parametrize(
    ('target', 'left'),
    [
        (Target(entry=2), [3, 4, 5, 6, 7]),
        (Target(taster='bob'), [2, 3, 6, 7]),
        (Target(site='north', wine='w2'), [2, 4, 6, 7]),
    ],
)
def test_what_is_set_aside_does_not_count_until_restored(
    ledger: Ledger, target: Target, left: list[int]
) -> None:
    """An entry, a taster or a bottle is left out, with who and why, and comes back whole."""
    covered = set_aside(ledger, [target], **REASON)
    aside = set_aside_entries(ledger.records())

    assert left == counting(ledger)
    assert {target: aside.height} == covered
    assert {("Mira", "a reason")} == set(aside.select('who', 'why').iter_rows())
    restore(ledger, [target], **REASON)
    assert [2, 3, 4, 5, 6, 7] == counting(ledger)
    assert ledger.verify().holds


def test_a_bottle_stays_set_aside_for_late_sheets(ledger: Ledger) -> None:
    """An entry of that bottle that comes in later is left out as well."""
    set_aside(ledger, [Target(site='north', wine='w1')], **REASON)
    ledger.append([arrived('di', 'w1', site='north'), arrived('di', 'w2', site='north')], who="M")

    assert [3, 5, 6, 7, 11] == counting(ledger)


def test_reasons_do_not_undo_each_other(ledger: Ledger) -> None:
    """An entry set aside for itself and with its bottle stays out until both are restored."""
    own, bottle = Target(entry=2), Target(site='north', wine='w1')
    set_aside(ledger, [own], who="Mira", why="wrong glass")
    set_aside(ledger, [bottle], who="Mira", why="corked")
    restore(ledger, [bottle], who="Mira", why="was fine")

    assert [3, 4, 5, 6, 7] == counting(ledger)
    assert ['wrong glass'] == set_aside_entries(ledger.records())['why'].to_list()


def test_setting_aside_again_adds_nothing(ledger: Ledger) -> None:
    """What is set aside already is not recorded twice."""
    set_aside(ledger, [Target(entry=2)], **REASON)
    head = ledger.head
    set_aside(ledger, [Target(entry=2)], **REASON)

    assert head == ledger.head


@pytest.mark.parametrize(
    'target',
    [Target(entry=99), Target(taster='eve'), Target(site='south', wine='w9'), Target(held=2)],
)
def test_what_is_not_there_cannot_be_set_aside(ledger: Ledger, target: Target) -> None:
    """Neither it nor anything named beside it is set aside."""
    head = ledger.head
    with pytest.raises(NotInLedger):
        set_aside(ledger, [Target(entry=2), target], **REASON)
    assert head == ledger.head


def test_one_of_many_cannot_be_restored_alone(ledger: Ledger) -> None:
    """Restoring an entry that is out with its taster names what to restore instead."""
    set_aside(ledger, [Target(taster='ann')], **REASON)
    with pytest.raises(NotInLedger, match='all entries of taster ann, set aside by Mira'):
        restore(ledger, [Target(entry=2)], **REASON)


def test_a_held_row_can_be_set_aside(ledger: Ledger) -> None:
    """A held row that needs no mending waits no longer, until it is restored."""
    set_aside(ledger, [Target(held=8)], **REASON)
    assert {} == replay(ledger.records()).waiting()
    restore(ledger, [Target(held=8)], **REASON)
    assert [8] == list(replay(ledger.records()).waiting())


def test_the_reveal_is_recorded_once(ledger: Ledger) -> None:
    """The first reveal stands with its time and name; a second adds nothing."""
    assert reveal(ledger, who="Mira")
    head = ledger.head
    assert not reveal(ledger, who="Noor")

    assert head == ledger.head
    revealed = replay(ledger.records()).revealed
    assert revealed is not None
    assert "Mira" == revealed.who
