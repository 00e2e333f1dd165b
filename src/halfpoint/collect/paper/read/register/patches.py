"""Which parts of the printed form are looked for: unmistakable ones first, then small ones."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from halfpoint.collect.paper.print.layout import Block, Layout, Rectangle

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
        marks=tuple(_grown(area, 1.2) for area in marks),
        anchors=tuple(area for block in blocks for area in _anchors(block)),
        pieces=tuple(area for block in blocks for area in _pieces(block)),
    )


def _anchors(block: Block) -> Iterable[Rectangle]:
    """The column of labels, and the words beside the boxes, left and right half."""
    yield _around([row.label.area for row in block.rows])
    words = [box.label.area for box in block.boxes] + [title.area for title in block.titles]
    if words:
        whole = _around(words)
        half = whole.width / 2
        yield Rectangle(whole.left, whole.top, half, whole.height)
        yield Rectangle(whole.left + half, whole.top, half, whole.height)


def _pieces(block: Block) -> Iterable[Rectangle]:
    for row in block.rows:
        yield _grown(row.label.area, 0.2)
        bubbles = row.bubbles
        for first in range(0, max(len(bubbles) - 1, 1), _PIECE):
            some = bubbles[first : first + _PIECE]
            if len(some) > 1:
                yield _around(
                    [
                        Rectangle(
                            b.centre.x - b.diameter / 2, b.centre.y - b.diameter / 2,
                            b.diameter, b.diameter,
                        )
                        for b in some
                    ]
                )  # fmt: skip
    for box in block.boxes:
        yield _around([box.area, box.label.area])
    for written in block.write_ins:
        if written.cells:
            yield _around([written.area, *(label.area for label in written.labels)])


def _around(areas: Sequence[Rectangle]) -> Rectangle:
    left, top = min(area.left for area in areas), min(area.top for area in areas)
    right, bottom = max(area.right for area in areas), max(area.bottom for area in areas)
    return _grown(Rectangle(left, top, right - left, bottom - top), _AROUND)


def _grown(area: Rectangle, by: float) -> Rectangle:
    return Rectangle(area.left - by, area.top - by, area.width + 2 * by, area.height + 2 * by)
