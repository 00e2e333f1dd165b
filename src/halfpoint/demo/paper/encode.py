"""Pixels as a file."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray


def as_jpeg(image: NDArray[np.uint8], quality: int) -> bytes:
    """Grey JPEG."""
    return bytes(cv2.imencode('.jpg', image, [cv2.IMWRITE_JPEG_QUALITY, quality])[1])


def as_png(image: NDArray[np.uint8]) -> bytes:
    """Grey PNG."""
    return bytes(cv2.imencode('.png', image, [cv2.IMWRITE_PNG_COMPRESSION, 1])[1])
