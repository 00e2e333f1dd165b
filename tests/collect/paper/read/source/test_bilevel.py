"""A black-and-white scan is told from a grey one, however it was saved."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.collect.paper.read.source.made import page_pixels

from halfpoint.collect.paper.read.source.bilevel import is_bilevel

PAGE = page_pixels()
EMPTY = np.full_like(PAGE, 255)


def _saved(pixels: NDArray[np.uint8], quality: int) -> NDArray[np.uint8]:
    coded = cv2.imencode('.jpg', pixels, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE), dtype=np.uint8)


def _stretched(pixels: NDArray[np.uint8], black: int, white: int) -> NDArray[np.uint8]:
    span = (pixels.astype(float) - black) * 255 / (white - black)
    return np.clip(span, 0, 255).astype(np.uint8)


def _bordered(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    page = pixels.copy()
    page[:, :200] = 4
    page[-150:] = 6
    return page


@pytest.mark.parametrize('quality', [30, 50, 75, 95])
@pytest.mark.parametrize('level', [90, 128, 170, 210])
def test_a_thresholded_page_stays_black_and_white(level: int, quality: int) -> None:
    """Saving it as JPEG puts greys beside the edges and hides nothing."""
    page = np.where(level > PAGE, 0, 255).astype(np.uint8)

    assert is_bilevel(_saved(page, quality))
    assert is_bilevel(_saved(_bordered(page), quality))


@pytest.mark.parametrize('quality', [30, 50, 75, 95])
@pytest.mark.parametrize('levels', [(0, 255), (20, 235), (60, 200)])
def test_a_grey_page_stays_grey(levels: tuple[int, int], quality: int) -> None:
    """Nor does more contrast, or a black surround as big as a page, make it black and white."""
    page = _stretched(PAGE, *levels)

    assert not is_bilevel(_saved(page, quality))
    assert not is_bilevel(_saved(_bordered(page), quality))


@pytest.mark.parametrize('pixels', [EMPTY, EMPTY * 0, EMPTY[:1, :1], EMPTY[:, :1], EMPTY[:5]])
def test_a_page_without_an_edge_is_taken_for_grey(pixels: NDArray[np.uint8]) -> None:
    """Nothing can be told from an empty page, and nothing is said."""
    assert not is_bilevel(pixels)


def test_a_nearly_empty_grey_page_stays_grey() -> None:
    """White paper clipped to white with one soft line on it."""
    page = EMPTY.copy()
    cv2.line(page, (100, 100), (700, 140), 20, 3, cv2.LINE_AA)

    assert not is_bilevel(_saved(cv2.GaussianBlur(page, (0, 0), 0.7), 75))
