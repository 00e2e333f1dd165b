"""What on paper waits for a person, and what comes of a decision."""

from __future__ import annotations

from dataclasses import dataclass

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import BAND, CODE, SEAT, TOTAL, Look, PourReading
from halfpoint.collect.table.poured import Poured
from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.another_picture import (
    Chosen,
    Difference,
    OtherPicture,
    other_pictures,
    prefer,
    stand_beside,
)
from halfpoint.ledger.decided import corrected_by, decided_value
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pages import ticked_boxes
from halfpoint.ledger.paper import BOXES, WHOLE_PAGE, Asked, PageState, adds_up
from halfpoint.ledger.pen import Pen
from halfpoint.ledger.records import Decided, RowHeld, Value
from halfpoint.ledger.replay import State, replay
from halfpoint.tasting.model import Tasting

__all__ = [
    'Asked',
    'Chosen',
    'Decision',
    'Difference',
    'OtherPicture',
    'Waiting',
    'asked_about',
    'decide',
    'other_pictures',
    'prefer',
    'stand_beside',
    'waiting',
    'waiting_on',
]


@dataclass(frozen=True, slots=True)
class Waiting:
    """One thing on a page that a person can decide.

    `page` is the number of the page's record, `file` and `in_file` say which picture it is, and
    `picture` is the SHA-256 of the kept one. `seat` is None on a spare, and `number` then that
    of the spare. `place` is the block on the page, 0 for the page as a whole; `code` is what is
    known of the pour. `read` is what stands there now, None when that cannot be told.
    """

    page: int
    file: str
    in_file: int
    picture: str
    site: str
    seat: int | None
    number: int
    sheet: int
    wines_a_page: int
    place: int
    position: int | None
    code: str
    look: Look
    read: Value

    @property
    def asked(self) -> Asked:
        """What it is about."""
        return Asked(self.page, self.place, self.look.field, self.look.about)


@dataclass(frozen=True, slots=True)
class Decision:
    """What came of a decision: its record, entries made and corrected, rows held."""

    record: int
    entries: tuple[int, ...]
    corrected: tuple[int, ...]
    already: int
    held: tuple[RowHeld, ...]


def waiting(state: State) -> list[Waiting]:
    """All that waits, page after page in the order in which they came.

    On a page the seat comes first, then block by block the code, the marks in the order of the
    sheet, the total and the boxes.
    """
    return [each for page in state.papers.pages.values() for each in waiting_on(page)]


def waiting_on(page: PageState) -> list[Waiting]:
    """All that waits on one page, in the same order."""
    return [_waiting(page, place, look) for place, look in sorted(page.open_looks(), key=_order)]


def asked_about(state: State, asked: Asked) -> Waiting:
    """A thing on a page whether it waits or not, to look at it or decide it once more.

    Raises:
        NotInLedger: there is no such page, block or field.
    """
    page = state.papers.numbered(asked.page)
    pour = page.reading(asked.place)
    looks = page.page.looks if asked.place == WHOLE_PAGE else pour.looks if pour else ()
    if asked.place != WHOLE_PAGE and pour is None:
        raise NotInLedger(
            f"no block {asked.place} on the page in record {asked.page}",
            expected=f"1 to {len(page.page.pours)}",
            remedy="look at the page again",
        )
    found = (look for look in looks if (look.field, look.about) == (asked.field, asked.about))
    nowhere = Look(asked.field, 'unclear', Rectangle(0, 0, 0, 0), asked.about)
    return _waiting(page, asked.place, next(found, nowhere))


def decide(
    ledger: Ledger,
    tasting: Tasting,
    poured: Poured,
    waiting: Waiting | Asked,
    value: Value,
    *,
    who: str,
    why: str = '',
    state: State | None = None,
) -> Decision:
    """Record what a person says stands there, and what follows, in one step or not at all.

    Once nothing on the block waits it becomes an entry, or is held with the reason. A later
    decision on the same thing replaces it; when there is an entry already, it is corrected. A
    mark so decided that the marks come to the written total settles the doubt about that too.

    Args:
        ledger: the record.
        tasting: whose sheet the value is held against.
        poured: the plan in force.
        waiting: what is decided.
        value: a mark or total; 1 or 0 for a box; a code; a seat or, for who has none, a taster;
            None for nothing marked, or not to be told.
        who: who decides.
        why: the reason given, if any.
        state: as in `take_pages`.

    Raises:
        UsageError: the value is none that the sheet, or the plan, allows there.
        NotInLedger: there is no such page or block.
    """
    asked = waiting.asked if isinstance(waiting, Waiting) else waiting
    if not who.strip():
        raise UsageError("nothing", where="--who", expected="the name of who decides")
    with ledger.writing():
        state = replay(ledger.records(after=state.last if state else 0), state)
        pen = Pen(ledger, tasting, poured, who, state)
        record = write_decision(pen, asked, value, why=why)
    return Decision(record, tuple(pen.entries), tuple(pen.corrected), pen.already, tuple(pen.held))


def write_decision(pen: Pen, asked: Asked, value: Value, *, why: str = '') -> int:
    """The part of `decide` within `Ledger.writing`; the number of the decision."""
    page = pen.state.papers.numbered(asked.page)
    _refuse_other_picture(page)
    said = decided_value(pen.tasting, pen.poured, page, asked, value)
    corrections = corrected_by(pen, page, asked, said, why)
    record = pen.write(Decided(*asked, said, why=why), *corrections)[0]
    pen.corrected += [correction.of for correction in corrections]
    _settle_total(pen, page, asked)
    for reading in page.page.pours:
        if asked.place in {WHOLE_PAGE, reading.place} and reading.place not in page.entries:
            pen.settle(page, reading.place)
    return record


def _refuse_other_picture(page: PageState) -> None:
    if not page.stands:
        raise UsageError(
            "a picture that does not count",
            where=f"record {page.number}, {page.page.file}, page {page.page.page}",
            expected="the picture that was chosen for this page",
            remedy="choose this one first, or decide on the other",
        )


def _settle_total(pen: Pen, page: PageState, asked: Asked) -> None:
    reading = page.reading(asked.place)
    if reading is None or asked.field not in pen.tasting.sheet.categories_by_key:
        return
    now = page.pour(reading)
    doubted = any(look.field == TOTAL for look in now.looks)
    if doubted and now.total_read is not None and adds_up(pen.tasting.sheet, now, now.total_read):
        pen.write(Decided(page.number, asked.place, TOTAL, value=now.total_read))


def _waiting(page: PageState, place: int, look: Look) -> Waiting:
    reading = page.reading(place)
    pour = page.pour(reading) if reading else None
    source = page.page
    return Waiting(
        page=page.number,
        file=source.file,
        in_file=source.page,
        picture=source.picture,
        site=source.site,
        seat=source.seat,
        number=source.number,
        sheet=source.sheet,
        wines_a_page=source.wines_a_page,
        place=place,
        position=pour.position if pour else None,
        code=pour.code if pour else '',
        look=look,
        read=what_stands(page, pour, look.field, look.about),
    )


def what_stands(page: PageState, pour: PourReading | None, field: str, about: str = '') -> Value:
    """What is said there now, by the reader or a person; None where it cannot be told."""
    if pour is None:
        return page.seat or None if field == SEAT else None
    if any((look.field, look.about) == (field, about) for look in pour.looks):
        return None
    if field in BOXES:
        return float((field, about) in ticked_boxes(pour))
    if field == TOTAL:
        return pour.total_read
    return pour.code or None if field == CODE else pour.marks.get(field)


def _order(found: tuple[int, Look]) -> tuple[int, int]:
    place, look = found
    kinds = {SEAT: 0, CODE: 0, TOTAL: 2, BAND: 4}
    return place, kinds.get(look.field, 3 if look.field in BOXES else 1)
