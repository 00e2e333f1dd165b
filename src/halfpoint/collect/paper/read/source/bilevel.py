"""Whether a page was scanned in black and white, which loses pencil."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

# Greys that only a soft edge or pale ink has, and what is a jump from paper to ink at once.
_LOWEST_GREY, _HIGHEST_GREY = 96, 160
_JUMP = 128

# Greys for each jump. Simulated scans of a printed sheet at 150 to 300 dpi: thresholded and
# saved as JPEG 0.09 at quality 20, 0.02 at 30, 0 at 75; in grey 1.2 and more, 0.36 with the
# contrast nearly doubled, 0.16 with it trebled.
_GREYS_PER_JUMP = 0.12

# Without edges there is nothing to tell by: an empty page.
_FEWEST_JUMPS = 0.0005

_EVERY_ROW = 4


def is_bilevel(pixels: NDArray[np.uint8]) -> bool:
    """Whether black meets white without the greys that a scanner sees at every edge.

    Edges are counted and not areas, so that a black surround or much white paper changes
    nothing; an empty page is taken for grey.

    Args:
        pixels: (height, width), as scanned: a picture made smaller has grey edges in any case.
    """
    rows = pixels[::_EVERY_ROW]
    if rows.shape[1] < 2:
        return False
    steps = cv2.absdiff(rows[:, 1:], rows[:, :-1])
    jumps = cv2.countNonZero(cv2.inRange(steps, _JUMP, 255))
    greys = cv2.countNonZero(cv2.inRange(rows, _LOWEST_GREY, _HIGHEST_GREY))
    return jumps >= _FEWEST_JUMPS * rows.size and greys < _GREYS_PER_JUMP * jumps
