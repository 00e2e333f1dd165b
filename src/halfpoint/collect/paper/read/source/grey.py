"""From an opened image to a grey picture of at most so many pixels."""

from __future__ import annotations

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
    """The picture with at most `LONG_SIDE` pixels on its long side; pixels: (height, width)."""
    height, width = pixels.shape
    share = LONG_SIDE / max(height, width)
    if share >= 1:
        return np.ascontiguousarray(pixels)
    size = (max(round(width * share), 1), max(round(height * share), 1))
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _halve_while_decoding(image: Image.Image) -> None:
    """Ask the decoder of a JPEG for grey, and for half the size as often as needed."""
    width, height = image.size
    half = 1
    while width * height > HALVED_ABOVE * half**2:
        half *= 2
    image.draft('L', (max(width // half, 1), max(height // half, 1)))


def _grey(image: Image.Image) -> NDArray[np.uint8]:
    if image.mode.startswith(_DEEP):
        return _deep(np.asarray(image, dtype=np.float32))
    if image.has_transparency_data:
        return np.asarray(_on_white(image))
    return np.asarray(image.convert('L'))


def _deep(values: NDArray[np.float32]) -> NDArray[np.uint8]:
    """More than 8 bits a pixel: the brightest becomes white, whatever the depth in use."""
    values = np.nan_to_num(values, nan=0.0, posinf=0.0, neginf=0.0)
    brightest = max(float(values.max()), 1e-6)
    scaled: NDArray[np.uint8] = np.clip(values * (255 / brightest) + 0.5, 0, 255).astype(np.uint8)
    return scaled


def _on_white(image: Image.Image) -> Image.Image:
    if image.mode not in {'LA', 'RGBA'}:
        image = image.convert('RGBA')
    paper = Image.new('L', image.size, 255)
    paper.paste(image.convert('L'), mask=image.getchannel('A'))
    return paper
