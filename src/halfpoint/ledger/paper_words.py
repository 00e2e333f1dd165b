"""What happened on paper, in words; no code is named, which beside an entry would tell its wine."""

from __future__ import annotations

from halfpoint.collect.paper.read.model import CODE
from halfpoint.ledger.paper import BOXES
from halfpoint.ledger.records import Audited, Decided, PageRecorded, Preferred, Value
from halfpoint.sheet.words import say_number


def on_paper(content: PageRecorded | Decided | Preferred | Audited) -> str:
    """What one record about paper says."""
    match content:
        case PageRecorded():
            return _page_words(content)
        case Decided():
            return _decided(content)
        case Preferred():
            return _preferred(content)
        case Audited():
            return _audited(content)


def _page_words(page: PageRecorded) -> str:
    source = f"{page.file}, page {page.page}"
    if page.held is not None:
        return f"held {source}: {page.held.found}; expected {page.held.expected}"
    whose = f"spare {page.number}" if page.is_spare else f"seat {page.seat}, sheet {page.sheet}"
    said = f"read {source}: {page.site}, {whose}"
    if page.same_as is not None:
        return f"{said}; record {page.same_as} says the same"
    if page.another_of is not None:
        return f"{said}; another picture of the page in record {page.another_of}"
    looks = len(page.looks) + sum(len(pour.looks) for pour in page.pours)
    return f"{said}; {_counted(looks, 'mark needs', 'marks need')} a look" if looks else said


def _decided(decided: Decided) -> str:
    what = f"{decided.field} {decided.about}".strip()
    block = f", block {decided.place}" if decided.place else ""
    value = decided.value
    if decided.field == CODE and value is not None:
        # Beside its entry the digits would tell the wine.
        said = "told by eye"
    elif decided.field in BOXES:
        said = "ticked" if value else "not ticked"
    else:
        said = _value(value)
    return f"looked at record {decided.page}{block}, {what}: {said}{_because(decided.why)}"


def _because(why: str) -> str:
    return f" ({why})" if why else ""


def _value(value: Value) -> str:
    if value is None:
        return "nothing"
    return value if isinstance(value, str) else say_number(value)


def _preferred(preferred: Preferred) -> str:
    if preferred.instead_of is None:
        said = f"took the page in record {preferred.page} as a sheet of its own"
    else:
        said = f"chose the picture in record {preferred.page} over that in {preferred.instead_of}"
    return said + _because(preferred.why)


def _audited(audit: Audited) -> str:
    looked = f"{_counted(audit.marks, 'mark', 'marks')}, {_counted(audit.boxes, 'box', 'boxes')}"
    pages = _counted(len(audit.pages), "page", "pages")
    return f"looked at {pages} a second time: {looked}, {len(audit.wrong):,} read wrongly"


def _counted(count: int, one: str, many: str) -> str:
    return f"{count:,} {one if count == 1 else many}"
