"""A grey picture in a terminal: two pixels to a letter, by 24-bit colours."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

UPPER_HALF = '▀'


def terminal_shows_grey() -> bool:
    """Whether standard output is a terminal that says it has 24-bit colours."""
    return sys.stdout.isatty() and os.environ.get('COLORTERM', '') in {'truecolor', '24bit'}


def half_blocks(pixels: NDArray[np.uint8], columns: int) -> str:
    """The picture as lines of half blocks, at most `columns` wide and never enlarged.

    Args:
        pixels: (height, width), 0 black to 255 white.
        columns: letters on a line; a letter is a pixel wide and two high.
    """
    import cv2
    import numpy as np

    height, width = pixels.shape
    across = max(1, min(columns, width))
    down = max(2, 2 * round(height * across / width / 2))
    small = cv2.resize(pixels, (across, down), interpolation=cv2.INTER_AREA)
    return '\n'.join(_line(*pair) for pair in np.asarray(small).reshape(-1, 2, across))


def _line(upper: NDArray[np.uint8], lower: NDArray[np.uint8]) -> str:
    letters = [
        f'\x1b[38;2;{a};{a};{a}m\x1b[48;2;{b};{b};{b}m{UPPER_HALF}'
        for a, b in zip(upper.tolist(), lower.tolist(), strict=True)
    ]
    return ''.join(letters) + '\x1b[0m'
