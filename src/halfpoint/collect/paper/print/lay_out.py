"""Laying out a score sheet: from its data to the place of everything on the page."""

from __future__ import annotations

from halfpoint.collect.paper.print.block import Arrangement, arrangements, block_at
from halfpoint.collect.paper.print.fiducials import fiducials, side_marks
from halfpoint.collect.paper.print.layout import (
    FRAME_HEIGHT,
    FRAME_WIDTH,
    LAYOUT_VERSION,
    Block,
    CodeArea,
    Head,
    Layout,
    Rectangle,
    Words,
    origins,
)
from halfpoint.collect.paper.print.measures import BY_WINES
from halfpoint.collect.paper.print.rows import Runs, runs_of
from halfpoint.errors import SheetError, UsageError
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.words import say_number, say_step

USUAL_WINES = 4
HOW_TO_MARK = (
    "Fill one circle on each line, and put a cross in boxes. To change a mark, cross it out and "
    "fill another. Where two circles are asked (+), they add up."
)
HOW_TO_MARK_PLAIN = (
    "Fill one circle on each line, and put a cross in boxes. To change a mark, cross it out and "
    "fill another."
)
CAUTIONS = (
    "Spit whenever you like; nobody has to finish a glass. Drink water and eat between the wines. "
    "Who tastes does not drive, cycle or work machines afterwards. Not for anyone under the legal "
    "age, pregnant, or on medicines that forbid alcohol. Ask the host about allergens. Local law "
    "holds before this sheet."
)
QR_AREA = CodeArea('qr', Rectangle(161.0, 0.0, 16.8, 16.8), 21, 3.2)
DATA_MATRIX_AREA = CodeArea('data-matrix', Rectangle(12.0, 244.2, 12.8, 12.8), 16, 1.6)
HEAD = Head(
    title=Rectangle(12, 0, 98, 5.2),
    site=Rectangle(12, 5.6, 98, 4.2),
    taster=Rectangle(12, 10.2, 98, 5.4),
    seat=Rectangle(112, 0, 44, 7.4),
    table=Rectangle(112, 7.8, 44, 4),
    page=Rectangle(112, 12.0, 44, 3.8),
    identity=Rectangle(30, 253.6, 62, 3.2),
    invented=Rectangle(94, 253.6, 84, 3.2),
)
_HOW_TO_AREA = Rectangle(12, 16.2, 144, 4)
_CAUTIONS_AREA = Rectangle(30, 244, 148, 8.8)


def lay_out(sheet: Sheet, wines_a_page: int = USUAL_WINES) -> Layout:
    """Where everything stands on a page for so many wines.

    Aromas are each given a box where there is room, and else a box for each family.

    Raises:
        UsageError: not 3, 4 or 5 wines.
        SheetError: the sheet does not fit on paper that way; the remedy says what does.
    """
    if wines_a_page not in BY_WINES:
        expected = ', '.join(str(wines) for wines in BY_WINES)
        raise UsageError(str(wines_a_page), where='--wines-a-page', expected=expected)
    runs = _runs(sheet)
    arrangement = _arrangement(sheet, runs, wines_a_page)
    if arrangement is None:
        raise _too_tall(sheet, runs, wines_a_page)
    blocks = [
        block
        for place in range(1, wines_a_page + 1)
        if (block := _block(sheet, runs, arrangement, place, wines_a_page))
    ]
    return _page(sheet, runs, wines_a_page, tuple(blocks))


def most_wines_a_page(sheet: Sheet) -> int:
    """The usual number of wines a page, or as many below it as the sheet fits.

    Raises:
        SheetError: not even the fewest fit.
    """
    fitting = _fitting(sheet, _runs(sheet))
    usual = [wines for wines in fitting if wines <= USUAL_WINES]
    return max(usual, default=USUAL_WINES)


def _page(sheet: Sheet, runs: dict[str, Runs], wines: int, blocks: tuple[Block, ...]) -> Layout:
    adds_up = any(each.fine for each in runs.values())
    how = HOW_TO_MARK if adds_up else HOW_TO_MARK_PLAIN
    return Layout(
        version=LAYOUT_VERSION,
        sheet=sheet.key,
        wines_a_page=wines,
        width=FRAME_WIDTH,
        height=FRAME_HEIGHT,
        origins=origins(),
        fiducials=fiducials(),
        side_marks=side_marks(),
        codes=(QR_AREA, DATA_MATRIX_AREA),
        head=HEAD,
        words=(Words(how, _HOW_TO_AREA, 7.2, lines=2), Words(CAUTIONS, _CAUTIONS_AREA, 7, lines=3)),
        blocks=blocks,
    )


def _runs(sheet: Sheet) -> dict[str, Runs]:
    found: dict[str, Runs] = {}
    for category in sheet.categories:
        runs = runs_of(category)
        if runs is None:
            low, top = say_number(category.lowest), say_number(category.top)
            raise SheetError(
                f"'{category.label}' from {low} to {top} in {say_step(category.step)} has "
                f"{category.steps + 1:,} marks, too many for a printed line",
                where=f"score sheet '{sheet.key}', category '{category.key}'",
                expected="at most 16 marks, or a scale that two lines of circles can add up to",
                remedy="print with coarser steps, or collect this sheet as a table",
            )
        found[category.key] = runs
    return found


def _block(
    sheet: Sheet, runs: dict[str, Runs], arrangement: Arrangement, place: int, wines: int
) -> Block | None:
    return block_at(sheet, runs, arrangement, place, wines, BY_WINES[wines])


def _arrangement(sheet: Sheet, runs: dict[str, Runs], wines: int) -> Arrangement | None:
    ways = arrangements(sheet)
    return next((way for way in ways if _block(sheet, runs, way, 1, wines)), None)


def _fitting(sheet: Sheet, runs: dict[str, Runs]) -> list[int]:
    return [wines for wines in BY_WINES if _arrangement(sheet, runs, wines)]


def _too_tall(sheet: Sheet, runs: dict[str, Runs], wines: int) -> SheetError:
    fitting = _fitting(sheet, runs)
    remedy = (
        f"print with --wines-a-page {max(fitting)}"
        if fitting
        else "ask for fewer categories, aromas or faults, or collect this sheet as a table"
    )
    return SheetError(
        f"'{sheet.label}' does not fit on paper with {wines} wines a page",
        where=f"score sheet '{sheet.key}'",
        expected="circles, boxes and room for a remark in the height of each wine",
        remedy=remedy,
    )
