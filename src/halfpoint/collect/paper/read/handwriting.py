"""Numbers written by hand on a block: read as far as they can be, to raise doubt or suggest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Block, Rectangle
from halfpoint.collect.paper.read.digits import read_digits, read_number
from halfpoint.collect.paper.read.scale import FINE, cut

Floats = NDArray[np.float32]
_INSET = 0.4
# More ink than this in a cell, as a mean of its darkness, is writing.
_WRITTEN = 0.012
_INK = 0.15
_SURE_DIGITS = 0.9


@dataclass(frozen=True, slots=True)
class Handwriting:
    """`total` and `seconds` where they could be read; `any`: something is written in a cell."""

    total: float | None
    total_confidence: float
    seconds: int | None
    code_choices: tuple[str, ...]
    any: bool


def handwriting_of(block: Block, ink: Floats, *, spare: bool, highest: float) -> Handwriting:
    """What is written in the cells of a block.

    Args:
        block: the block.
        ink: darkness above what is printed, `FINE` pixels a millimetre.
        spare: whether the blind code is written by hand too.
        highest: the highest total that the sheet allows.
    """
    cells = {written.kind: _cells(ink, written.cells) for written in block.write_ins}
    totals, seconds = cells.get('total', []), cells.get('seconds', [])
    codes = _cells(ink, block.code_cells) if spare else []
    total, sure = read_number(totals, highest=highest) if _inked(totals) else (None, 1.0)
    ran, _ = read_digits(seconds) if _inked(seconds) else (None, 1.0)
    code, code_sure = read_digits(codes) if _inked(codes) else (None, 0.0)
    return Handwriting(
        total=total,
        total_confidence=sure,
        seconds=int(ran) if ran and ran.isdecimal() else None,
        code_choices=(code,) if code and code_sure >= _SURE_DIGITS else (),
        any=_inked([*totals, *seconds, *codes]),
    )


def _cells(ink: Floats, areas: tuple[Rectangle, ...]) -> list[Floats]:
    return [np.clip(cut(ink, area.grown(-_INSET), FINE), 0, 1) for area in areas]


def _inked(cells: list[Floats]) -> bool:
    return any(float(np.mean(np.where(cell > _INK, cell, 0))) > _WRITTEN for cell in cells)
