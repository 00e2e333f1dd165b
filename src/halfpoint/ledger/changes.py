"""What the organiser does to entries: correct, set aside, restore; and the reveal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.records import Corrected, Left, Restored, Revealed, SetAside, Target
from halfpoint.ledger.replay import Standing, State, replay
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.validity import check_entry

# What a correction may name besides the sheet's categories.
CORRECTABLE = (
    'taster', 'site', 'wine', 'position', 'code', 'pour', 'terms', 'faults', 'finish_seconds',
    'remark', 'families', 'finish_band', 'own_words',
)  # fmt: skip


def correct(
    ledger: Ledger,
    sheet: Sheet,
    number: int,
    changes: Mapping[str, Any],
    *,
    who: str,
    why: str,
    state: State | None = None,
) -> tuple[Entry, Entry]:
    """Record that an entry reads otherwise, and give it as it was and as it is now.

    Args:
        ledger: the record.
        sheet: the score sheet of the tasting.
        number: the entry's number.
        changes: category key to mark, or a field of `CORRECTABLE` to its new value.
        who: who decided.
        why: for what reason.
        state: how things stood before, to read on from; so in `set_aside` and the others too.

    Raises:
        NotInLedger: no entry has this number.
        UsageError: nothing would change, the sheet does not allow it, or another entry is
            already recorded for that pour.
    """
    check_reason(who, why)
    with ledger.writing():
        state = carried_on(ledger, state)
        before = entry_numbered(state, number).now
        after = changed(sheet, before, changes, f"entry {number}")
        if before == after:
            raise UsageError(
                "nothing would change", where=f"entry {number}", expected="a value it has not yet"
            )
        check_pour_is_free(state, number, after)
        ledger.append([Corrected(number, after, why)], who=who)
    return before, after


def set_aside(
    ledger: Ledger,
    targets: Sequence[Target],
    *,
    who: str,
    why: str,
    state: State | None = None,
) -> dict[Target, int]:
    """Leave out what the targets cover, now and later; how many entries each covers now.

    All are set aside, or none. What is set aside already is not recorded again.

    Raises:
        NotInLedger: a target covers nothing in the record.
        UsageError: no name or no reason was given.
    """
    check_reason(who, why)
    with ledger.writing():
        state = carried_on(ledger, state)
        covered = {target: _covered(state, target) for target in targets}
        new = [SetAside(target, why) for target in covered if not state.standing.get(target)]
        ledger.append(new, who=who)
    return covered


def restore(
    ledger: Ledger,
    targets: Sequence[Target],
    *,
    who: str,
    why: str,
    state: State | None = None,
) -> tuple[Standing, ...]:
    """Undo the set-asides of exactly these targets, all or none, and give those undone.

    Raises:
        NotInLedger: a target is not set aside by itself.
        UsageError: no name or no reason was given.
    """
    check_reason(who, why)
    with ledger.writing():
        state = carried_on(ledger, state)
        undone = tuple(s for target in dict.fromkeys(targets) for s in _standing(state, target))
        ledger.append([Restored(standing.number, why) for standing in undone], who=who)
    return undone


def reveal(ledger: Ledger, *, who: str, state: State | None = None) -> bool:
    """Record the reveal; False when it had been recorded before.

    Raises:
        UsageError: no name was given.
    """
    if not who.strip():
        raise UsageError("nothing", where="--who", expected="the name of who decides")
    with ledger.writing():
        if carried_on(ledger, state).revealed:
            return False
        ledger.append([Revealed()], who=who)
    return True


def leave(
    ledger: Ledger,
    number: int,
    field: str,
    message: str,
    *,
    who: str,
    why: str = '',
    state: State | None = None,
) -> None:
    """Record that something odd on an entry was looked at, and left as it is.

    Raises:
        NotInLedger: no entry has this number.
        UsageError: no name was given.
    """
    if not who.strip():
        raise UsageError("nothing", where="--who", expected="the name of who decides")
    with ledger.writing():
        state = carried_on(ledger, state)
        entry_numbered(state, number)
        if (number, field, message) not in state.left:
            ledger.append([Left(number, field, message, why)], who=who)


def carried_on(ledger: Ledger, state: State | None) -> State:
    """How things stand now, read on from how they stood, or from the beginning."""
    return replay(ledger.records(after=state.last if state else 0), state)


def entry_numbered(state: State, number: int) -> EntryState:
    """The entry with this number.

    Raises:
        NotInLedger: there is none.
    """
    if number not in state.entries:
        raise NotInLedger(
            f"no entry has the number {number}",
            expected="the number of an entry",
            remedy="halfpoint history TASTING.toml --taster NAME shows the numbers",
        )
    return state.entries[number]


def changed(sheet: Sheet, before: Entry, changes: Mapping[str, Any], where: str) -> Entry:
    """The entry as it reads with these changes, as for `correct`.

    Raises:
        UsageError: the sheet does not allow them.
    """
    known = (*sheet.categories_by_key, *CORRECTABLE)
    for name in changes:
        if name not in known:
            raise UsageError(f"'{name}'", where="--set", expected=f"one of {', '.join(known)}")
    marks = {key: mark for key, mark in changes.items() if key in sheet.categories_by_key}
    others = {name: value for name, value in changes.items() if name in CORRECTABLE}
    kept = {name: getattr(before, name) for name in CORRECTABLE}
    checked = check_entry(sheet, marks={**before.marks, **marks}, **{**kept, **others})
    if isinstance(checked, Entry):
        return checked
    raise UsageError(
        "; ".join(f"{c.field} {c.found}" for c in checked),
        where=where,
        expected="; ".join(f"{c.field} {c.expected}" for c in checked),
    )


def check_pour_is_free(state: State, number: int, after: Entry) -> None:
    """Refuse that an entry takes a pour for which another stands.

    Raises:
        UsageError: another does.
    """
    other = state.pours.about_the_same(after, but=number)
    if other is not None:
        raise UsageError(
            f"entry {other.number} already stands for that pour",
            where=f"entry {number}",
            expected="a taster, site, wine, position and code that no other entry has",
            remedy=f"look at both: halfpoint history TASTING.toml --entry {other.number}",
        )


def _covered(state: State, target: Target) -> int:
    if target.held is not None:
        found = int(target.held in state.held or target.held in state.pages_held())
    else:
        found = sum(target.covers(e.number, e.now) for e in state.entries.values())
    if not found:
        raise NotInLedger(
            f"{target}: nothing of the kind in the record",
            expected="an entry, taster, site with wine, or held row that is there",
            remedy="halfpoint check and halfpoint history list what is there",
        )
    return found


def _standing(state: State, target: Target) -> list[Standing]:
    standings = state.standing.get(target, [])
    if not standings:
        raise NotInLedger(
            f"{target}: not set aside by itself",
            expected=_standing_over(state, target),
            remedy="restore what was set aside; halfpoint history lists it",
        )
    return standings


def _standing_over(state: State, target: Target) -> str:
    entry = state.entries.get(target.entry or 0)
    over = state.cover()(entry) if entry else None
    if over:
        return f"{over.target}, set aside by {over.who} in record {over.number}"
    return "what is set aside now"


def check_reason(who: str, why: str) -> None:
    """Refuse a change without a name or a reason.

    Raises:
        UsageError: one is missing.
    """
    for option, text in (("--who", who), ("--why", why)):
        if not text.strip():
            raise UsageError("nothing", where=option, expected="a name and a reason, in words")
