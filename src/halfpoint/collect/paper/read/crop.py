"""Cutting a part out of the kept picture of a page."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import PICTURE_SCALE
from halfpoint.errors import NotAScan

MARGIN_MM = 1.5
# What is around a small thing tells what it is.
LEAST_WIDTH, LEAST_HEIGHT = 60.0, 12.0


def crop_of(
    jpeg: bytes,
    area: Rectangle | None = None,
    *,
    scale: float = PICTURE_SCALE,
    margin_mm: float = MARGIN_MM,
) -> NDArray[np.uint8]:
    """A part of a picture as grey pixels, rows by columns.

    Args:
        jpeg: the kept picture, showing the frame and nothing else.
        area: what to show, in millimetres of the frame; None, or an empty one, for the whole.
        scale: pixels per millimetre of the picture.
        margin_mm: how much to show around it; never more than there is.

    Raises:
        NotAScan: it is no picture.
    """
    raw = np.frombuffer(jpeg, np.uint8)
    pixels = cv2.imdecode(raw, cv2.IMREAD_GRAYSCALE) if raw.size else None
    if pixels is None:
        raise NotAScan("no picture", expected="a JPEG of a page")
    whole = np.asarray(pixels, dtype=np.uint8)
    if area is None or area.width <= 0 or area.height <= 0:
        return whole
    rows = _span(area.top, area.bottom, margin_mm, scale, whole.shape[0])
    columns = _span(area.left, area.right, margin_mm, scale, whole.shape[1])
    return whole[rows, columns]


def crop_png(
    jpeg: bytes,
    area: Rectangle | None = None,
    *,
    scale: float = PICTURE_SCALE,
    margin_mm: float = MARGIN_MM,
) -> bytes:
    """The same as a PNG file."""
    part = crop_of(jpeg, area, scale=scale, margin_mm=margin_mm)
    _, encoded = cv2.imencode('.png', part)
    return encoded.tobytes()


def look_png(jpeg: bytes, area: Rectangle | None = None) -> bytes:
    """As `crop_png`, with enough around a small thing to tell what it is.

    Raises:
        NotAScan: it is no picture.
    """
    return crop_png(jpeg, around(area))


def around(area: Rectangle | None) -> Rectangle | None:
    """At least `LEAST_WIDTH` by `LEAST_HEIGHT` millimetres about the middle of what is asked."""
    if area is None or area.width <= 0:
        return None
    left, right = _widened(area.left, area.right, LEAST_WIDTH)
    top, bottom = _widened(area.top, area.bottom, LEAST_HEIGHT)
    return Rectangle(left, top, right - left, bottom - top)


def _widened(first: float, last: float, least: float) -> tuple[float, float]:
    more = max(0.0, (least - (last - first)) / 2)
    return first - more, last + more


def _span(start: float, end: float, margin: float, scale: float, size: int) -> slice:
    """Pixels from a margin before `start` to one after `end`, at least one and within `size`."""
    first = min(max(0, round((start - margin) * scale)), size - 1)
    last = min(max(first + 1, round((end + margin) * scale)), size)
    return slice(first, last)
