"""When a second sheet says something else about a pour that is already recorded."""

from __future__ import annotations

from collections.abc import Iterator

from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.records import EntryRecorded, RowHeld
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.words import join_words, say_number


def contradiction(arrived: EntryRecorded, standing: EntryState, *, blind: bool = False) -> RowHeld:
    """The arrived entry as a held row that says where it contradicts the one that stands.

    When `blind`, a row that has a code does not name the wine behind it.
    """
    field, says, said = next(differences(arrived.entry, standing.now))
    origin = standing.recorded.origin
    place = f" ({origin})" if origin else ""
    return RowHeld(
        file=arrived.file,
        row=arrived.row or 0,
        field=field,
        found=f"{says}, where entry {standing.number}{place} already says {said}",
        expected=(
            f"what entry {standing.number} says; if this sheet is the right one, "
            f"halfpoint correct that entry, and if it is another pour, write its position or code"
        ),
        original=as_row(arrived.entry, blind=blind),
        conflicts=standing.number,
        page=arrived.page,
        place=arrived.place,
        sent=arrived.sent,
    )


def differences(one: Entry, other: Entry) -> Iterator[tuple[str, str, str]]:
    """Field by field where two entries differ, and what each says, in words."""
    first, second = _in_words(one), _in_words(other)
    for field in first | second:
        says, said = first.get(field, ''), second.get(field, '')
        if says != said:
            yield field, says or "nothing", said or "nothing"


def as_row(entry: Entry, *, blind: bool = False) -> dict[str, str]:
    """The entry as the row of a table that can be read in again."""
    return {
        'taster': entry.taster,
        'site': entry.site or '',
        'wine': '' if blind and entry.code else entry.wine,
        'position': '' if entry.position is None else str(entry.position),
        'code': entry.code or '',
        'pour': entry.pour or '',
        **{key: f'{mark:.15g}' for key, mark in entry.marks.items()},
        'terms': join_words(entry.terms),
        'faults': join_words(entry.faults),
        'finish': '' if entry.finish_seconds is None else f'{entry.finish_seconds:.15g}',
        'remark': entry.remark,
        **({'families': join_words(entry.families)} if entry.families else {}),
        **({'finish_band': entry.finish_band} if entry.finish_band else {}),
        **({'own_words': join_words(entry.own_words)} if entry.own_words else {}),
    }


def _in_words(entry: Entry) -> dict[str, str]:
    said = {key: say_number(mark) for key, mark in entry.marks.items()}
    return said | {
        'terms': ", ".join(sorted(entry.terms)),
        'faults': ", ".join(sorted(entry.faults)),
        'families': ", ".join(sorted(entry.families)),
        'finish': "" if entry.finish_seconds is None else f"{entry.finish_seconds:g} s",
        'finish band': entry.finish_band,
        'own words': join_words(sorted(entry.own_words)),
        'remark': f"'{entry.remark}'" if entry.remark else "",
        'taster': entry.taster,
        'site': entry.site or "",
        'wine': entry.wine,
        'position': "" if entry.position is None else str(entry.position),
        'code': entry.code or "",
        'pour': entry.pour or "",
    }
