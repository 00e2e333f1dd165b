"""The four corner markers.

Patterns of the markers 0 to 3 of OpenCV's predefined dictionary `DICT_4X4_50`
(module `objdetect`, ArUco), four rows of four, 1 white; a test compares them with OpenCV's own.
"""

from __future__ import annotations

from halfpoint.collect.paper.print.layout import (
    FRAME_HEIGHT,
    FRAME_WIDTH,
    Fiducial,
    Rectangle,
)

PATTERNS = {
    0: '1011010100110010',
    1: '0000111110011010',
    2: '0011001100101101',
    3: '1001100101000110',
}
MARKER = 9.0
CELLS = 6
SIDE_MARK = 3.0
SIDE_MARKS = 5


def fiducials() -> tuple[Fiducial, ...]:
    """A marker in each corner: 0 and 1 above, 2 and 3 below, from left to right."""
    right, below = FRAME_WIDTH - MARKER, FRAME_HEIGHT - MARKER
    places = ((0.0, 0.0), (right, 0.0), (0.0, below), (right, below))
    return tuple(
        Fiducial(marker, Rectangle(left, top, MARKER, MARKER))
        for marker, (left, top) in enumerate(places)
    )


def side_marks() -> tuple[Rectangle, ...]:
    """Solid squares down both sides, evenly between the markers."""
    step = FRAME_HEIGHT / (SIDE_MARKS + 1)
    return tuple(
        Rectangle(left, round(n * step - SIDE_MARK / 2, 3), SIDE_MARK, SIDE_MARK)
        for left in (0.0, FRAME_WIDTH - SIDE_MARK)
        for n in range(1, SIDE_MARKS + 1)
    )


def cells_of(marker: int) -> list[list[bool]]:
    """Six rows of six, True black: the pattern inside its black border."""
    bits = PATTERNS[marker]
    inner = [[True, *(bit == '0' for bit in bits[row : row + 4]), True] for row in (0, 4, 8, 12)]
    return [[True] * CELLS, *inner, [True] * CELLS]
