"""Whether a page was scanned in black and white."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def is_bilevel(pixels: NDArray[np.uint8]) -> bool:
    """Whether dark pixels are many and middling ones few."""
    counts = np.bincount(pixels[::2].ravel(), minlength=256)
    dark, middle = counts[:64].sum(), counts[64:192].sum()
    return bool(dark > 0.001 * counts.sum() and middle < 0.1 * dark)
