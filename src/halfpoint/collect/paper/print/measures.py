"""Sizes of what is printed, in millimetres, by how many wines stand on a page.

Those of bubbles, boxes, markers and gaps were measured on printed and read prototypes.
"""

from __future__ import annotations

from dataclasses import dataclass

BOX = 3.4
BOX_PITCH = 5.5
BOX_TITLE = 3.1
LEAST_BOX_COLUMN = 16.0
BOX_LABEL_GAP = 1.0
COLUMN_GAP = 4.0
LABEL_WIDTH = 23.0
# Handwriting climbs: so far from the lowest box above it, and from any box beside it.
REMARK_TO_BOXES = 6.0
REMARK_LABEL = 2.8
BLOCKS_LEFT, BLOCKS_TOP, BLOCKS_WIDTH, BLOCKS_HEIGHT = 6.0, 21.0, 178.0, 220.0
BLOCK_GAP = 2.0
# More bubbles than this in a row are set as two parts instead.
LONGEST_ROW = 16


@dataclass(frozen=True, slots=True)
class Measures:
    """Sizes that depend on the number of wines a page."""

    diameter: float
    pitch: float
    row: float
    strip: float
    cell: float
    remark_to_bubbles: float
    least_remark: float


BY_WINES = {
    3: Measures(4.2, 6.0, 6.2, 8.5, 6.5, 6.0, 6.0),
    4: Measures(4.2, 6.0, 6.2, 8.5, 6.5, 6.0, 6.0),
    5: Measures(3.6, 5.2, 5.2, 7.0, 5.5, 4.0, 5.0),
}


def block_height(wines: int) -> float:
    """How tall one block may be when so many stand on a page."""
    return (BLOCKS_HEIGHT - (wines - 1) * BLOCK_GAP) / wines
