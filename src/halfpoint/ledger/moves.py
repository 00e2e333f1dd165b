"""Correcting an entry also when the pour it is now about has a sheet already."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from halfpoint.errors import UsageError
from halfpoint.ledger.changes import carried_on, changed, check_reason, correct, entry_numbered
from halfpoint.ledger.contradiction import contradiction
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pours import EntryState, same_pour, same_words
from halfpoint.ledger.records import Content, Corrected, EntryRecorded, SetAside, Target
from halfpoint.ledger.replay import State
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet

# What makes an entry one of its pour, and not of another.
POUR = ('taster', 'site', 'wine', 'position', 'code', 'pour')
Taken = Literal['hold', 'swap']
Outcome = Literal['corrected', 'swapped', 'held', 'same']


@dataclass(frozen=True, slots=True)
class Moving:
    """An entry before and after a correction, and the one that stands for that pour, if any."""

    before: Entry
    after: Entry
    other: EntryState | None


def look_ahead(state: State, sheet: Sheet, number: int, changes: Mapping[str, Any]) -> Moving:
    """What a correction would come to; `changes` as for `correct`.

    Raises:
        NotInLedger: no entry has this number.
        UsageError: the sheet does not allow the changes, or the entry would leave a pour about
            which a conflict with it waits.
    """
    before = entry_numbered(state, number).now
    after = changed(sheet, before, changes, f"entry {number}")
    if not same_pour(before, after):
        _check_undisputed(state, number)
    return Moving(before, after, state.pours.about_the_same(after, but=number))


def correct_or_move(
    ledger: Ledger,
    sheet: Sheet,
    number: int,
    changes: Mapping[str, Any],
    *,
    who: str,
    why: str,
    taken: Taken = 'hold',
    state: State | None = None,
) -> Outcome:
    """Correct an entry as `correct` does, and where its new pour has a sheet, lose neither.

    With 'swap' both entries change places. With 'hold' the entry that was there stays, and this
    one is set aside; what it would say waits as a conflict with the other for a person to
    decide. Where both say the same there is nothing to decide, and it is only set aside.

    Args:
        ledger: the record.
        sheet: the score sheet of the tasting.
        number: the entry's number.
        changes: as for `correct`.
        who: who decided.
        why: for what reason.
        taken: what to do where the pour has an entry.
        state: as for `correct`.

    Raises:
        NotInLedger: no entry has this number.
        UsageError: nothing would change, the sheet does not allow it, a conflict about one of
            the pours waits, or there is no name or no reason.
    """
    check_reason(who, why)
    with ledger.writing():
        state = carried_on(ledger, state)
        moving = look_ahead(state, sheet, number, changes)
        if moving.other is None:
            correct(ledger, sheet, number, changes, who=who, why=why, state=state)
            return 'corrected'
        if taken == 'swap':
            _check_undisputed(state, moving.other.number)
            ledger.append(_swapped(sheet, number, moving, moving.other, why), who=who)
            return 'swapped'
        recorded = state.entries[number].recorded
        ledger.append(_held(state, number, moving, moving.other, recorded, why), who=who)
    return 'same' if same_words(moving.after, moving.other.now) else 'held'


def _check_undisputed(state: State, number: int) -> None:
    """Refuse that an entry goes elsewhere while another sheet is held against it.

    A correction settles what is held against its entry, which would then be decided unseen.
    """
    if any(row.conflicts == number for row in state.waiting().values()):
        raise UsageError(
            f"another sheet waits as a conflict with entry {number}",
            where=f"entry {number}",
            expected="an entry that nothing is held against",
            remedy="decide the conflict first, under Needs a look",
        )


def _swapped(
    sheet: Sheet, number: int, moving: Moving, other: EntryState, why: str
) -> list[Content]:
    place = {name: getattr(moving.before, name) for name in POUR}
    back = changed(sheet, other.now, place, f"entry {other.number}")
    return [Corrected(number, moving.after, why), Corrected(other.number, back, why)]


def _held(
    state: State,
    number: int,
    moving: Moving,
    other: EntryState,
    recorded: EntryRecorded,
    why: str,
) -> list[Content]:
    target = Target(entry=number)
    aside: list[Content] = [] if state.standing.get(target) else [SetAside(target, why)]
    if same_words(moving.after, other.now):
        return aside
    # From here on it is nobody's phone and no block on a page that says so, but a person.
    arrived = EntryRecorded(moving.after, recorded.file, recorded.row or number)
    row = contradiction(arrived, other, blind=state.plan is not None)
    return aside if row in state.held.values() else [*aside, row]
