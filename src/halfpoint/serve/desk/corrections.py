"""What was typed to correct a sheet, as changes to its entry; a seat stands for who sits there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from halfpoint.collect.table.known_names import known_site, known_taster, known_wine
from halfpoint.collect.table.marktext import read_mark
from halfpoint.errors import UsageError
from halfpoint.ledger.planned import follow_code
from halfpoint.serve.room import seat_numbered
from halfpoint.serve.seating import Seating
from halfpoint.sheet.entry import Entry
from halfpoint.tasting.model import Tasting

Change = float | str | list[str] | None
LISTS = ('terms', 'faults', 'families', 'own_words')
ON_SHEET = (*LISTS, 'finish_seconds', 'finish_band', 'remark')
# Where a sheet is from: by a plan the seat says who, and the code which wine; without one, names.
BY_PLAN = ('site', 'seat', 'code')
BY_NAME = ('site', 'taster', 'wine')


def as_changes(
    tasting: Tasting, seating: Seating | None, entry: Entry, typed: Mapping[str, Change]
) -> dict[str, Any]:
    """What was typed, as changes to an entry, with all that follows from a seat or a code.

    Raises:
        UsageError: a field that is not corrected here, a value that is none for it, or a code
            that was not poured there.
        Refused: there is no such seat.
    """
    known = (*tasting.sheet.categories_by_key, *ON_SHEET, *(BY_PLAN if seating else BY_NAME))
    changes: dict[str, Any] = {}
    for name, value in typed.items():
        if name not in known:
            raise UsageError(f"'{name}'", where=name, expected=f"one of {', '.join(known)}")
        changes[name] = _value(tasting, name, value)
    if seating is None:
        return changes | _by_name(tasting, changes)
    if {'seat', 'site'} & changes.keys():
        _sit(seating, entry, changes)
    if changes.get('code'):
        follow_code(seating.plan.poured, entry, changes)
    return changes


def _sit(seating: Seating, entry: Entry, changes: dict[str, Any]) -> None:
    """Put the taster of a seat, and the place of the code in their order, for site and seat."""
    now = seating.of(entry.taster)
    site = changes.pop('site', '') or entry.site or (now.site if now else seating.sites[0])
    number = changes.pop('seat', None) or (now.seat if now else None)
    if number is None:
        raise UsageError("nothing", where='seat', expected="the number of a seat")
    seat = seat_numbered(seating, site, number)
    changes['taster'] = seat.taster
    if seating.plan.tasting.sites:
        changes['site'] = seat.site
    code = changes.get('code', entry.code)
    if code:
        changes['code'] = code
        pours = seating.plan.by_seat.get((seat.site, seat.like), ())
        changes['position'] = next((p.position for p in pours if p.code == code), None)


def seat_change(
    seating: Seating | None, before: Entry, after: Entry
) -> tuple[tuple[str, str, str], ...]:
    """The seat that an entry is from and would be from, when it is another; else nothing."""
    was, now = (seating.of(entry.taster) if seating else None for entry in (before, after))
    if was == now:
        return ()
    said = [str(seat.seat) if seat else "nothing" for seat in (was, now)]
    return (('seat', said[0], said[1]),)


def _by_name(tasting: Tasting, changes: Mapping[str, Any]) -> dict[str, str]:
    """The keys of names that were typed."""
    known = {'taster': known_taster, 'wine': known_wine, 'site': known_site}
    return {
        name: known[name](tasting, text)
        for name, text in changes.items()
        if name in known and (text or name != 'site')
    }


def _value(tasting: Tasting, name: str, value: Change) -> Any:
    if name in tasting.sheet.categories_by_key or name == 'finish_seconds':
        return _number(name, value)
    if name == 'seat':
        return _seat_number(value)
    if name in LISTS:
        return tuple(value) if isinstance(value, list) else _none_but_lists(name)
    return value.strip() if isinstance(value, str) else _none_but_text(name)


def _seat_number(value: Change) -> int:
    number = _number('seat', value)
    if number is None or number != int(number):
        found = "nothing" if number is None else f"'{value}'"
        raise UsageError(found, where='seat', expected="the number of a seat")
    return int(number)


def _number(name: str, value: Change) -> float | None:
    if value is None or value == '':
        return None
    number = value if isinstance(value, float | int) else None
    if isinstance(value, str):
        number = read_mark(value)
    if number is None:
        raise UsageError(f"'{value}'", where=name, expected="a number, as in 4.5 or 4½")
    return float(number)


def _none_but_lists(name: str) -> tuple[str, ...]:
    raise UsageError("something else", where=name, expected="a list of words")


def _none_but_text(name: str) -> str:
    raise UsageError("something else", where=name, expected="some text")
