"""A seat's sheet: what its phone is shown, and what becomes of what it sends."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from halfpoint.collect.phone.filled import Desk, Seat
from halfpoint.collect.phone.when import Phase, too_early_or_late
from halfpoint.ledger.from_phone import Answer, sheet_arrived, take_sheets
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.records import RowHeld
from halfpoint.ledger.replay import State
from halfpoint.plan.model import Pour
from halfpoint.publish.handouts.care import CAUTIONS
from halfpoint.serve.plan_now import PlanNow
from halfpoint.serve.served import Served
from halfpoint.serve.wire.marks import (
    EntryAnswer,
    EntryAnswers,
    HintSaid,
    Problem,
    SentEntries,
    SentEntry,
)
from halfpoint.serve.wire.sheet import (
    NameShown,
    PourShown,
    ScoreSheet,
    SentShown,
    SheetShown,
    TastingShown,
)
from halfpoint.sheet.hints import hints
from halfpoint.tasting.model import Tasting


@dataclass(frozen=True, slots=True)
class Place:
    """A seat of a site; `order_of` is the seat whose serving order it has, itself as a rule."""

    site: str
    seat: int
    order_of: int

    @classmethod
    def planned(cls, site: str, seat: int) -> Place:
        """A seat of the plan."""
        return cls(site, seat, seat)


def seat_of(plan: PlanNow, place: Place) -> Seat:
    """The seat as sheets are held against it."""
    order_of = plan.taster(place.site, place.order_of)
    return Seat(place.site, plan.taster(place.site, place.seat), order_of)


def pours_at(plan: PlanNow, place: Place) -> tuple[Pour, ...]:
    """What is poured at a seat, in serving order."""
    return plan.by_seat.get((place.site, place.order_of), ())


async def take(
    served: Served, place: Place, sent: SentEntries, *, source: str, who: str = ''
) -> EntryAnswers:
    """Record what was sent from a seat; every answer is about what is on the disk.

    Args:
        served: the tasting.
        place: the seat it is about.
        sent: the sheets.
        source: where it comes from, in words: "phone of" or "typed in for".
        who: who sent it, as the record has it; the taster when not said.
    """

    def job(ledger: Ledger, state: State) -> EntryAnswers:
        plan = served.plan(state)
        seat = seat_of(plan, place)
        closed = too_early_or_late(served.tasting, served.phase(state))
        desk = Desk(served.tasting, plan.poured, closed)
        arrived = [
            sheet_arrived(
                each.filled(), seat, desk, device=sent.device, source=f"{source} {seat.taster}"
            )
            for each in sent.entries
        ]
        answers = take_sheets(ledger, arrived, who=who or seat.taster, state=state)
        told = [
            _answer(served.tasting, state, each, answer)
            for each, answer in zip(sent.entries, answers, strict=True)
        ]
        version = sheet_version(served.tasting, plan)
        return EntryAnswers(answers=told, server_time=served.utc(), sheet_version=version)

    return await served.writer.do(job)


def _answer(tasting: Tasting, state: State, sent: SentEntry, answer: Answer) -> EntryAnswer:
    kept = state.entries[answer.entry].now if answer.entry is not None else None
    said = hints(tasting.sheet, kept) if kept is not None and answer.state == 'kept' else ()
    return EntryAnswer(
        id=sent.id,
        version=sent.version,
        state=answer.state,
        entry=answer.entry,
        problems=[
            Problem(field=p.field, found=p.found, expected=p.expected) for p in answer.problems
        ],
        hints=[HintSaid(field=hint.field, message=hint.message) for hint in said],
    )


def sheet_version(tasting: Tasting, plan: PlanNow) -> str:
    """What changes when the score sheet or the plan does."""
    text = f'{tasting.sheet.model_dump_json()}\n{plan.number}'
    return hashlib.sha256(text.encode('utf-8')).hexdigest()[:12]


def sheet_shown(served: Served, state: State, place: Place) -> SheetShown:
    """The whole sheet of a seat."""
    tasting, plan = served.tasting, served.plan(state)
    pours = pours_at(plan, place)
    return SheetShown(
        version=sheet_version(tasting, plan),
        tasting=tasting_shown(tasting, served.phase(state)),
        site=site_shown(plan, place.site),
        table=pours[0].table if pours else 0,
        seat=place.seat,
        taster=plan.taster(place.site, place.seat),
        sheet=ScoreSheet.of(tasting.sheet),
        pours=_pours_shown(pours),
        sent=sent_shown(state, plan, place),
        cautions=list(CAUTIONS),
        server_time=served.utc(),
    )


def tasting_shown(tasting: Tasting, phase: Phase) -> TastingShown:
    """The tasting, as everybody may know it."""
    return TastingShown(
        key=tasting.key,
        title=tasting.title,
        invented=tasting.invented,
        opens=tasting.opens.isoformat() if tasting.opens else None,
        closes=tasting.closes.isoformat() if tasting.closes else None,
        state=phase,
    )


def site_shown(plan: PlanNow, site: str) -> NameShown:
    """Key and name of a site."""
    evening = plan.evenings.get(site)
    return NameShown(key=site, name=evening.site.name if evening else site)


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


def sent_shown(state: State, plan: PlanNow, place: Place) -> list[SentShown]:
    """What has arrived from a seat: entries in serving order, then what is held."""
    taster = plan.taster(place.site, place.seat)
    entries = entries_of(state, plan, place)
    held = rows_of(state, taster)
    shown = [_entry_shown(state, entry) for entry in entries]
    return shown + [_held_shown(row) for _, row in held]


def entries_of(state: State, plan: PlanNow, place: Place) -> list[EntryState]:
    """The entries of a seat, in serving order."""
    taster = plan.taster(place.site, place.seat)
    return [
        entry
        for wine, pours in _by_wine(pours_at(plan, place)).items()
        for entry in state.pours.of(taster, wine)
        if entry.now.code is None or entry.now.code in pours
    ]


def _by_wine(pours: Sequence[Pour]) -> dict[str, list[str]]:
    wines: dict[str, list[str]] = {}
    for pour in pours:
        wines.setdefault(pour.wine, []).append(pour.code)
    return wines


def rows_of(state: State, taster: str) -> list[tuple[int, RowHeld]]:
    """The rows held of a taster."""
    waiting = state.waiting().items()
    return [(n, row) for n, row in waiting if row.original.get('taster') == taster]


def _entry_shown(state: State, entry: EntryState) -> SentShown:
    now, owner = entry.now, state.senders.owner(entry.number)
    return SentShown(
        id=owner[0][1] if owner else None,
        version=owner[1].version if owner else None,
        state='kept',
        entry=entry.number,
        code=now.code or '',
        marks=dict(now.marks),
        total=now.total,
        terms=list(now.terms),
        own_words=list(now.own_words),
        families=list(now.families),
        faults=list(now.faults),
        finish_seconds=now.finish_seconds,
        finish_band=now.finish_band,
        remark=now.remark,
        problems=[],
    )


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
        terms=_words(said.get('terms', '')),
        own_words=_words(said.get('own_words', '')),
        families=_words(said.get('families', '')),
        faults=_words(said.get('faults', '')),
        finish_seconds=_read(said.get('finish', '')),
        finish_band=said.get('finish_band', ''),
        remark=said.get('remark', ''),
        problems=[Problem(field=row.field, found=row.found, expected=row.expected)],
    )


def _words(text: str) -> list[str]:
    return [word for word in text.split(', ') if word]


def _read(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
