"""The group's scores beside one seat's own marks, after the reveal."""

from __future__ import annotations

import asyncio
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import polars as pl

from halfpoint.errors import EstimateError
from halfpoint.estimate.findings import Findings, MarkFindings
from halfpoint.estimate.result import About, Model, find_result
from halfpoint.estimate.weigh import MarkToWeigh
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.replay import State
from halfpoint.ledger.view import current_entries
from halfpoint.publish.standing import is_withheld
from halfpoint.publish.whole_result import Depth
from halfpoint.publish.withheld import few_marks_in_words, withhold
from halfpoint.serve.room import Room
from halfpoint.serve.seating import Seat
from halfpoint.serve.seats import entries_of
from halfpoint.serve.wire.result import GroupScore, OwnMarks, ResultShown, WineTold
from halfpoint.sheet.entry import Entry
from halfpoint.tasting.model import Tasting

# A term is the group's when so large a share of the others ticked it, and at least so many.
SHARED, FEWEST = 0.2, 2
MOST_MISSED = 5
# As everywhere that a result leaves the desk.
LEAST = Depth().least


@dataclass(frozen=True, slots=True)
class Group:
    """What all together say: scores by wine and kind of mark, and terms by wine.

    `ticked[wine]` counts the tasters who ticked each term, `tasters[wine]` those who marked it.
    `note` says in words why there are no scores, or of which wines too few marks for any: neither
    scores nor terms are told of those.
    """

    version: int
    scores: Mapping[str, Mapping[str, GroupScore]]
    ticked: Mapping[str, Counter[str]]
    tasters: Mapping[str, int]
    note: str = ''


@dataclass(slots=True)
class Groups:
    """Works out the group's scores once for each state of the record, whoever asks."""

    _kept: Group | None = None
    _turn: asyncio.Lock = field(default_factory=asyncio.Lock)

    async def now(self, room: Room) -> Group:
        """The group's scores as of now."""
        async with self._turn:
            if self._kept is None or self._kept.version != room.writer.version:
                version, entries = await room.writer.read(_counting)
                self._kept = await asyncio.to_thread(_group, room.tasting, version, entries)
            return self._kept


def _counting(state: State) -> tuple[int, list[EntryState]]:
    return state.last, state.in_force()


def _group(tasting: Tasting, version: int, entries: Sequence[EntryState]) -> Group:
    ticked: dict[str, Counter[str]] = defaultdict(Counter)
    tasters: dict[str, set[str]] = defaultdict(set)
    for entry in entries:
        tasters[entry.now.wine].add(entry.now.taster)
        ticked[entry.now.wine].update(set(entry.now.terms))
    counts = {wine: len(names) for wine, names in tasters.items()}
    told = {wine: terms for wine, terms in ticked.items() if counts[wine] >= LEAST}
    try:
        found = _weighed(tasting, entries)
    except EstimateError as reason:
        said = f"There are no scores of the group: {reason.found}."
        return Group(version, {}, told, counts, said)
    return Group(version, _scores(found), told, counts, _note(tasting, found))


def _weighed(tasting: Tasting, entries: Sequence[EntryState]) -> Findings:
    """The main estimate, without the figures that too few marks carry."""
    state = State(entries={entry.number: entry for entry in entries})
    frame, covariates = _tidy(current_entries(state))
    sheet = tasting.sheet
    kinds = [MarkToWeigh('total', "Total", sheet.top)]
    if len(sheet.categories) > 1:
        kinds += [MarkToWeigh(c.key, c.label, c.top) for c in sheet.categories]
    about = About(tasting.title, sheet.label, '')
    return withhold(find_result(frame, kinds, Model(covariates=covariates), about), LEAST)


def _scores(found: Findings) -> dict[str, dict[str, GroupScore]]:
    scores: dict[str, dict[str, GroupScore]] = defaultdict(dict)
    for key, said in {'total': found.total, **found.categories}.items():
        _add(scores, key, said)
    return scores


def _tidy(frame: pl.DataFrame) -> tuple[pl.DataFrame, tuple[str, ...]]:
    """Without the site where not every entry tells it; position where every entry does."""
    if frame.get_column('site').null_count():
        frame = frame.drop('site')
    position = frame.get_column('position')
    is_told = position.null_count() == 0 and position.n_unique() > 1
    return frame, ('position',) if is_told else ()


def _add(scores: dict[str, dict[str, GroupScore]], key: str, said: MarkFindings) -> None:
    for wine in said.wines:
        if is_withheld(wine):
            continue
        scores[wine.wine][key] = GroupScore(estimate=wine.adjusted, low=wine.low, high=wine.high)


def _note(tasting: Tasting, found: Findings) -> str:
    names = {wine.key: wine.name for wine in tasting.wines}
    few = [names.get(w.wine, w.wine) for w in found.total.wines if is_withheld(w)]
    return few_marks_in_words(few, LEAST) if few else ''


def result_shown(room: Room, state: State, seat: Seat, group: Group) -> ResultShown:
    """A seat's evening with the wines named; only after the reveal."""
    own = {entry.now.code: entry.now for entry in entries_of(room, state, seat)}
    labels = {key: term.label for key, term in room.tasting.sheet.terms_by_key.items()}
    names = {wine.key: wine.name for wine in room.tasting.wines}
    wines = []
    for pour in room.pours_at(seat):
        mine = own.get(pour.code)
        shared, missed = _terms(mine, group, pour.wine)
        wines.append(
            WineTold(
                code=pour.code,
                position=pour.position,
                wine=names.get(pour.wine, pour.wine),
                own=OwnMarks(marks=dict(mine.marks), total=mine.total) if mine else None,
                group=dict(group.scores.get(pour.wine, {})),
                tasters=group.tasters.get(pour.wine, 0),
                terms_shared=[labels.get(term, term) for term in shared],
                terms_missed=[labels.get(term, term) for term in missed],
            )
        )
    return ResultShown(
        revealed=True,
        tasting=room.tasting_shown(state),
        taster=seat.taster,
        wines=wines,
        note=group.note,
    )


def _terms(mine: Entry | None, group: Group, wine: str) -> tuple[list[str], list[str]]:
    """Terms of one's own that others found too, and those most often found by others alone."""
    own = set(mine.terms) if mine else set()
    others = group.tasters.get(wine, 0) - (mine is not None)
    counts = group.ticked.get(wine, Counter()).copy()
    counts.subtract(own)
    enough = max(FEWEST, SHARED * others)
    found = [term for term, count in counts.most_common() if count >= enough]
    missed = [term for term in found if term not in own]
    return [term for term in found if term in own], missed[:MOST_MISSED]
