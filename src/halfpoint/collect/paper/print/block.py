"""What is asked about one glass: a strip on top, rulers, boxes to tick, room for a remark."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from halfpoint.collect.paper.print.layout import Block, Rectangle, Row, Words, WriteIn
from halfpoint.collect.paper.print.measures import (
    BLOCK_GAP,
    BLOCKS_LEFT,
    BLOCKS_TOP,
    BLOCKS_WIDTH,
    COLUMN_GAP,
    REMARK_LABEL,
    REMARK_TO_BOXES,
    Measures,
    block_height,
)
from halfpoint.collect.paper.print.rows import Runs, row_at, width_of
from halfpoint.collect.paper.print.ticks import Group, Ticks, fit_ticks, groups_of
from halfpoint.sheet.form import Category, Sheet

_NUMBER, _CODE = 6.0, 23.0
_CELL, _CELL_GAP = 5.0, 0.4
_WORD = 9.5
SECONDS_CELLS = 2
MOST_CELLS = 6


@dataclass(frozen=True, slots=True)
class Arrangement:
    """One way of filling a block: aromas by family or each, boxes beside the rulers or below."""

    groups: tuple[Group, ...]
    beside: bool
    remark_under_boxes: bool


def arrangements(sheet: Sheet) -> Iterator[Arrangement]:
    """Every way, the most telling first."""
    for by_family in (False, True) if sheet.families else (False,):
        groups = groups_of(sheet, by_family=by_family)
        for beside in (True, False) if groups else (True,):
            for under_boxes in (False, True) if groups and beside else (not beside,):
                yield Arrangement(groups, beside, under_boxes)


def block_at(
    sheet: Sheet,
    runs: dict[str, Runs],
    arrangement: Arrangement,
    place: int,
    wines: int,
    sizes: Measures,
) -> Block | None:
    """The block of the place-th glass on a page (from 1); None when the arrangement is too tall."""
    height = block_height(wines)
    top = BLOCKS_TOP + (place - 1) * (height + BLOCK_GAP)
    area = Rectangle(BLOCKS_LEFT, round(top, 3), BLOCKS_WIDTH, round(height, 3))
    left_width = _left_width(sheet, runs, arrangement, sizes)
    if left_width > area.width + 1e-9:
        return None
    rows, rows_end = _rows(sheet.categories, runs, area, sizes)
    below = REMARK_TO_BOXES + sizes.least_remark if arrangement.remark_under_boxes else 0.0
    boxes = _ticks(arrangement, area, left_width, rows_end, below)
    if boxes is None or rows_end > area.bottom:
        return None
    remark = _remark(arrangement, area, left_width, rows_end, boxes, sizes)
    if remark is None:
        return None
    cell = _cell_top(area, sizes)
    return Block(
        place=place,
        area=area,
        number=Rectangle(area.left, cell, _NUMBER - 1, sizes.cell),
        code=Rectangle(area.left + _NUMBER, cell, _CODE - 2, sizes.cell),
        code_cells=_cells(area.left + _NUMBER, cell, 3, sizes),
        rows=rows,
        boxes=boxes.boxes,
        write_ins=(*_strip(sheet, area, left_width, sizes), remark),
        titles=boxes.titles,
    )


def _left_width(
    sheet: Sheet, runs: dict[str, Runs], arrangement: Arrangement, sizes: Measures
) -> float:
    """Width of the rulers, and of the strip above them; all of the block without boxes beside."""
    rulers = max(width_of(each, sizes) for each in runs.values())
    needed = max(rulers, _NUMBER + _CODE + _seconds_width(sheet) + _total_width(sheet))
    alone = not arrangement.groups or not arrangement.beside
    return max(needed, BLOCKS_WIDTH) if alone else needed


def _rows(
    categories: tuple[Category, ...], runs: dict[str, Runs], area: Rectangle, sizes: Measures
) -> tuple[tuple[Row, ...], float]:
    top = area.top + sizes.strip
    rows = tuple(
        row_at(category, runs[category.key], area.left, top + n * sizes.row, sizes)
        for n, category in enumerate(categories)
    )
    return rows, top + len(rows) * sizes.row


def _ticks(
    arrangement: Arrangement, area: Rectangle, left_width: float, rows_end: float, below: float
) -> Ticks | None:
    """The boxes, with so much height kept free below them."""
    if not arrangement.groups:
        return Ticks((), (), area.top)
    if arrangement.beside:
        left = area.left + left_width + COLUMN_GAP
        room = Rectangle(left, area.top, area.right - left, area.height - below)
    else:
        top = rows_end + 1.5
        room = Rectangle(area.left, top, area.width, area.bottom - below - top)
    return fit_ticks(arrangement.groups, room)


def _remark(
    arrangement: Arrangement,
    area: Rectangle,
    left_width: float,
    rows_end: float,
    boxes: Ticks,
    sizes: Measures,
) -> WriteIn | None:
    """Room for words, clear of every box; None when too little is left."""
    left, right = area.left, area.right
    top = rows_end + sizes.remark_to_bubbles
    if arrangement.remark_under_boxes:
        top = boxes.bottom + REMARK_TO_BOXES
        left = area.left + left_width + COLUMN_GAP if arrangement.beside else area.left
    elif arrangement.groups:
        right = area.left + left_width + COLUMN_GAP - REMARK_TO_BOXES
    height = area.bottom - top
    if height < sizes.least_remark - 1e-9:
        return None
    box = Rectangle(round(left, 3), round(top, 3), round(right - left, 3), round(height, 3))
    label = Rectangle(box.left, round(top - REMARK_LABEL, 3), 30, REMARK_LABEL - 0.3)
    return WriteIn('remark', box, (), (Words("remark", label, 6.5),))


def _strip(sheet: Sheet, area: Rectangle, left_width: float, sizes: Measures) -> Iterator[WriteIn]:
    """Seconds of the finish and the written total, at the right end of the strip."""
    top = _cell_top(area, sizes)
    left = area.left + left_width - _total_width(sheet)
    if sheet.finish:
        before = left - _seconds_width(sheet)
        yield _written('seconds', "finish", before, top, SECONDS_CELLS, sizes, unit="s")
    yield _written('total', "total", left, top, _digits(sheet), sizes)


def _written(
    kind: str, name: str, left: float, top: float, count: int, sizes: Measures, *, unit: str = ''
) -> WriteIn:
    """Cells for digits with a word before them; a unit stands after the last."""
    start = left + _WORD
    cells = _cells(start, top, count, sizes)
    area = Rectangle(cells[0].left, top, round(cells[-1].right - cells[0].left, 3), sizes.cell)
    word = Rectangle(round(left, 3), round(top + 1, 3), _WORD - 1, sizes.cell - 2)
    labels = [Words(name, word, 8, align='right')]
    if unit:
        after = Rectangle(round(cells[-1].right + 0.6, 3), word.top, 2.4, word.height)
        labels.append(Words(unit, after, 8))
    return WriteIn(kind, area, cells, tuple(labels))


def _cells(left: float, top: float, count: int, sizes: Measures) -> tuple[Rectangle, ...]:
    pitch = _CELL + _CELL_GAP
    return tuple(
        Rectangle(round(left + n * pitch, 3), round(top, 3), _CELL, sizes.cell)
        for n in range(count)
    )


def _cell_top(area: Rectangle, sizes: Measures) -> float:
    return round(area.top + (sizes.strip - 1 - sizes.cell) / 2, 3)


def _seconds_width(sheet: Sheet) -> float:
    return _WORD + SECONDS_CELLS * (_CELL + _CELL_GAP) + 5 if sheet.finish else 0.0


def _total_width(sheet: Sheet) -> float:
    return _WORD + _digits(sheet) * (_CELL + _CELL_GAP)


def _digits(sheet: Sheet) -> int:
    """Cells for the highest total: its digits, a sign where marks fall below 0, a part of one."""
    whole = len(str(int(max(abs(sheet.top), abs(sheet.lowest)))))
    return min(MOST_CELLS, whole + (sheet.lowest < 0) + (not _is_whole(sheet)))


def _is_whole(sheet: Sheet) -> bool:
    return all(
        float(number).is_integer()
        for category in sheet.categories
        for number in (category.weight * category.step, category.weight * category.lowest)
    )
