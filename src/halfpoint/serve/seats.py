"""A seat's sheet: what its phone is shown, and what becomes of what it sends."""

from __future__ import annotations

import math
from collections.abc import Sequence

from halfpoint.ledger.consent import record_letter, wants_letter
from halfpoint.ledger.from_phone import ONE_OF_TWO, Answer, sheet_arrived, take_sheets
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.records import RowHeld
from halfpoint.ledger.replay import State
from halfpoint.plan.model import Pour
from halfpoint.publish.handouts.care import CAUTIONS
from halfpoint.serve.room import Room
from halfpoint.serve.seating import Seat
from halfpoint.serve.wire.marks import (
    EntryAnswer,
    EntryAnswers,
    FieldProblem,
    HintSaid,
    SentEntries,
    SentEntry,
    written_in,
)
from halfpoint.serve.wire.sheet import (
    PourShown,
    ScoreSheet,
    SentShown,
    SheetShown,
)
from halfpoint.sheet.entry import Complaint
from halfpoint.sheet.hints import hints
from halfpoint.sheet.words import split_words
from halfpoint.tasting.model import Tasting


async def take(
    room: Room, seat: Seat, sent: SentEntries, *, source: str, who: str = ''
) -> EntryAnswers:
    """Record what was sent from a seat; every answer is about what is on the disk.

    Args:
        room: the tasting.
        seat: the seat it is about.
        sent: the sheets.
        source: where it comes from, in words: "phone of" or "typed in for".
        who: who sent it, as the record has it; the taster when not said.
    """
    held_to = room.held_to(seat)

    def job(ledger: Ledger, state: State) -> EntryAnswers:
        desk = room.desk(state)
        where = f"{source} {held_to.taster}"
        arrived = [
            sheet_arrived(each.filled(), held_to, desk, device=sent.device, source=where)
            for each in sent.entries
        ]
        answers = take_sheets(ledger, arrived, who=who or held_to.taster, state=state)
        told = [
            _answer(room.tasting, state, each, answer)
            for each, answer in zip(sent.entries, answers, strict=True)
        ]
        version = sheet_version(room)
        return EntryAnswers(answers=told, server_time=room.served.utc(), sheet_version=version)

    return await room.writer.do(job)


async def agree(room: Room, seat: Seat, *, letter: bool) -> None:
    """Record whether whoever sits there wants a letter; on the disk when this returns."""

    def job(ledger: Ledger, state: State) -> None:
        record_letter(ledger, state, room.tasting, seat.taster, wanted=letter, who=seat.taster)

    await room.writer.do(job)


def _answer(tasting: Tasting, state: State, sent: SentEntry, answer: Answer) -> EntryAnswer:
    kept = state.entries[answer.entry].now if answer.entry is not None else None
    said = hints(tasting.sheet, kept) if kept is not None and answer.state == 'kept' else ()
    return EntryAnswer(
        id=sent.id,
        version=sent.version,
        state=answer.state,
        entry=answer.entry,
        problems=[_problem(complaint) for complaint in answer.problems],
        hints=[HintSaid(field=hint.field, message=hint.message) for hint in said],
    )


def _problem(complaint: Complaint) -> FieldProblem:
    return FieldProblem(field=complaint.field, found=complaint.found, expected=complaint.expected)


def sheet_version(room: Room) -> str:
    """What changes when the score sheet or the pours do."""
    return room.plan.version


def sheet_shown(room: Room, state: State, seat: Seat) -> SheetShown:
    """The whole sheet of a seat."""
    return SheetShown(
        version=sheet_version(room),
        tasting=room.tasting_shown(state),
        site=room.site_shown(seat.site),
        table=seat.table,
        seat=seat.seat,
        taster=seat.taster,
        letter=wants_letter(room.tasting, state, seat.taster),
        sheet=ScoreSheet.of(room.tasting.sheet),
        pours=_pours_shown(room.pours_at(seat)),
        sent=sent_shown(room, state, seat),
        cautions=list(CAUTIONS),
        server_time=room.served.utc(),
    )


def _pours_shown(pours: Sequence[Pour]) -> list[PourShown]:
    first: dict[int, int] = {}
    shown = []
    for pour in pours:
        begins = first.setdefault(pour.flight, pour.position)
        shown.append(
            PourShown(
                code=pour.code,
                flight=pour.flight,
                position=pour.position,
                flight_position=pour.position - begins + 1,
            )
        )
    return shown


def sent_shown(room: Room, state: State, seat: Seat) -> list[SentShown]:
    """What has arrived from a seat: entries in serving order, then what is held."""
    shown = [_entry_shown(state, entry) for entry in entries_of(room, state, seat)]
    return shown + [_held_shown(row) for row in rows_of(state, seat.taster)]


def entries_of(room: Room, state: State, seat: Seat) -> list[EntryState]:
    """The entries of a seat, in serving order."""
    taster = seat.taster
    found = [
        (order.get(entry.now.code or '', min(order.values())), entry)
        for wine, order in _by_wine(room.pours_at(seat)).items()
        for entry in state.pours.of(taster, wine)
    ]
    return [entry for _, entry in sorted(found, key=lambda pair: (pair[0], pair[1].number))]


def _by_wine(pours: Sequence[Pour]) -> dict[str, dict[str, int]]:
    wines: dict[str, dict[str, int]] = {}
    for pour in pours:
        wines.setdefault(pour.wine, {})[pour.code] = pour.position
    return wines


def rows_of(state: State, taster: str) -> list[RowHeld]:
    """The rows held of a taster."""
    return [row for row in state.waiting().values() if row.original.get('taster') == taster]


def _entry_shown(state: State, entry: EntryState) -> SentShown:
    now, owner = entry.now, state.senders.owner(entry.number)
    return SentShown(
        id=owner[0][1] if owner else None,
        version=owner[1].version if owner else None,
        state='kept',
        entry=entry.number,
        code=now.code or '',
        total=now.total,
        **written_in(now),
        problems=[],
    )


def held_expected(row: RowHeld) -> str:
    """What would have been accepted, in words for a room."""
    return row.expected if row.conflicts is None else ONE_OF_TWO


def _held_shown(row: RowHeld) -> SentShown:
    said = row.original
    beside = {
        'taster', 'site', 'wine', 'position', 'code', 'pour', 'terms', 'faults', 'finish',
        'remark', 'families', 'finish_band', 'own_words',
    }  # fmt: skip
    return SentShown(
        id=row.sent.id if row.sent else None,
        version=row.sent.version if row.sent else None,
        state='held' if row.conflicts is None else 'conflict',
        entry=row.conflicts,
        code=said.get('code', ''),
        marks={key: _read(text) for key, text in said.items() if key not in beside},
        total=None,
        terms=split_words(said.get('terms', '')),
        own_words=split_words(said.get('own_words', '')),
        families=split_words(said.get('families', '')),
        faults=split_words(said.get('faults', '')),
        finish_seconds=_read(said.get('finish', '')),
        finish_band=said.get('finish_band', ''),
        remark=said.get('remark', ''),
        problems=[_problem(Complaint(row.field, row.found, held_expected(row)))],
    )


def _read(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
