"""From decided lines and boxes to the reading of a page, pour by pour."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from halfpoint.collect.paper.print.layout import Block, Rectangle, TickBox, around
from halfpoint.collect.paper.read.expected import PlannedGlass, PlannedPage
from halfpoint.collect.paper.read.handwriting import Handwriting, handwriting_of
from halfpoint.collect.paper.read.ink.lines import Decision
from halfpoint.collect.paper.read.ink.marking import Marking
from halfpoint.collect.paper.read.ink.targets import Run, Targets
from halfpoint.collect.paper.read.ink.ticks import Ticked
from halfpoint.collect.paper.read.model import (
    BAND,
    CODE,
    FAMILY,
    FAULT,
    SEAT,
    TERM,
    TOTAL,
    Look,
    PageReading,
    PourReading,
)
from halfpoint.sheet.form import Category, Sheet
from halfpoint.sheet.validity import TOTAL_TOLERANCE, MarkFault, mark_fault

# A written total raises doubt only when it was read for sure.
_SURE_TOTAL = 0.995
_AROUND = 1.2
_LIGHT_PEN, _PLAIN_MARKS = 0.42, 25.0
Choices = tuple[float | str, ...]


class Mark(NamedTuple):
    """A category as read: its mark, how sure that is, and why a person must look."""

    value: float | None
    confidence: float
    reason: str
    choices: Choices


def assemble(page: PlannedPage, targets: Targets, marking: Marking, sheet: Sheet) -> PageReading:
    """The reading of a whole page."""
    blocks = page.layout.blocks[: len(page.glasses)]
    lines = _by_place(targets, marking)
    ticks = _ticks_by_place(targets, marking)
    # What looks bare may have been marked by a pen so light that nothing shows.
    plain = marking.habits.plain > _PLAIN_MARKS
    dark_pen = marking.pen.marks == 0 or marking.pen.dark > _LIGHT_PEN or plain
    pours = tuple(
        _Pour(
            block,
            glass,
            sheet,
            lines[block.place],
            ticks.get(block.place, []),
            handwriting_of(block, marking.ink, spare=page.is_spare, highest=sheet.top),
            dark_pen,
        ).reading()
        for block, glass in zip(blocks, page.glasses, strict=True)
    )
    if page.is_spare:
        empty = all(pour.is_empty for pour in pours)
        looks = () if empty else (Look(SEAT, 'written', page.layout.head.seat),)
    else:
        looks = ()
    return PageReading(
        payload=page.payload,
        site=page.site,
        seat=page.seat,
        number=page.number,
        sheet=page.sheet,
        wines_a_page=page.layout.wines_a_page,
        taster=page.taster,
        pours=pours,
        looks=looks,
        picture=marking.picture,
    )


Lines = list[tuple[Run, Decision]]
Ticks = list[tuple[TickBox, Ticked]]


def _by_place(targets: Targets, marking: Marking) -> dict[int, Lines]:
    found: dict[int, Lines] = {}
    for run, decision in zip(targets.runs, marking.lines, strict=True):
        found.setdefault(run.place, []).append((run, decision))
    return found


def _ticks_by_place(targets: Targets, marking: Marking) -> dict[int, Ticks]:
    found: dict[int, Ticks] = {}
    for (place, box), ticked in zip(targets.boxes, marking.boxes, strict=True):
        found.setdefault(place, []).append((box, ticked))
    return found


@dataclass(frozen=True, slots=True)
class _Pour:
    block: Block
    glass: PlannedGlass
    sheet: Sheet
    lines: Lines
    ticks: Ticks
    written: Handwriting
    dark_pen: bool

    def reading(self) -> PourReading:
        marks = {category.key: self._mark(category) for category in self.sheet.categories}
        empty = self._is_empty(marks)
        return PourReading(
            place=self.block.place,
            code=self.glass.code,
            position=self.glass.position,
            marks={key: mark.value for key, mark in marks.items()},
            confidence={
                key: mark.confidence for key, mark in marks.items() if mark.value is not None
            },
            terms=self._ticked(TERM),
            families=self._ticked(FAMILY),
            faults=self._ticked(FAULT),
            finish_band=next(iter(self._ticked(BAND)), ''),
            total_read=self.written.total,
            seconds_read=self.written.seconds,
            looks=() if empty else tuple(self._looks(marks)),
            is_empty=empty,
        )

    def _mark(self, category: Category) -> Mark:
        parts = [(run, d) for run, d in self.lines if run.row.category == category.key]
        decided = [decision for _, decision in parts]
        doubtful = [decision for decision in decided if decision.bubble is None]
        if doubtful:
            reason = doubtful[0].reason
            choices: Choices = ()
            if len(parts) == 1:
                choices = tuple(parts[0][0].adds[n] for n in doubtful[0].likely)
            return Mark(None, 0.0, reason, choices)
        value = round(sum(run.adds[d.bubble] for run, d in parts if d.bubble is not None), 9)
        if mark_fault(value, category) is not MarkFault.NONE:
            return Mark(None, 0.0, 'sum', ())
        return Mark(value, min(d.confidence for d in decided), '', (value,))

    def _is_empty(self, marks: Mapping[str, Mark]) -> bool:
        unmarked = all(decision.reason == 'nothing' for _, decision in self.lines)
        return (
            unmarked
            and self.dark_pen
            and all(ticked.ticked is False for _, ticked in self.ticks)
            and not self.written.any
            and all(mark.value is None for mark in marks.values())
        )

    def _ticked(self, kind: str) -> tuple[str, ...]:
        return tuple(box.key for box, found in self.ticks if box.kind == kind and found.ticked)

    def _looks(self, marks: Mapping[str, Mark]) -> Iterator[Look]:
        if not self.glass.code:
            yield Look(
                CODE, 'written', self.block.code.grown(_AROUND), choices=self.written.code_choices
            )
        for row in self.block.rows:
            mark = marks[row.category]
            if mark.reason:
                yield Look(
                    row.category, mark.reason, self._line_area(row.category), '', mark.choices
                )
        for box, found in self.ticks:
            if found.ticked is None:
                area = around([box.area, box.label.area]).grown(_AROUND)
                yield Look(box.kind, found.reason, area, box.key, (1.0, 0.0))
        yield from self._bands()
        yield from self._total(marks)

    def _bands(self) -> Iterator[Look]:
        """More than one word for one finish."""
        ticked = [box for box, found in self.ticks if box.kind == BAND and found.ticked]
        for box in ticked if len(ticked) > 1 else ():
            area = around([box.area, box.label.area]).grown(_AROUND)
            yield Look(BAND, 'two', area, box.key, (1.0, 0.0))

    def _total(self, marks: Mapping[str, Mark]) -> Iterator[Look]:
        values = [marks[category.key].value for category in self.sheet.categories]
        if self.written.total is None or self.written.total_confidence < _SURE_TOTAL:
            return
        total = 0.0
        for category, value in zip(self.sheet.categories, values, strict=True):
            if value is None:
                return
            total += category.weight * value
        if abs(total - self.written.total) > TOTAL_TOLERANCE:
            area = Rectangle(
                self.block.area.left, self.block.area.top, self._width(), self._height()
            )
            yield Look(TOTAL, 'total', area, '', (round(total, 9), self.written.total))

    def _line_area(self, category: str) -> Rectangle:
        row = next(row for row in self.block.rows if row.category == category)
        middle = row.bubbles[0].centre.y
        half = row.bubbles[0].diameter / 2 + _AROUND
        left = self.block.area.left
        return Rectangle(left, middle - half, self._width(), 2 * half)

    def _width(self) -> float:
        right = max(b.centre.x + b.diameter for row in self.block.rows for b in row.bubbles)
        return right + _AROUND - self.block.area.left

    def _height(self) -> float:
        lowest = max(b.centre.y + b.diameter for row in self.block.rows for b in row.bubbles)
        return lowest - self.block.area.top
