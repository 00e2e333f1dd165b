"""The boxes to tick, in as few columns as the height allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from halfpoint.collect.paper.print.layout import Rectangle, TickBox, Words
from halfpoint.collect.paper.print.measures import (
    BOX,
    BOX_LABEL_GAP,
    BOX_PITCH,
    BOX_TITLE,
    LEAST_BOX_COLUMN,
)
from halfpoint.sheet.form import Sheet

Choice = tuple[str, str, str]
FEWEST_COLUMNS = 2


@dataclass(frozen=True, slots=True)
class Group:
    """Boxes under one title: kind, key and label of each."""

    title: str
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class Ticks:
    """Boxes that have found their place, and how far down they reach."""

    boxes: tuple[TickBox, ...]
    titles: tuple[Words, ...]
    bottom: float


def groups_of(sheet: Sheet, *, by_family: bool) -> tuple[Group, ...]:
    """What may be ticked: aromas (each, or by family), faults, what the finish is called."""
    if by_family:
        aromas = [('family', family.key, family.label) for family in sheet.families]
    else:
        terms = sheet.terms_by_key.values()
        aromas = [('term', term.key, term.label) for term in terms]
    groups = (
        Group("aromas by family" if by_family else "aromas", tuple(aromas)),
        Group("faults", tuple(('fault', fault.key, fault.label) for fault in sheet.faults)),
        Group("finish", tuple(('band', band.label, band.label) for band in sheet.finish)),
    )
    return tuple(group for group in groups if group.choices)


def fit_ticks(groups: Sequence[Group], room: Rectangle) -> Ticks | None:
    """The boxes in a room, in the fewest columns that it is tall enough for; None if none is."""
    most = int(room.width // LEAST_BOX_COLUMN)
    for columns in range(FEWEST_COLUMNS, most + 1):
        if _height(groups, columns) <= room.height + 1e-9:
            return _placed(groups, room, columns)
    return None


def _height(groups: Sequence[Group], columns: int) -> float:
    return sum(BOX_TITLE + -(-len(group.choices) // columns) * BOX_PITCH for group in groups)


def _placed(groups: Sequence[Group], room: Rectangle, columns: int) -> Ticks:
    pitch = room.width / columns
    boxes: list[TickBox] = []
    titles: list[Words] = []
    top = room.top
    for group in groups:
        titles.append(Words(group.title, Rectangle(room.left, top, room.width, 2.8), 6.5))
        top += BOX_TITLE
        lines = -(-len(group.choices) // columns)
        for number, choice in enumerate(group.choices):
            column, line = divmod(number, lines)
            boxes.append(_box(choice, room.left + column * pitch, top + line * BOX_PITCH, pitch))
        top += lines * BOX_PITCH
    return Ticks(tuple(boxes), tuple(titles), top)


def _box(choice: Choice, left: float, top: float, pitch: float) -> TickBox:
    """A box in the middle of its line, its label to the right."""
    kind, key, text = choice
    area = Rectangle(round(left, 3), round(top + (BOX_PITCH - BOX) / 2, 3), BOX, BOX)
    beside = BOX + BOX_LABEL_GAP
    label = Rectangle(
        round(left + beside, 3), round(top + 0.2, 3), round(pitch - beside - 0.8, 3),
        BOX_PITCH - 0.4,
    )  # fmt: skip
    return TickBox(kind, key, area, Words(text, label, 7.0, lines=2))
