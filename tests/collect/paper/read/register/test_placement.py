"""Places of the frame in a picture, and the picture laid flat."""

from __future__ import annotations

import cv2
import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.collect.paper.read.register.placement import (
    cut_flat,
    flat,
    lay_flat,
    nodes,
    to_picture,
)
from halfpoint.collect.paper.read.scale import FINE, MARGIN

TILTED = np.array([(7.6, 0.4, 50.0), (-0.3, 7.9, 70.0), (1e-4, -2e-4, 1.0)])


@given(st.lists(st.tuples(st.floats(-4, 194), st.floats(-4, 261)), min_size=1, max_size=9))
def test_places_in_the_picture_are_opencvs(places: list[tuple[float, float]]) -> None:
    """A homography as `cv2.perspectiveTransform` has it."""
    at = np.array(places)
    expected = cv2.perspectiveTransform(at[:, None, :], TILTED)[:, 0, :]
    assert np.abs(expected - to_picture(TILTED, at)).max() < 1e-6


def plain(scale: float) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """The matrix of a picture that is the frame with its margin."""
    offset = MARGIN * scale - 0.5
    return np.array([(scale, 0, offset), (0, scale, offset), (0, 0, 1)])


def test_a_flat_page_is_left_as_it_is() -> None:
    """Laid flat at its own scale, a picture of just the frame is itself."""
    rng = np.random.default_rng(1)
    rows, columns = nodes().shape[:2]
    shape = (round(rows * FINE), round(columns * FINE))
    small = rng.integers(0, 255, (shape[0] // 8, shape[1] // 8)).astype(np.uint8)
    picture = np.asarray(cv2.resize(small, shape[::-1]), np.uint8)
    laid = lay_flat(picture, flat(plain(FINE)), FINE)
    assert shape == laid.shape
    inside = (slice(8, -8),) * 2
    assert np.abs(picture[inside].astype(int) - laid[inside].astype(int)).max() <= 2


def test_a_bend_fetches_pixels_from_where_it_says() -> None:
    """Bent by 2 mm to the right, the page shows what lies 2 mm further right."""
    picture = np.full((265 * 4, 198 * 4), 255, np.uint8)
    picture[400:440, 400:440] = 0
    placement = flat(plain(4.0)).bent(np.broadcast_to((2.0, 0.0), nodes().shape))
    laid = lay_flat(picture, placement, 4.0)
    black = np.argwhere(laid < 128)
    assert ((400, 392), (439, 431)) == (tuple(black.min(axis=0)), tuple(black.max(axis=0)))


def test_a_cut_has_its_place_in_the_middle() -> None:
    """A square drawn around a place lies in the middle of its cut; beyond the picture is white."""
    picture = np.full((265 * 8, 198 * 8), 255, np.uint8)
    at = round((100 + MARGIN) * 8), round((50 + MARGIN) * 8)
    picture[at[0] - 8 : at[0] + 8, at[1] - 8 : at[1] + 8] = 0
    cut = cut_flat(picture, plain(8.0), (50.0, 100.0), 4.0, 8.0)
    assert (64, 64) == cut.shape
    black = np.argwhere(cut < 128)
    assert ((24, 24), (39, 39)) == (tuple(black.min(axis=0)), tuple(black.max(axis=0)))
    assert 255 == cut_flat(picture, plain(8.0), (-90.0, -90.0), 4.0, 8.0).min()
