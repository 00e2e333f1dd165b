"""Writing what comes of a page: entries, rows held, corrections, one after another."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from halfpoint.collect.table.poured import Poured
from halfpoint.ledger.contradiction import contradiction
from halfpoint.ledger.from_paper import from_block
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.paper import PageState
from halfpoint.ledger.pours import EntryState, same_pour, same_words
from halfpoint.ledger.records import Content, EntryRecorded, RowHeld, Settled
from halfpoint.ledger.replay import State, replay
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.tasting.model import Tasting


@dataclass(slots=True)
class Pen:
    """Writes within `Ledger.writing`, and keeps the state up with what is written.

    When a step is not completed the state no longer fits the record, and has to be read anew.
    """

    ledger: Ledger
    tasting: Tasting
    poured: Poured
    who: str
    state: State
    entries: list[int] = field(default_factory=list)
    corrected: list[int] = field(default_factory=list)
    held: list[RowHeld] = field(default_factory=list)
    already: int = 0

    def write(self, *contents: Content) -> tuple[int, ...]:
        """Add records, and give their numbers."""
        numbers = self.ledger.append(contents, who=self.who)
        replay(self.ledger.records(after=self.state.last), self.state)
        return numbers

    def settle(self, page: PageState, place: int) -> None:
        """Make of a block what it has come to: an entry, a held row, or nothing yet."""
        made = from_block(self.tasting, self.poured, page, place)
        before = page.held.get(place)
        before = before if before in self.state.held else None
        if isinstance(made, EntryRecorded):
            standing = self._standing(made.entry)
            if standing is None:
                (number,) = self.write(made)
                self.entries.append(number)
                self._settled(before, number)
                return
            if self._says_no_other(made.entry, standing):
                self.already += 1
                self._settled(before, standing.number)
                return
            made = contradiction(made, standing, blind=True)
        if made is not None and (before is None or self.state.held[before] != made):
            (number,) = self.write(made)
            self.held.append(made)
            self._settled(before, number)

    def _settled(self, held: int | None, by: int) -> None:
        if held is not None:
            self.write(Settled((held,), by))

    def _standing(self, entry: Entry) -> EntryState | None:
        pours = self.state.pours
        return pours.saying_the_same(entry) or pours.about_the_same(entry)

    def _says_no_other(self, entry: Entry, standing: EntryState) -> bool:
        return any(
            same_pour(version, entry) and says_no_other(self.tasting.sheet, entry, version)
            for version in standing.versions
        )


def says_no_other(sheet: Sheet, page: Entry, entry: Entry) -> bool:
    """Whether an entry says what a page does, but for what a page cannot say.

    A page is read without its remark, own words and seconds; a ticked finish band is none the less
    contradicted by seconds outside it.
    """
    band = page.finish_band
    if entry.finish_seconds is not None and not entry.finish_band and band:
        timed = sheet.finish_band(entry.finish_seconds)
        band = '' if timed is not None and timed.label == band else band
    seen = replace(
        page,
        remark=entry.remark,
        finish_seconds=entry.finish_seconds,
        finish_band=band,
        own_words=entry.own_words,
    )
    return same_words(seen, entry)
