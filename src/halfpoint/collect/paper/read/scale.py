"""In what pixels a page is looked at, once it is straightened.

Both images show the frame with a margin around it; a place in millimetres of the frame lies
at `(place + MARGIN) * scale` pixels.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle

Value = TypeVar('Value', bound=np.generic)
FINE = 8.0
COARSE = FINE / 2
MARGIN = 4.0


def cut(image: NDArray[Value], area: Rectangle, scale: float) -> NDArray[Value]:
    """The part of an image of the page that shows an area of the frame, in millimetres."""
    top, bottom = round((area.top + MARGIN) * scale), round((area.bottom + MARGIN) * scale)
    left, right = round((area.left + MARGIN) * scale), round((area.right + MARGIN) * scale)
    return image[max(top, 0) : bottom, max(left, 0) : right]
