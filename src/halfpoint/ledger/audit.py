"""Proof by sampling: pages looked at a second time, and how many marks can be wrong at most."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from scipy.special import betaincinv

from halfpoint.collect.paper.print.lay_out import lay_out
from halfpoint.collect.table.poured import Poured
from halfpoint.errors import UsageError
from halfpoint.ledger.decided import decided_value
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.paper import BOXES, Asked, PageState
from halfpoint.ledger.pen import Pen
from halfpoint.ledger.records import Audited, Decided, SetAside, Target, WrongReading
from halfpoint.ledger.replay import State, replay
from halfpoint.ledger.review import what_stands, write_decision
from halfpoint.sheet.form import Sheet
from halfpoint.tasting.model import Tasting

LEVEL = 0.95


@dataclass(frozen=True, slots=True)
class AuditSummary:
    """All second looks together.

    With probability `level` fewer than the share `marks_below` of the marks taken without a
    person are wrong, and fewer than `boxes_below` of the boxes.
    """

    pages: int
    marks: int
    boxes: int
    wrong_marks: int
    wrong_boxes: int
    level: float
    marks_below: float
    boxes_below: float


@dataclass(frozen=True, slots=True)
class AuditRecorded:
    """What came of a second look: its record, and entries corrected, made, and set aside."""

    record: int
    marks: int
    boxes: int
    corrected: tuple[int, ...]
    entries: tuple[int, ...]
    set_aside: tuple[int, ...]


def audit_bound(wrong: int, looked: int, level: float = LEVEL) -> float:
    """The exact upper bound of a share, by C. J. Clopper and E. S. Pearson (Biometrika 1934).

    The largest share for which as few as `wrong` of `looked` would be found with probability
    1 - level: the `level` quantile of Beta(wrong + 1, looked - wrong).

    Args:
        wrong: how many were wrong.
        looked: how many were looked at.
        level: the confidence, one-sided.

    Raises:
        ValueError: more wrong than looked at, fewer than none, or a level not within 0 and 1.
    """
    if not (0 <= wrong <= looked and 0 < level < 1):
        raise ValueError(f'{wrong} of {looked} at level {level}')
    if wrong == looked:
        return 1.0
    return float(betaincinv(wrong + 1, looked - wrong, level))


def draw(state: State, count: int, seed: int) -> tuple[int, ...]:
    """Record numbers of pages to look at again, in the order they came; fewer when few are left.

    Drawn without replacement, each alike, from the pages of which entries were made and that
    no second look has had.
    """
    had = {number for audit in state.papers.audits for number in audit.pages}
    pages = [n for n, page in state.papers.pages.items() if _is_accepted(page) and n not in had]
    chosen = random.Random(seed).sample(pages, min(max(count, 0), len(pages)))  # noqa: S311
    return tuple(sorted(chosen))


def taken_unseen(state: State, sheet: Sheet, pages: Iterable[int]) -> tuple[int, int]:
    """How many marks and boxes of these pages were taken without a person.

    Those of blocks of which entries were made, as read; what a person decided is not counted.
    """
    marks = boxes = 0
    boxes_on_block = _boxes_on_block(sheet)
    for number in pages:
        page = state.papers.numbered(number)
        for place in page.entries:
            seen = _seen_by_a_person(page, place)
            marks += sum((key, '') not in seen for key in sheet.categories_by_key)
            boxes += boxes_on_block(page.page.wines_a_page) - sum(f in BOXES for f, _ in seen)
    return marks, boxes


def _boxes_on_block(sheet: Sheet) -> Callable[[int], int]:
    """How many boxes a block has, by wines a page; all blocks are alike."""
    return cache(lambda wines: len(lay_out(sheet, wines).blocks[0].boxes))


def record_audit(
    ledger: Ledger,
    tasting: Tasting,
    poured: Poured,
    pages: Sequence[int],
    wrong: Sequence[WrongReading],
    *,
    seed: int,
    who: str,
    state: State | None = None,
) -> AuditRecorded:
    """Record a second look at pages, and put right what was read wrongly, in one step.

    An entry on which a mark turns out not to be there is set aside. What a person had decided
    is put right too, but not counted as read wrongly.

    Args:
        ledger: the record.
        tasting: whose sheet the marks are held against.
        poured: the plan in force.
        pages: record numbers of the pages looked at, all of them.
        wrong: what was read wrongly, with its `truth`; `read` is filled in.
        seed: of the draw.
        who: who looked.
        state: as in `take_pages`.

    Raises:
        UsageError: a page was looked at before, a wrong mark is on none of the pages, or the
            truth is none that the sheet allows or is what was read.
        NotInLedger: no such page, block or box.
    """
    if not who.strip():
        raise UsageError("nothing", where="--who", expected="the name of who looked")
    with ledger.writing():
        state = replay(ledger.records(after=state.last if state else 0), state)
        pen = Pen(ledger, tasting, poured, who, state)
        looked = tuple(dict.fromkeys(pages))
        _refuse_pages(state, looked)
        found = [_checked(pen, looked, each) for each in wrong]
        marks, boxes = taken_unseen(state, tasting.sheet, looked)
        counted = tuple(each for each in found if not _was_decided(state, each))
        record = pen.write(Audited(looked, seed, marks, boxes, counted))[0]
        aside = [number for each in found for number in _put_right(pen, each)]
    return AuditRecorded(
        record, marks, boxes, tuple(pen.corrected), tuple(pen.entries), tuple(aside)
    )


def audits_so_far(state: State, level: float = LEVEL) -> AuditSummary | None:
    """What all second looks say; None when there was none."""
    audits = state.papers.audits
    if not audits:
        return None
    wrong = [each for audit in audits for each in audit.wrong]
    wrong_boxes = sum(each.field in BOXES for each in wrong)
    wrong_marks = len(wrong) - wrong_boxes
    marks, boxes = (sum(each) for each in zip(*((a.marks, a.boxes) for a in audits), strict=True))
    return AuditSummary(
        pages=sum(len(audit.pages) for audit in audits),
        marks=marks,
        boxes=boxes,
        wrong_marks=wrong_marks,
        wrong_boxes=wrong_boxes,
        level=level,
        # A mark on a block taken for empty is wrong, and not among those looked at.
        marks_below=audit_bound(wrong_marks, max(marks, wrong_marks), level),
        boxes_below=audit_bound(wrong_boxes, max(boxes, wrong_boxes), level),
    )


def _is_accepted(page: PageState) -> bool:
    return page.stands and bool(page.entries)


def _seen_by_a_person(page: PageState, place: int) -> set[tuple[str, str]]:
    reading = page.reading(place)
    looks = reading.looks if reading else ()
    return {(look.field, look.about) for look in looks} | page.decided.get(place, {}).keys()


def _was_decided(state: State, wrong: WrongReading) -> bool:
    page = state.papers.pages[wrong.page]
    return (wrong.field, wrong.about) in _seen_by_a_person(page, wrong.place)


def _refuse_pages(state: State, pages: Sequence[int]) -> None:
    had = {number for audit in state.papers.audits for number in audit.pages}
    for number in pages:
        page = state.papers.numbered(number)
        if number in had or not page.stands:
            what = "had a second look before" if number in had else "does not count"
            raise UsageError(
                f"a page that {what}",
                where=f"record {number}, {page.page.file}, page {page.page.page}",
                expected="pages as they were drawn",
            )


def _checked(pen: Pen, pages: Sequence[int], wrong: WrongReading) -> WrongReading:
    page = pen.state.papers.numbered(wrong.page)
    asked = Asked(wrong.page, wrong.place, wrong.field, wrong.about)
    where = f"{page.page.file}, page {page.page.page}, block {wrong.place}, {wrong.field}"
    if wrong.page not in pages:
        raise UsageError("a page that was not looked at", where=where, expected="one that was")
    if wrong.field not in {*BOXES, *pen.tasting.sheet.categories_by_key}:
        raise UsageError(wrong.field, where=where, expected="a category, or a box of the sheet")
    truth = decided_value(pen.tasting, pen.poured, page, asked, wrong.truth)
    reading = page.reading(wrong.place)
    read = what_stands(page, page.pour(reading) if reading else None, wrong.field, wrong.about)
    if truth == read:
        raise UsageError("what was read", where=where, expected="something else")
    return replace(wrong, read=read, truth=truth)


def _put_right(pen: Pen, wrong: WrongReading) -> list[int]:
    """Decide it anew, and give the entry that is set aside as it lacks a mark, if one does."""
    page = pen.state.papers.pages[wrong.page]
    why = f"a second look at {page.page.file}, page {page.page.page}"
    asked = Asked(wrong.page, wrong.place, wrong.field, wrong.about)
    number = page.entries.get(wrong.place)
    if wrong.truth is not None or number is None:
        write_decision(pen, asked, wrong.truth, why=why)
        return []
    said = SetAside(Target(entry=number), f"{why}: nothing is marked for {wrong.field}")
    pen.write(Decided(*asked, None), said)
    return [number]
