"""When a page came in twice and the two pictures do not say the same: a person chooses."""

from __future__ import annotations

from dataclasses import dataclass

from halfpoint.collect.paper.read.model import CODE, SEAT, TOTAL
from halfpoint.collect.table.poured import Poured
from halfpoint.errors import UsageError
from halfpoint.ledger.changes import changed
from halfpoint.ledger.decided import changes_by
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.pages import DOUBTFUL, claims_of
from halfpoint.ledger.paper import Asked, PageState
from halfpoint.ledger.pen import Pen
from halfpoint.ledger.records import Corrected, Preferred, RowHeld, Value
from halfpoint.ledger.replay import State, replay
from halfpoint.tasting.model import Tasting


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that two pictures say differently.

    `says` is what the other picture says, `said` what the one that counts does; None where it
    cannot be told, or nothing is marked.
    """

    place: int
    field: str
    about: str
    says: Value
    said: Value


@dataclass(frozen=True, slots=True)
class OtherPicture:
    """A picture that waits for a choice: its record, and that of the one that counts.

    `seat` is None on a spare, and `number` then that of the spare.
    """

    page: int
    over: int
    file: str
    in_file: int
    picture: str
    picture_over: str
    site: str
    seat: int | None
    number: int
    sheet: int
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class Chosen:
    """What came of a choice: entries made and corrected, rows held.

    `left` are entries about which nothing stands on the picture chosen; they stay as they are.
    """

    record: int
    entries: tuple[int, ...] = ()
    corrected: tuple[int, ...] = ()
    held: tuple[RowHeld, ...] = ()
    left: tuple[int, ...] = ()


def other_pictures(state: State) -> list[OtherPicture]:
    """The pictures that wait for a choice, in the order in which they came."""
    pages = state.papers.pages
    return [
        compared(page, pages[page.over])
        for page in state.papers.others.values()
        if page.over is not None
    ]


def prefer(
    ledger: Ledger,
    tasting: Tasting,
    poured: Poured,
    page: int,
    *,
    instead_of: int,
    who: str,
    why: str = '',
    state: State | None = None,
) -> Chosen:
    """Record that of two pictures of one page this one counts, and what follows.

    When it is the one that counts already, the other waits no longer. Otherwise entries made of
    the other are corrected where this one surely says something else, and what is doubtful here
    waits; decisions about the seat and the codes of a spare go over to it.

    Args:
        ledger: the record.
        tasting: whose sheet the marks are held against.
        poured: the plan in force.
        page: record number of the picture chosen.
        instead_of: that of the other.
        who: who chose.
        why: the reason given, if any.
        state: as in `take_pages`.

    Raises:
        NotInLedger: there is no such page.
        UsageError: they are not pictures of one page of which one counts.
    """
    _refuse_nobody(who)
    with ledger.writing():
        state = replay(ledger.records(after=state.last if state else 0), state)
        new, old = state.papers.numbered(page), state.papers.numbered(instead_of)
        _refuse_strangers(new, old)
        pen = Pen(ledger, tasting, poured, who, state)
        if new.stands:
            return Chosen(pen.write(Preferred(new.number, old.number, why))[0])
        return _exchange(pen, new, old, why)


def stand_beside(
    ledger: Ledger,
    tasting: Tasting,
    poured: Poured,
    page: int,
    *,
    who: str,
    why: str = '',
    state: State | None = None,
) -> Chosen:
    """Record that a spare with a number that came before is a sheet of its own.

    It happens when one blank was copied, and several tasters filled the copies.

    Raises:
        NotInLedger: there is no such page.
        UsageError: it is a seat's own page, or does not wait for a choice.
    """
    _refuse_nobody(who)
    with ledger.writing():
        state = replay(ledger.records(after=state.last if state else 0), state)
        new = state.papers.numbered(page)
        if new.over is None or not new.page.is_spare:
            raise UsageError(
                _called(new),
                where=f"record {page}",
                expected="a spare that waits for a choice between two pictures",
            )
        pen = Pen(ledger, tasting, poured, who, state)
        record = pen.write(Preferred(new.number, why=why))[0]
        for reading in new.page.pours:
            pen.settle(new, reading.place)
    return Chosen(record, tuple(pen.entries), (), tuple(pen.held))


def _exchange(pen: Pen, new: PageState, old: PageState, why: str) -> Chosen:
    corrections, left = [], []
    for place, number in sorted(old.entries.items()):
        reading = new.reading(place)
        if reading is None or new.pour(reading).is_empty:
            left.append(number)
        elif (correction := _correction(pen, new, old, place, number)) is not None:
            corrections.append(correction)
    record = pen.write(Preferred(new.number, old.number, why), *corrections)[0]
    for reading in new.page.pours:
        if reading.place not in new.entries:
            pen.settle(new, reading.place)
    corrected = tuple(correction.of for correction in corrections)
    return Chosen(record, tuple(pen.entries), corrected, tuple(pen.held), tuple(left))


def _correction(
    pen: Pen, new: PageState, old: PageState, place: int, number: int
) -> Corrected | None:
    before = entry = pen.state.entries[number].now
    for said in sorted(_differences(new, old, place), key=lambda each: bool(each.says)):
        if said.says is None or said.field in {TOTAL, CODE, SEAT}:
            continue
        asked = Asked(new.number, place, said.field, said.about)
        changes = changes_by(pen, new, entry, asked, said.says)
        entry = changed(pen.tasting.sheet, entry, changes, f"entry {number}")
    why = f"by another picture of the page, {_called(new)}"
    return Corrected(number, entry, why) if entry != before else None


def _differences(new: PageState, old: PageState, place: int | None = None) -> list[Difference]:
    says, said = claims_of(new), claims_of(old)
    return [
        Difference(*key, _told(says.get(key, 0)), _told(said.get(key, 0)))
        for key in sorted(says.keys() | said.keys())
        if says.get(key, 0) != said.get(key, 0) and place in (None, key[0])
    ]


def _told(value: Value) -> Value:
    return None if value == DOUBTFUL else value


def compared(page: PageState, over: PageState) -> OtherPicture:
    """What a picture of a page says that another, which counts, does not."""
    source = page.page
    return OtherPicture(
        page=page.number,
        over=over.number,
        file=source.file,
        in_file=source.page,
        picture=source.picture,
        picture_over=over.page.picture,
        site=source.site,
        seat=source.seat,
        number=source.number,
        sheet=source.sheet,
        differences=tuple(_differences(page, over)),
    )


def _refuse_nobody(who: str) -> None:
    if not who.strip():
        raise UsageError("nothing", where="--who", expected="the name of who decides")


def _refuse_strangers(new: PageState, old: PageState) -> None:
    alike = new.page.payload == old.page.payload and new.page.payload != ''
    told = new.page.same_as is None and old.page.same_as is None
    if not (alike and told) or new.stands == old.stands:
        raise UsageError(
            f"{_called(new)} and {_called(old)}",
            where=f"records {new.number} and {old.number}",
            expected="two pictures of one page, one of which counts",
        )


def _called(page: PageState) -> str:
    return f"{page.page.file}, page {page.page.page}"
