"""Filling in a page: every glass, line and box, and what was meant by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Block, Layout, Row
from halfpoint.demo.paper import asides, rates
from halfpoint.demo.paper.boxes import leave_boxes, owner_of, write_boxes
from halfpoint.demo.paper.curves import Line
from halfpoint.demo.paper.hand import Hand
from halfpoint.demo.paper.ink import Ink, Owner
from halfpoint.demo.paper.printed import Raster
from halfpoint.demo.paper.rows import draw_event, line_of, write_row
from halfpoint.demo.paper.truth import BlockTruth, Filled, RowTruth
from halfpoint.demo.paper.writer import Writer
from halfpoint.sheet.form import Category, Sheet

_SPACING = 0.25


def fill(
    rng: np.random.Generator, layout: Layout, blank: Raster, sheet: Sheet, writer: Writer
) -> Filled:
    """Fill in a printed page as this writer would.

    Args:
        rng: where the chance comes from.
        layout: where everything stands.
        blank: the page.
        sheet: what may be marked.
        writer: whose hand it is.
    """
    printed = toner(rng, blank.image)
    ink = Ink(printed, blank.scale, blank.origin, rng)
    hand = Hand(rng, ink, writer)
    used = replace(layout, blocks=layout.blocks[: len(blank.page.glasses)])
    same = float(rng.beta(6, 3)) if writer.same_value else None
    blocks = [
        _block(hand, block, sheet, blank.page.glasses[number].code, same)
        for number, block in enumerate(used.blocks)
    ]
    asides.write_asides(hand, used, spare=blank.page.is_spare)
    strays = _Strays(ink.traces)
    truth = tuple(
        strays.marked(block, each) for block, each in zip(used.blocks, blocks, strict=True)
    )
    return Filled(ink.page, truth, writer, blank.dpi, blank.page)


def toner(rng: np.random.Generator, printed: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The page as this printer prints it: darker or paler, seldom with pale bands."""
    strength = rng.uniform(0.82, 1.12)
    levels = np.arange(256)
    table = np.clip(255 - (255 - levels) * strength, 0, 255).astype(np.uint8)
    page: NDArray[np.uint8] = np.asarray(cv2.LUT(printed, table), np.uint8)
    if rng.random() < rates.LOW_TONER:
        width = page.shape[1]
        knots = rng.uniform(0.3, 1.0, 9)
        band = np.interp(np.linspace(0, 8, width), np.arange(9), knots)
        pale = np.round(band * 255).astype(np.uint8)[None, :]
        inverted = cv2.multiply(255 - page, np.repeat(pale, page.shape[0], 0), scale=1 / 255)
        page = np.asarray(255 - inverted, np.uint8)
    return page


def value_of(
    rng: np.random.Generator, category: Category, writer: Writer, same: float | None
) -> float:
    """A mark that this writer might give."""
    share = float(np.clip(rng.normal(writer.taste, 0.17), 0, 1)) if same is None else same
    return round(category.lowest + round(share * category.steps) * category.step, 9)


def _block(hand: Hand, block: Block, sheet: Sheet, code: str, same: float | None) -> BlockTruth:
    if hand.rng.random() < rates.WINE_LEFT_BLANK:
        rows = tuple(RowTruth(row.category, None, 'blank', clean=False) for row in block.rows)
        return BlockTruth(block.place, rows, leave_boxes(block), '', '', tasted=False, code=code)
    rows = tuple(_row(hand, block, row, sheet, same) for row in block.rows)
    boxes = write_boxes(hand, block)
    written = '' if code else asides.write_code(hand, block)
    seconds = asides.write_seconds(hand, block)
    total = asides.write_total(hand, block, sheet, rows)
    asides.write_remark(hand, block)
    return BlockTruth(block.place, rows, boxes, total, seconds, tasted=True, code=code or written)


def _row(hand: Hand, block: Block, row: Row, sheet: Sheet, same: float | None) -> RowTruth:
    value = value_of(hand.rng, sheet.category(row.category), hand.writer, same)
    event = draw_event(hand.rng, hand.writer)
    return write_row(hand, line_of(row, value, block.place), event)


@dataclass(frozen=True, slots=True)
class _Trace:
    owner: Owner
    points: Line
    low: NDArray[np.float64]
    high: NDArray[np.float64]


class _Strays:
    """Where lines went that belong elsewhere."""

    def __init__(self, traces: Sequence[tuple[Owner, Line]]) -> None:
        self._traces = [
            _Trace(owner, line, line.min(0), line.max(0)) for owner, line in traces if len(line)
        ]
        low, high = ([getattr(trace, end) for trace in self._traces] for end in ('low', 'high'))
        self._low = np.array(low).reshape(-1, 2)
        self._high = np.array(high).reshape(-1, 2)

    def marked(self, block: Block, truth: BlockTruth) -> BlockTruth:
        """The truth of a block with what is not clean because of a foreign line."""
        rows = tuple(
            replace(each, clean=False) if each.clean and self._on_row(block, row) else each
            for row, each in zip(block.rows, truth.rows, strict=True)
        )
        boxes = tuple(
            replace(each, clean=False)
            if each.clean and self._within(
                (box.area.left - 0.3, box.area.top - 0.3),
                (box.area.right + 0.3, box.area.bottom + 0.3),
                owner_of(block, box),
            )
            else each
            for box, each in zip(block.boxes, truth.boxes, strict=True)
        )  # fmt: skip
        return replace(truth, rows=rows, boxes=boxes)

    def _on_row(self, block: Block, row: Row) -> bool:
        first, last = row.bubbles[0], row.bubbles[-1]
        reach = first.diameter / 2
        low = (first.centre.x - reach, first.centre.y - 0.8 * reach)
        high = (last.centre.x + reach, first.centre.y + 0.8 * reach)
        return self._within(low, high, ('row', str(block.place), row.category))

    def _within(self, low: tuple[float, float], high: tuple[float, float], own: Owner) -> bool:
        near = np.nonzero(((self._low < high) & (self._high > low)).all(1))[0]
        return any(
            self._traces[k].owner != own and _passes(self._traces[k].points, low, high)
            for k in near
        )


def _passes(line: Line, low: tuple[float, float], high: tuple[float, float]) -> bool:
    lengths = np.hypot(*np.diff(line, axis=0).T)
    finer = int(np.clip(lengths.max(initial=0) / _SPACING, 1, 40))
    t = (np.arange(finer) / finer)[:, None, None]
    points = (line[:-1] + t * np.diff(line, axis=0)).reshape(-1, 2)
    return bool(((points > low) & (points < high)).all(1).any())
