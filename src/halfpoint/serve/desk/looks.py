"""One list of everything that needs a look, each with choices that a key can decide."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal
from urllib.parse import quote

from halfpoint.collect.paper.read.model import SEAT
from halfpoint.ledger.another_picture import Difference, OtherPicture, other_pictures
from halfpoint.ledger.contradiction import as_row
from halfpoint.ledger.look import Doubt, entry_hints, entry_misfits
from halfpoint.ledger.look_words import (
    choices_of,
    say_choice,
    say_field,
    say_place,
    say_question,
)
from halfpoint.ledger.paper import BOXES, PageState
from halfpoint.ledger.records import RowHeld, Value
from halfpoint.ledger.replay import State
from halfpoint.ledger.review import Waiting, waiting_on
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.validity import expected_mark
from halfpoint.sheet.words import say_number
from halfpoint.tasting.model import Tasting

Kind = Literal['held', 'conflict', 'hint', 'paper', 'page', 'other_picture']
KINDS: tuple[Kind, ...] = ('conflict', 'held', 'paper', 'other_picture', 'page', 'hint')
KEYS = '123456789'
NOTHING, KEEP, TAKE, BESIDE, FINE, ASIDE, ACCEPT, SUM = (
    'nothing', 'keep', 'take', 'beside', 'fine', 'set_aside', 'accept', 'sum',
)  # fmt: skip
WRITTEN_TOTAL = 'written_total'


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to decide: the key that decides so, what it means, and how it is said."""

    key: str
    value: Value
    label: str


@dataclass(frozen=True, slots=True)
class LookItem:
    """One thing that needs a look.

    `id` stays the same while it waits. `free` says what else can be typed, '' for nothing.
    `crop` and `other_crop` are addresses of pictures. `entry` and `other` are the numbers of the
    entry it is about, and of what says otherwise; `says` and `said` what each says, by field.
    """

    id: str
    kind: Kind
    question: str
    place: str
    choices: tuple[Choice, ...]
    site: str = ''
    taster: str = ''
    code: str = ''
    field: str = ''
    about: str = ''
    found: str = ''
    expected: str = ''
    free: str = ''
    crop: str | None = None
    other_crop: str | None = None
    entry: int | None = None
    other: int | None = None
    says: tuple[tuple[str, str], ...] = ()
    said: tuple[tuple[str, str], ...] = ()


def with_keys(choices: Iterable[tuple[Value, str]]) -> tuple[Choice, ...]:
    """Choices under the keys 1 to 9, in their order."""
    return tuple(
        Choice(key, value, label) for key, (value, label) in zip(KEYS, choices, strict=False)
    )


# --- held rows, and rows that contradict an entry ---------------------------------------------


def held_item(
    tasting: Tasting, state: State, number: int, row: RowHeld, stood: Entry | None = None
) -> LookItem:
    """A held row; one that says otherwise than an entry is a conflict.

    `stood` is how the entry of a conflict read, when that is no longer how it reads.
    """
    taster = row.original.get('taster', '')
    original = {**row.original, 'taster': state.called.get(taster, taster)}
    item = LookItem(
        id=f'held-{number}',
        kind='held',
        question=f"{_fields(tasting, row.field)}: {row.found}",
        place=row.origin,
        site=original.get('site', ''),
        taster=original['taster'],
        code=original.get('code', ''),
        field=row.field,
        found=row.found,
        expected=row.expected,
        says=_told(tasting, original.items()),
        choices=(),
        other=number,
    )
    if row.conflicts is not None and row.conflicts in state.entries:
        stood = stood or state.entries[row.conflicts].now
        stands = as_row(stood, blind=state.revealed is None)
        stands['taster'] = state.called.get(stood.taster, stood.taster)
        return _conflict(tasting, item, row.conflicts, original, stands)
    mends = [*_mends(tasting, row), (ASIDE, "leave out")]
    return replace(item, choices=with_keys(mends), free=_free(tasting, row.field))


def _conflict(
    tasting: Tasting,
    item: LookItem,
    entry: int,
    original: Mapping[str, str],
    stands: Mapping[str, str],
) -> LookItem:
    says = {key: value for key, value in original.items() if value}
    differ = {key for key in says.keys() | stands.keys() if says.get(key) != stands.get(key)}
    differ -= {'taster', 'site', 'wine', 'position', 'pour', 'code'} if len(differ) > 1 else set()
    return replace(
        item,
        id=f'conflict-{item.other}',
        kind='conflict',
        choices=with_keys([
            (KEEP, f"keep entry {entry}, as it stands"), (TAKE, "take the other"),
        ]),
        entry=entry,
        says=_told(tasting, ((key, value) for key, value in says.items() if key in differ)),
        said=_told(tasting, ((key, value) for key, value in stands.items() if key in differ)),
    )  # fmt: skip


def _mends(tasting: Tasting, row: RowHeld) -> Iterator[tuple[Value, str]]:
    """What a single wrong mark may have been meant to be; the sum where the total is another.

    A row held for its time only is offered as it is.
    """
    category = tasting.sheet.categories_by_key.get(row.field)
    written = row.original.get(row.field, '')
    if row.field == 'sent':
        yield ACCEPT, "take it as it is"
    elif row.field == WRITTEN_TOTAL:
        yield SUM, "the marks are right, and their sum counts"
    elif category is not None:
        try:
            mark = float(written.replace(',', '.').replace('½', '.5'))
        except ValueError:
            return
        below = category.step * (mark // category.step)
        for near in dict.fromkeys((below, below + category.step)):
            if category.lowest <= near <= category.top:
                yield near, say_number(near)


def _free(tasting: Tasting, field: str) -> str:
    if field in tasting.sheet.categories_by_key:
        return expected_mark(tasting.sheet.category(field))
    return "the code on the slip" if field == 'code' else ""


def _fields(tasting: Tasting, fields: str) -> str:
    labels = {c.key: c.label for c in tasting.sheet.categories}
    return ", ".join(labels.get(each, each.replace('_', ' ')) for each in fields.split('; '))


def _told(tasting: Tasting, pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """What is said, categories by their name on the sheet."""
    labels = {category.key: category.label for category in tasting.sheet.categories}
    return tuple((labels.get(name, name), value) for name, value in pairs if value)


# --- hints, and marks that the sheet no longer allows -----------------------------------------


def hint_items(tasting: Tasting, state: State, number: int) -> Iterator[LookItem]:
    """What is odd on an entry, unless somebody has left it so."""
    entry = state.entries[number]
    doubts = [*entry_misfits(tasting.sheet, entry)] or [*entry_hints(tasting.sheet, entry)]
    for at, doubt in enumerate(doubts):
        if (number, doubt.field, doubt.message) not in state.left:
            yield hint_item(tasting, state, doubt, f'hint-{number}-{at}')


def hint_item(tasting: Tasting, state: State, doubt: Doubt, name: str) -> LookItem:
    """Something odd on an entry, under this id."""
    now = state.entries[doubt.entry].now
    return LookItem(
        id=name,
        kind='hint',
        question=doubt.message,
        place=f"entry {doubt.entry}",
        choices=with_keys([(FINE, "as it was meant"), (ASIDE, "leave this sheet out")]),
        site=now.site or '',
        taster=state.called.get(now.taster, now.taster),
        code=now.code or '',
        field=doubt.field,
        found=doubt.message,
        free=_free(tasting, doubt.field),
        entry=doubt.entry,
        said=_told(tasting, ((key, say_number(mark)) for key, mark in now.marks.items())),
    )


# --- paper ------------------------------------------------------------------------------------


def page_items(tasting: Tasting, page: PageState) -> Iterator[LookItem]:
    """Every doubtful mark of a page."""
    for this in waiting_on(page):
        yield paper_item(tasting, this)


def paper_item(tasting: Tasting, this: Waiting) -> LookItem:
    """A mark on paper, whether it is doubtful still or was decided."""
    field = this.look.field
    found: Sequence[Value] = choices_of(this)
    if field in BOXES:
        found = list(dict.fromkeys([*found, 1.0, 0.0]))
    options = [(value, say_choice(value, field)) for value in found]
    if field not in BOXES:
        options.append((NOTHING, "nothing marked" if field != SEAT else "cannot be told"))
    about = f'?about={quote(this.look.about)}' if this.look.about else ''
    return LookItem(
        id=paper_id(this.page, this.place, field, this.look.about),
        kind='paper',
        question=say_question(tasting, this),
        place=say_place(tasting, this),
        choices=with_keys(options),
        site=this.site,
        taster='',
        code=this.code,
        field=field,
        about=this.look.about,
        free="" if field in BOXES else _free(tasting, field) or say_field(tasting, field, ''),
        crop=f'/api/desk/crops/{this.page}/{this.place}/{quote(field)}.png{about}',
    )


def paper_id(page: int, place: int, field: str, about: str) -> str:
    """The id of a doubtful mark."""
    return f'paper-{page}-{place}-{field}' + (f'-{about}' if about else '')


def held_page_items(state: State) -> Iterator[LookItem]:
    """Pages that could not be read."""
    for page in state.pages_held().values():
        yield page_item(page)


def page_item(page: PageState) -> LookItem:
    """A page that could not be read."""
    held = page.page.held
    return LookItem(
        id=f'page-{page.number}',
        kind='page',
        question=held.found if held else "the page could not be read",
        place=f"{page.page.file}, page {page.page.page}",
        choices=with_keys([(ASIDE, "leave this page out")]),
        site=page.page.site,
        found=held.found if held else "",
        expected=held.remedy if held else "",
        other=page.number,
    )


def other_picture_items(tasting: Tasting, state: State) -> Iterator[LookItem]:
    """Pictures of a page that say something else than the one that counts."""
    for pair in other_pictures(state):
        yield pictures_item(tasting, pair)


def pictures_item(tasting: Tasting, pair: OtherPicture) -> LookItem:
    """Two pictures of one page that do not say the same."""
    options = [(KEEP, "keep the one that counts"), (TAKE, "take the other")]
    if pair.seat is None:
        options.append((BESIDE, "both: they are two sheets"))
    seat = f"spare {pair.number}" if pair.seat is None else f"seat {pair.seat}, sheet {pair.sheet}"
    site = next((each.name for each in tasting.sites if each.key == pair.site), pair.site)
    return LookItem(
        id=f'other-{pair.page}',
        kind='other_picture',
        question="two pictures of this page do not say the same",
        place=f"{site}, {seat}",
        choices=with_keys(options),
        site=pair.site,
        crop=f'/api/desk/crops/{pair.over}/0/page.png',
        other_crop=f'/api/desk/crops/{pair.page}/0/page.png',
        entry=pair.over,
        other=pair.page,
        says=tuple(_difference(tasting, each, each.says) for each in pair.differences),
        said=tuple(_difference(tasting, each, each.said) for each in pair.differences),
    )


def _difference(tasting: Tasting, each: Difference, value: Value) -> tuple[str, str]:
    glass = f"glass {each.place}, " if each.place else ""
    said = "in doubt or nothing" if value is None else say_choice(value, each.field)
    return f"{glass}{say_field(tasting, each.field, each.about)}", said
