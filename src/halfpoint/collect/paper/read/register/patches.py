"""Which parts of the printed form are looked for: unmistakable ones first, then small ones."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from halfpoint.collect.paper.print.layout import Block, Layout, Rectangle, around

_AROUND = 0.6
# A piece of a row this many bubbles wide.
_PIECE = 4


@dataclass(frozen=True, slots=True)
class Patches:
    """Parts of the form, in millimetres: `anchors` occur once nearby, `pieces` may repeat."""

    marks: tuple[Rectangle, ...]
    anchors: tuple[Rectangle, ...]
    pieces: tuple[Rectangle, ...]


def patches_of(layout: Layout, glasses: int) -> Patches:
    """The patches of a page with so many glasses."""
    blocks = layout.blocks[:glasses]
    marks = [each.area for each in layout.fiducials] + list(layout.side_marks)
    return Patches(
        marks=tuple(area.grown(1.2) for area in marks),
        anchors=tuple(area for block in blocks for area in _anchors(block)),
        pieces=tuple(area for block in blocks for area in _pieces(block)),
    )


def _anchors(block: Block) -> Iterable[Rectangle]:
    """The column of labels, and the words beside the boxes, left and right half."""
    yield around([row.label.area for row in block.rows]).grown(_AROUND)
    words = [box.label.area for box in block.boxes] + [title.area for title in block.titles]
    if words:
        whole = around(words).grown(_AROUND)
        half = whole.width / 2
        yield Rectangle(whole.left, whole.top, half, whole.height)
        yield Rectangle(whole.left + half, whole.top, half, whole.height)


def _pieces(block: Block) -> Iterable[Rectangle]:
    for row in block.rows:
        yield row.label.area.grown(0.2)
        bubbles = row.bubbles
        for first in range(0, max(len(bubbles) - 1, 1), _PIECE):
            some = bubbles[first : first + _PIECE]
            if len(some) > 1:
                circles = [
                    Rectangle(
                        b.centre.x - b.diameter / 2, b.centre.y - b.diameter / 2,
                        b.diameter, b.diameter,
                    )
                    for b in some
                ]  # fmt: skip
                yield around(circles).grown(_AROUND)
    for box in block.boxes:
        yield around([box.area, box.label.area]).grown(_AROUND)
    for written in block.write_ins:
        if written.cells:
            areas = [written.area, *(label.area for label in written.labels)]
            yield around(areas).grown(_AROUND)
