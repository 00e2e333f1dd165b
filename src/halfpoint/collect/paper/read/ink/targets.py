"""Everything on a form that may be marked, as arrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Block, Bubble, Layout, Row, TickBox

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Run:
    """One run of bubbles of which one is to be marked: a category, or a part of a long one.

    `first` and `count` say which bubbles of the page these are.
    """

    place: int
    row: Row
    part: str
    first: int
    count: int

    @property
    def adds(self) -> tuple[float, ...]:
        """What each of its bubbles adds to the mark."""
        return tuple(bubble.adds for bubble in self.row.bubbles if bubble.part == self.part)


@dataclass(frozen=True, slots=True, eq=False)
class Targets:
    """Bubbles and boxes of a page.

    `centres` (n, 2) and `diameters` (n,) in millimetres, run by run; `corners` (m, 4) has left,
    top, right and bottom of each box, and `boxes` which box of which block that is.
    """

    runs: tuple[Run, ...]
    centres: Array
    diameters: Array
    boxes: tuple[tuple[int, TickBox], ...]
    corners: Array


def targets_of(layout: Layout, glasses: int) -> Targets:
    """The targets of a page with so many glasses."""
    blocks = layout.blocks[:glasses]
    runs: list[Run] = []
    bubbles: list[Bubble] = []
    for block, row, part in _parts(blocks):
        own = [bubble for bubble in row.bubbles if bubble.part == part]
        runs.append(Run(block.place, row, part, len(bubbles), len(own)))
        bubbles += own
    boxes = tuple((block.place, box) for block in blocks for box in block.boxes)
    corners = [(b.area.left, b.area.top, b.area.right, b.area.bottom) for _, b in boxes]
    return Targets(
        runs=tuple(runs),
        centres=np.array([(b.centre.x, b.centre.y) for b in bubbles], float),
        diameters=np.array([b.diameter for b in bubbles], float),
        boxes=boxes,
        corners=np.array(corners, float).reshape(-1, 4),
    )


def _parts(blocks: tuple[Block, ...]) -> Iterator[tuple[Block, Row, str]]:
    for block in blocks:
        for row in block.rows:
            for part in dict.fromkeys(bubble.part for bubble in row.bubbles):
                yield block, row, part
