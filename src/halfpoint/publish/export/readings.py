"""What `halfpoint read --json` writes: page by page, so that memory does not grow with them."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any, Literal

from pydantic import TypeAdapter

from halfpoint import __version__
from halfpoint.collect.paper.read.model import (
    REASONS,
    HeldPage,
    Look,
    Outcome,
    PageReading,
    PourReading,
)
from halfpoint.ledger.paper import Papers
from halfpoint.ledger.records import PageRecorded
from halfpoint.publish.export.schema import DIALECT, Generate, shape_page
from halfpoint.tasting.model import Tasting

Status = Literal['read', 'held', 'seen before', 'another picture']
# How the record sorts pages, and what it is called here.
STATUSES: Mapping[str, Status] = {
    'read': 'read',
    'held': 'held',
    'same': 'seen before',
    'others': 'another picture',
}


@dataclass(frozen=True, slots=True)
class NeedsLook:
    """One thing that a person must decide."""

    field: str
    about: str
    reason: str
    says: str
    choices: tuple[float | str, ...]


@dataclass(frozen=True, slots=True)
class PourRead:
    """What a page says about one pour."""

    code: str
    position: int | None
    marks: Mapping[str, float | None]
    confidence: Mapping[str, float]
    needs_look: tuple[NeedsLook, ...]
    terms: tuple[str, ...]
    families: tuple[str, ...]
    faults: tuple[str, ...]
    finish_band: str
    total_read: float | None
    seconds_read: int | None
    is_empty: bool


@dataclass(frozen=True, slots=True)
class Held:
    """Why a page is held."""

    reason: str
    found: str
    expected: str
    remedy: str


@dataclass(frozen=True, slots=True)
class PageRead:
    """A page of a file."""

    file: str
    page: int
    status: Status
    identity: str | None = None
    site: str | None = None
    seat: int | None = None
    sheet: int | None = None
    spare: int | None = None
    needs_look: tuple[NeedsLook, ...] = ()
    pours: tuple[PourRead, ...] = ()
    held: Held | None = None


@dataclass(frozen=True, slots=True)
class Readings:
    """The whole document."""

    tasting: str
    invented: bool
    version: str
    pages: tuple[PageRead, ...]


def recorded_outcome(page: PageRecorded, papers: Papers) -> Outcome:
    """What was read of a page that is in the record."""
    if page.held is not None:
        return page.held
    # What a page adds nothing to is written down only once.
    said = page if page.same_as is None else papers.pages[page.same_as].page
    return PageReading(
        payload=page.payload,
        site=page.site,
        seat=page.seat,
        number=page.number,
        sheet=page.sheet,
        wines_a_page=page.wines_a_page,
        taster=page.taster,
        pours=said.pours,
        looks=said.looks,
    )


def page_read(file: str, page: int, status: Status, outcome: Outcome) -> PageRead:
    """A page as it is written."""
    if isinstance(outcome, HeldPage):
        held = Held(outcome.reason, outcome.found, outcome.expected, outcome.remedy)
        return PageRead(file, page, 'held', held=held)
    return PageRead(
        file=file,
        page=page,
        status=status,
        identity=outcome.payload,
        site=outcome.site,
        seat=outcome.seat,
        sheet=None if outcome.seat is None else outcome.sheet,
        spare=outcome.number if outcome.seat is None else None,
        needs_look=tuple(map(_needs_look, outcome.looks)),
        pours=tuple(map(_pour, outcome.pours)),
    )


@contextmanager
def writing_readings(
    tasting: Tasting, write: Callable[[str], object]
) -> Iterator[Callable[[PageRead], None]]:
    """Write the document: what it gives takes page after page, each on a line of its own."""
    head = {'tasting': tasting.key, 'invented': tasting.invented, 'version': __version__}
    write(f'{_json(head)[:-1]}, "pages": [')
    between = '\n'

    def put(page: PageRead) -> None:
        nonlocal between
        write(between + _json(asdict(page)))
        between = ',\n'

    yield put
    write('\n]}\n')


def _needs_look(look: Look) -> NeedsLook:
    return NeedsLook(look.field, look.about, look.reason, REASONS[look.reason], look.choices)


def _pour(pour: PourReading) -> PourRead:
    return PourRead(
        code=pour.code,
        position=pour.position,
        marks=dict(pour.marks),
        confidence={key: round(chance, 7) for key, chance in pour.confidence.items()},
        needs_look=tuple(map(_needs_look, pour.looks)),
        terms=pour.terms,
        families=pour.families,
        faults=pour.faults,
        finish_band=pour.finish_band,
        total_read=pour.total_read,
        seconds_read=pour.seconds_read,
        is_empty=pour.is_empty,
    )


def _json(value: Mapping[str, Any]) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


# The words of the reference page; a test holds them complete.
MEANINGS = {
    'tasting': "key of the tasting",
    'invented': "true when the tasting is made up for demonstration",
    'version': "version of halfpoint that read the pages",
    'pages': "every page of every file, in the order given; each stands on a line of its own",
    'file': "the file, as the record names it",
    'PageRead.page': "page of the file, from 1",
    'status': (
        "`read`; `held`, it could not be read; `seen before`, it is in the record and adds "
        "nothing; `another picture` of a page in the record, which says something else and "
        "changes nothing until a person prefers it"
    ),
    'identity': "the 24 digits of the page; null when the page is held",
    'site': "key of the site",
    'seat': "the seat; null on a spare",
    'sheet': "page of that seat, from 1; null on a spare",
    'spare': "number of the spare; null on a seat's own sheet",
    'PageRead.needs_look': "what a person must decide about the page as a whole",
    'pours': "a pour for each block of the page, from above to below",
    'PageRead.held': "why the page is held; null when it is not",
    'code': "the blind code; empty on a spare until a person has read it",
    'position': "place in the serving order, through the evening from 1; null on a spare",
    'marks': "mark of each category; null where nothing is marked or a person must decide",
    'confidence': "chance that each accepted mark is what the taster meant, 0 to 1",
    'PourRead.needs_look': "what a person must decide about this pour",
    'terms': "aroma terms ticked, by key",
    'families': "aroma families ticked, by key, on sheets without a box for each term",
    'faults': "faults ticked, by key",
    'finish_band': "label of the finish ticked; empty when none is",
    'total_read': "the written total as far as it can be read; raises doubt and is never a mark",
    'seconds_read': "the written seconds of finish as far as they can be read",
    'is_empty': "whether nothing at all is marked, as for a wine that was not tasted",
    'field': (
        "a category's key, or `term`, `family`, `fault`, `band`, `total`, `code` or `seat`"
    ),
    'about': "which box, by key; empty for everything else",
    'reason': "why, in a word for programs",
    'says': "why, in words",
    'choices': "what it may be, likeliest first; for a box 1 (ticked) or 0; may be none",
    'found': "what was found",
    'expected': "what would have been accepted",
    'remedy': "what to do now",
}  # fmt: skip

_INTRODUCTION = """# The readings as JSON

<!-- Made by tools/reference.py: change the code, then run `make docs`. -->

`halfpoint read … --json FILE` writes what stands on every page, one page a line; `-` writes it to standard output.
It names sites, seats and blind codes, and no wine.
A mark that a person must decide is `null` here, whatever is decided later: the record has the decisions.
Fields always come in the order below.
"""  # noqa: E501


@cache
def _schema() -> dict[str, Any]:
    made = TypeAdapter(Readings).json_schema(mode='serialization', schema_generator=Generate)
    return {'$schema': DIALECT, **made, 'title': 'halfpoint readings'}


def readings_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of the document."""
    return dict(_schema())


def readings_page() -> str:
    """The reference page of the document, in Markdown."""
    return shape_page(_schema(), _INTRODUCTION, MEANINGS)
