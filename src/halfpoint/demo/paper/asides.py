"""What people write besides marks: totals, seconds, remarks, names, doodles."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from halfpoint.collect.paper.print.layout import Block, Layout, Rectangle
from halfpoint.demo.paper import letters, marks, rates
from halfpoint.demo.paper.curves import through
from halfpoint.demo.paper.hand import Hand
from halfpoint.demo.paper.ink import Owner
from halfpoint.demo.paper.truth import RowTruth
from halfpoint.sheet.form import Sheet

BESIDE = ('aside',)


def write_total(hand: Hand, block: Block, sheet: Sheet, rows: tuple[RowTruth, ...]) -> str:
    """The sum into its cells; some add up wrongly."""
    cells = _cells(block, 'total')
    if not cells or not hand.writer.writes_total:
        return ''
    marked = [row for row in rows if row.value is not None]
    total = sum(sheet.category(row.category).weight * (row.value or 0) for row in marked)
    if hand.rng.random() < rates.WRONG_TOTAL:
        total += float(hand.rng.choice((-2, -1, -0.5, 0.5, 1, 10)))
    text = letters.written(total, hand.writer.half)
    return _into_cells(hand, cells, text, ('total', str(block.place)))


def write_seconds(hand: Hand, block: Block) -> str:
    """How long the finish was, in seconds."""
    cells = _cells(block, 'seconds')
    if not cells or not hand.writer.writes_seconds:
        return ''
    seconds = int(np.clip(hand.rng.lognormal(3.0, 0.5), 2, 99))
    return _into_cells(hand, cells, str(seconds), ('seconds', str(block.place)))


def write_code(hand: Hand, block: Block) -> str:
    """A blind code, by hand, on a spare sheet."""
    code = f'{hand.rng.integers(100, 1000)}'
    return _into_cells(hand, block.code_cells, code, ('code', str(block.place)))


def write_remark(hand: Hand, block: Block) -> None:
    """A few words in the remark box, which some write above or beyond."""
    area = next((w.area for w in block.write_ins if w.kind == 'remark'), None)
    if area is None or hand.rng.random() > rates.WRITES_REMARK:
        return
    rng, owner = hand.rng, ('remark', str(block.place))
    climbs = rng.random() < rates.REMARK_CLIMBS
    runs = rng.random() < rates.REMARK_RUNS_RIGHT
    size = min(hand.writer.hand, area.height / 3.2) * (1.3 if climbs else 1.0)
    two_lines = rng.random() < 0.25 and area.height > 6
    for line in range(1 + two_lines):
        x = area.left + rng.uniform(1, 5)
        base = area.top + area.height * (
            0.4 + 0.45 * line if two_lines else rng.uniform(0.55, 0.75)
        )
        slope = rng.normal(0.004, 0.008)
        if climbs:
            base -= rng.uniform(1.5, 4.0)
            slope += rng.uniform(0.0, 0.02)
        end = area.right + (rng.uniform(4, 14) if runs else -4)
        wanted = x + (end - x) * (1.0 if runs else rng.uniform(0.2, 1.0))
        _words(hand, (x, base), wanted, slope, size, owner)


def write_asides(hand: Hand, layout: Layout, *, spare: bool) -> None:
    """What is written once a page: a name, a date, a doodle, a line under something."""
    rng = hand.rng
    if spare:
        taster, seat = layout.head.taster, layout.head.seat
        _words(hand, (taster.left + 12, taster.bottom - 0.8), taster.left + 45, 0, 2.2, BESIDE)
        _digits(hand, str(rng.integers(1, 60)), (seat.left + 14, seat.bottom - 5))
    if rng.random() < rates.WRITES_IN_MARGIN:
        y = rng.uniform(-7, -2) if rng.random() < 0.6 else layout.height + rng.uniform(3, 8)
        x = rng.uniform(10, 90)
        _words(hand, (x, y), x + rng.uniform(15, 60), rng.normal(0, 0.03), hand.writer.hand, BESIDE)
    if rng.random() < rates.DOODLES:
        _doodle(hand, (rng.uniform(-4, 0), rng.uniform(20, 240)) if rng.random() < 0.5 else
                (rng.uniform(110, 160), rng.uniform(-6, -3)))  # fmt: skip
    for block in layout.blocks:
        if rng.random() < rates.UNDERLINES:
            code = block.code
            hand.line((code.left - 1, code.bottom + 0.3), (code.left + 14, code.bottom), BESIDE)
        if rng.random() < rates.RINGS_CODE:
            code = block.code
            hand.ring((code.left + 7, code.top + code.height / 2), 9.5, 4.2, BESIDE)


def _cells(block: Block, kind: str) -> tuple[Rectangle, ...]:
    return next((w.cells for w in block.write_ins if w.kind == kind), ())


def _into_cells(hand: Hand, cells: tuple[Rectangle, ...], text: str, owner: Owner) -> str:
    """Characters into cells from the left; a point or comma shares a cell with what follows."""
    at = 0
    for character in text:
        cell = cells[min(at, len(cells) - 1)]
        if at >= len(cells):
            beyond = (at - len(cells) + 1) * cell.width * 0.8
            cell = replace(cell, left=cell.left + beyond)
        if character in '.,':
            hand.digit(character, replace(cell, left=cell.left - 2.3), owner)
            continue
        hand.digit(character, cell, owner)
        at += 1
    return text


def _digits(hand: Hand, text: str, at: tuple[float, float]) -> None:
    for number, character in enumerate(text):
        hand.digit(character, Rectangle(at[0] + number * 3.6, at[1], 4, 5), BESIDE)


def _words(
    hand: Hand, start: tuple[float, float], end: float, slope: float, size: float, owner: Owner
) -> None:
    """Words from the start until the line is full."""
    x, base = start
    while True:
        text = letters.invented_word(hand.rng)
        if x > start[0] and x + 0.8 * size * len(text) > end:
            return
        x = hand.word(text, (x, base - slope * (x - start[0])), owner, slope, size)
        x += size * hand.rng.uniform(0.7, 1.3)


def _doodle(hand: Hand, at: tuple[float, float]) -> None:
    rng = hand.rng
    kind = rng.integers(3)
    if kind == 0:
        lines = marks.scribble(rng, rng.uniform(2, 4), 0.4, 0.3)
    elif kind == 1:
        turns = np.linspace(0, 5 * np.pi, 60)
        lines = [np.stack((turns * 0.25 * np.cos(turns), turns * 0.25 * np.sin(turns)), axis=1)]
    else:
        corners = [
            (3 * np.sin(k * 4 * np.pi / 5), -3 * np.cos(k * 4 * np.pi / 5)) for k in range(6)
        ]
        lines = [through([p for corner in corners for p in (corner, corner)], 4)]
    hand.put(lines, at, BESIDE)
