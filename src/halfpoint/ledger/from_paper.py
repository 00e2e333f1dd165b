"""From a block of a page to an entry, or to the row held in its place."""

from __future__ import annotations

from collections.abc import Iterator

from halfpoint.collect.paper.read.model import TOTAL, PourReading
from halfpoint.collect.table.poured import Poured
from halfpoint.ledger.paper import WHOLE_PAGE, PageState
from halfpoint.ledger.records import EntryRecorded, RowHeld
from halfpoint.sheet.entry import Complaint, Entry
from halfpoint.sheet.validity import check_entry
from halfpoint.tasting.model import Tasting


def from_block(
    tasting: Tasting, poured: Poured, page: PageState, place: int
) -> EntryRecorded | RowHeld | None:
    """What a block comes to; None while something on it waits, or when nothing is on it."""
    reading = page.reading(place)
    if reading is None or any(where == WHOLE_PAGE for where, _ in page.open_looks()):
        return None
    pour = page.pour(reading)
    if pour.looks or pour.is_empty:
        return None
    return _Block(tasting, poured, page, pour).made()


def taster_of(poured: Poured, page: PageState) -> str:
    """Who wrote on the page; '' when that cannot be told."""
    if page.page.taster:
        return page.page.taster
    return seated(poured, page.page.site, page.seat)


def seated(poured: Poured, site: str, seat: str) -> str:
    """Who is meant by a seat, or by a name written in its place; '' for a seat not there."""
    if seat.isdecimal():
        return poured.seats.get(site, {}).get(int(seat), '')
    return seat


def likely_code(poured: Poured, site: str, code: str, taster: str = '') -> str:
    """What was probably meant by a code that was not poured, in words; no wine is named."""
    found = poured.likely(site, code, taster=taster) if code else None
    return f"a code poured at {site}{f'; likely {found[0]}' if found else ''}"


class _Block:
    def __init__(
        self, tasting: Tasting, poured: Poured, page: PageState, pour: PourReading
    ) -> None:
        self.tasting, self.poured, self.page, self.pour = tasting, poured, page, pour
        self.site = page.page.site
        self.taster = taster_of(poured, page)
        self.behind = poured.at(self.site, pour.code)
        places = poured.places.get((self.site, self.taster), {})
        self.position = places.get(pour.code, pour.position)

    def made(self) -> EntryRecorded | RowHeld:
        entry = self._checked()
        complaints = [*self._about_names(), *(entry if isinstance(entry, tuple) else ())]
        source, place = self.page.page, self.pour.place
        if isinstance(entry, Entry) and not complaints:
            return EntryRecorded(
                entry, source.file, source.page, page=self.page.number, place=place
            )
        return RowHeld(
            source.file,
            source.page,
            "; ".join(dict.fromkeys(c.field for c in complaints)),
            "; ".join(dict.fromkeys(c.found for c in complaints)),
            "; ".join(dict.fromkeys(c.expected for c in complaints)),
            self._row(),
            page=self.page.number,
            place=place,
        )

    def _checked(self) -> Entry | tuple[Complaint, ...]:
        total = self.page.decided.get(self.pour.place, {}).get((TOTAL, ''))
        return check_entry(
            self.tasting.sheet,
            # What is not known is complained of in words of its own.
            taster=self.taster or '?',
            wine=self.behind.wine if self.behind else '?',
            marks=self.pour.marks,
            written_total=None if total is None else float(total),
            site=self.site if self.tasting.sites else None,
            position=self.position,
            code=self.pour.code,
            terms=self.pour.terms,
            faults=self.pour.faults,
            pour=self.behind.pour if self.behind else None,
            families=self.pour.families,
            finish_band=self.pour.finish_band,
        )

    def _about_names(self) -> Iterator[Complaint]:
        if not self.taster:
            seat = self.page.seat
            yield Complaint('taster', f"seat {seat}" if seat else "nothing", "who sat where")
        if self.behind is None:
            code = self.pour.code
            expected = likely_code(self.poured, self.site, code, self.taster)
            yield Complaint('code', f"'{code}'" if code else "nothing", expected)

    def _row(self) -> dict[str, str]:
        """The block as the row of a table that can be mended and read in."""
        pour, marks = self.pour, self.pour.marks
        row = {
            'taster': self.taster,
            'site': self.site if self.tasting.sites else '',
            'wine': '',
            'position': '' if self.position is None else str(self.position),
            'code': pour.code,
            'pour': '',
            **{key: '' if marks[key] is None else f'{marks[key]:.15g}' for key in marks},
            'terms': ', '.join(pour.terms),
            'faults': ', '.join(pour.faults),
            'finish': '',
            'remark': '',
            'families': ', '.join(pour.families),
            'finish_band': pour.finish_band,
        }
        also = {'families', 'finish_band'}
        return {name: text for name, text in row.items() if text or name not in also}
