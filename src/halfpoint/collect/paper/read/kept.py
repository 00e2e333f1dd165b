"""The picture of a page that is kept with the record."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import FRAME_HEIGHT, FRAME_WIDTH
from halfpoint.collect.paper.read.model import PICTURE_SCALE
from halfpoint.collect.paper.read.scale import FINE, MARGIN

_QUALITY = 60


def kept_picture(page: NDArray[np.uint8]) -> bytes:
    """The straightened page without its margin, as JPEG of `PICTURE_SCALE` pixels a millimetre."""
    edge = round(MARGIN * FINE)
    frame = page[edge:-edge, edge:-edge]
    size = (round(FRAME_WIDTH * PICTURE_SCALE), round(FRAME_HEIGHT * PICTURE_SCALE))
    small = cv2.resize(frame, size, interpolation=cv2.INTER_LINEAR)
    _, encoded = cv2.imencode('.jpg', small, [cv2.IMWRITE_JPEG_QUALITY, _QUALITY])
    return encoded.tobytes()
