"""From an opened image to a grey picture of at most so many pixels."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.source.bilevel import is_bilevel
from halfpoint.collect.paper.read.source.held import too_large
from halfpoint.collect.paper.read.source.limits import (
    HALVED_ABOVE,
    LONG_SIDE,
    MOST_PIXELS,
    MOST_SIDE,
)
from halfpoint.collect.paper.read.source.scan import Picture

_DEEP = ('I', 'F')

# Times the long side from where on a picture is halved instead of interpolated.
_HALVED_OVER = 1.4


def grey_picture(image: Image.Image) -> Picture | HeldPage:
    """The picture in an image of which only the header was read.

    Raises:
        Exception: whatever Pillow raises at bytes that it cannot decode.
    """
    if not fits(*image.size):
        return too_large(*image.size)
    one_bit = image.mode == '1'
    _halve_while_decoding(image)
    pixels = _grey(image)
    return Picture(shrunk(pixels), one_bit or is_bilevel(pixels))


def fits(width: int, height: int) -> bool:
    """Whether an image of so many pixels may be decoded."""
    return max(width, height) <= MOST_SIDE and width * height <= MOST_PIXELS


def shrunk(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture with at most `LONG_SIDE` pixels on its long side; pixels: (height, width).

    Much too large a picture is halved, by the mean of each four pixels: OpenCV's `INTER_AREA`
    takes 2 ms for that and 50 ms for any other share. The little that may be left to go is
    interpolated.
    """
    while max(pixels.shape) > _HALVED_OVER * LONG_SIDE:
        height, width = (max(side // 2 * 2, 1) for side in pixels.shape)
        pixels = _resized(pixels[:height, :width], 0.5, cv2.INTER_AREA)
    share = LONG_SIDE / max(pixels.shape)
    if share < 1:
        pixels = _resized(pixels, share, cv2.INTER_LINEAR)
    return np.ascontiguousarray(pixels)


def _resized(pixels: NDArray[np.uint8], share: float, how: int) -> NDArray[np.uint8]:
    height, width = (max(round(side * share), 1) for side in pixels.shape)
    return np.asarray(cv2.resize(pixels, (width, height), interpolation=how), dtype=np.uint8)


def _halve_while_decoding(image: Image.Image) -> None:
    """Ask the decoder of a JPEG for grey, and for half the size as often as needed."""
    width, height = image.size
    half = 1
    while width * height > HALVED_ABOVE * half**2:
        half *= 2
    image.draft('L', (max(width // half, 1), max(height // half, 1)))


def _grey(image: Image.Image) -> NDArray[np.uint8]:
    if image.mode.startswith(_DEEP):
        return _deep(np.asarray(image))
    if image.has_transparency_data:
        return np.asarray(_on_white(image))
    return np.asarray(image if image.mode == 'L' else image.convert('L'))


def _deep(values: NDArray[Any]) -> NDArray[np.uint8]:
    """More than 8 bits a pixel: the brightest becomes white, whatever the depth in use."""
    if values.dtype.kind == 'f':
        values = np.nan_to_num(values, nan=0.0, posinf=0.0, neginf=0.0)
    brightest = max(float(values.max()), 1e-6)
    dark_to_light = np.maximum(values, 0).astype(np.float32)
    return np.asarray(cv2.convertScaleAbs(dark_to_light, alpha=255 / brightest), dtype=np.uint8)


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode not in {'LA', 'RGBA'}:
        image = image.convert('RGBA')
    paper = Image.new('L', image.size, 255)
    paper.paste(image.convert('L'), mask=image.getchannel('A'))
    return paper
