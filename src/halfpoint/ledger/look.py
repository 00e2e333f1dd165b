"""Looking the record over: what is missing, what no longer fits, what needs a second look."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.replay import State
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.hints import hints
from halfpoint.sheet.validity import check_entry
from halfpoint.tasting.model import Tasting


@dataclass(frozen=True, slots=True)
class Missing:
    """A taster who marked some wines of a site, and those that others there marked besides."""

    site: str | None
    taster: str
    wines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something on an entry that needs a look: a hint, or a mark its sheet no longer allows."""

    entry: int
    taster: str
    wine: str
    field: str
    message: str


@dataclass(frozen=True, slots=True)
class Look:
    """What looking over found. Sites, tasters and wines not heard from are those of the file.

    Tasters of a site that was not heard from at all are not named one by one.
    """

    missing: tuple[Missing, ...]
    sites_not_heard: tuple[str, ...]
    tasters_not_heard: tuple[str, ...]
    wines_not_marked: tuple[str, ...]
    misfits: tuple[Doubt, ...]
    hints: tuple[Doubt, ...]


def look_over(state: State, tasting: Tasting) -> Look:
    """Compare what came in with what the tasting file and the others at each site say."""
    came = [entry.now for entry in state.entries.values()]
    counted = state.in_force()
    misfits = tuple(doubt for entry in counted for doubt in entry_misfits(tasting.sheet, entry))
    unfit = {doubt.entry for doubt in misfits}
    silent = _absent((site.key for site in tasting.sites), {entry.site for entry in came})
    expected = (taster.key for taster in tasting.tasters if taster.site not in silent)
    return Look(
        missing=tuple(_missing(came)),
        sites_not_heard=silent,
        tasters_not_heard=_absent(expected, {entry.taster for entry in came}),
        wines_not_marked=_absent((w.key for w in tasting.wines), {entry.wine for entry in came}),
        misfits=misfits,
        hints=tuple(
            doubt
            for entry in counted
            if entry.number not in unfit
            for doubt in entry_hints(tasting.sheet, entry)
            if (doubt.entry, doubt.field, doubt.message) not in state.left
        ),
    )


def _missing(came: list[Entry]) -> Iterator[Missing]:
    poured: dict[str | None, dict[str, None]] = defaultdict(dict)
    marked: dict[tuple[str | None, str], set[str]] = defaultdict(set)
    for entry in came:
        poured[entry.site][entry.wine] = None
        marked[entry.site, entry.taster].add(entry.wine)
    for (site, taster), wines in sorted(marked.items(), key=lambda item: _order(item[0])):
        lacking = tuple(wine for wine in poured[site] if wine not in wines)
        if lacking:
            yield Missing(site, taster, lacking)


def _order(place: tuple[str | None, str]) -> tuple[str, str]:
    return place[0] or '', place[1]


def _absent(expected: Iterable[str], came: Collection[str | None]) -> tuple[str, ...]:
    return tuple(key for key in expected if key not in came)


def entry_misfits(sheet: Sheet, state: EntryState) -> Iterator[Doubt]:
    """What the sheet as it is now would not accept: it was edited after the marks came in."""
    entry = state.now
    checked = check_entry(
        sheet,
        taster=entry.taster,
        wine=entry.wine,
        marks=entry.marks,
        position=entry.position,
        terms=entry.terms,
        faults=entry.faults,
        finish_seconds=entry.finish_seconds,
        families=entry.families,
        finish_band=entry.finish_band,
        own_words=entry.own_words,
    )
    if isinstance(checked, tuple):
        for complaint in checked:
            message = f"{complaint.found}, where the sheet now expects {complaint.expected}"
            yield Doubt(state.number, entry.taster, entry.wine, complaint.field, message)


def entry_hints(sheet: Sheet, state: EntryState) -> Iterator[Doubt]:
    """What on an entry is worth a second look."""
    entry = state.now
    for hint in hints(sheet, entry):
        yield Doubt(state.number, entry.taster, entry.wine, hint.field, hint.message)
