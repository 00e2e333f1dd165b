"""Cutting parts out of the kept picture of a page."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.collect.paper.print.layout import FRAME_HEIGHT, FRAME_WIDTH, Rectangle
from halfpoint.collect.paper.read.crop import crop_of, crop_png
from halfpoint.collect.paper.read.model import PICTURE_SCALE
from halfpoint.errors import NotAScan


def picture() -> bytes:
    """White, with a black square of 10 mm at 20, 30."""
    size = (round(FRAME_HEIGHT * PICTURE_SCALE), round(FRAME_WIDTH * PICTURE_SCALE))
    pixels = np.full(size, 255, np.uint8)
    pixels[150:200, 100:150] = 0
    return cv2.imencode('.jpg', pixels)[1].tobytes()


JPEG = picture()


def test_a_part_is_cut_by_millimetres() -> None:
    """The square and nothing else; with a margin, white around it."""
    area = Rectangle(20, 30, 10, 10)
    tight = crop_of(JPEG, area, margin_mm=0)
    loose = crop_of(JPEG, area, margin_mm=2)

    assert (50, 50) == tight.shape
    assert tight.mean() < 20
    assert (70, 70) == loose.shape
    assert loose[:5].min() > 200


def test_without_an_area_it_is_the_whole() -> None:
    """Also for an area of nothing."""
    assert (1285, 950) == crop_of(JPEG).shape == crop_of(JPEG, Rectangle(0, 0, 0, 0)).shape


def test_a_part_can_be_had_as_a_file() -> None:
    """A PNG that says the same."""
    area = Rectangle(20, 30, 10, 10)
    shown = cv2.imdecode(np.frombuffer(crop_png(JPEG, area), np.uint8), cv2.IMREAD_UNCHANGED)

    assert np.array_equal(shown, crop_of(JPEG, area))


@pytest.mark.parametrize('raw', [b'', b'no picture', JPEG[:40]])
def test_what_is_no_picture_is_refused(raw: bytes) -> None:
    """Rather than shown as nothing."""
    with pytest.raises(NotAScan):
        crop_of(raw)


@given(*[st.floats(-50, 400)] * 2, *[st.floats(0.1, 300)] * 2, st.floats(0, 20))
def test_any_area_gives_some_of_the_page(
    left: float, top: float, width: float, height: float, margin: float
) -> None:
    """Over the edge it is cut at the edge, and never empty."""
    part = crop_of(JPEG, Rectangle(left, top, width, height), margin_mm=margin)
    assert 0 < part.shape[0] <= 1285
    assert 0 < part.shape[1] <= 950
