"""Patches are found where SciPy finds them, and below a pixel where they were put."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import shift
from scipy.signal import correlate2d
from tests.collect.paper.read.pages import room

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.form_image import form_image
from halfpoint.collect.paper.read.register.matching import find_patch
from halfpoint.collect.paper.read.register.patches import patches_of
from halfpoint.collect.paper.read.scale import COARSE, MARGIN

Floats = NDArray[np.float32]


@cache
def form() -> Floats:
    """The printed form, coarse."""
    return form_image(room().tasting, room().layout, 4, spare=False).coarse


def by_scipy(window: Floats, patch: Floats) -> NDArray[np.float64]:
    """Pearson's correlation of a patch with every part of a window, by its definition."""
    centred = patch.astype(float) - patch.mean()
    ones = np.ones(patch.shape)
    exact = window.astype(float)
    mean = correlate2d(exact, ones, mode='valid') / patch.size
    energy = correlate2d(exact**2, ones, mode='valid') - patch.size * mean**2
    found = correlate2d(exact, centred, mode='valid')
    return np.asarray(found / np.sqrt(np.maximum(energy, 1e-12) * (centred**2).sum()))


def test_the_best_place_and_its_likeness_are_scipys() -> None:
    """The peak of `scipy.signal.correlate2d`, normalised by hand, is the same peak."""
    rng = np.random.default_rng(3)
    noisy = np.asarray(form() + rng.normal(0, 0.15, form().shape), np.float32)
    # Rows from 20 and columns from 12: 20 by 32 pixels with 6 around them.
    area = Rectangle(12 / COARSE + 20, 20 / COARSE + 40, 8.0, 5.0)
    left, top = (round((edge + MARGIN) * COARSE) for edge in (area.left, area.top))
    patch = form()[top : top + 20, left : left + 32]
    window = noisy[top - 6 : top + 26, left - 6 : left + 38]
    scores = by_scipy(window, patch)
    row, column = np.unravel_index(int(scores.argmax()), scores.shape)
    match = find_patch(noisy, form(), area, 6 / COARSE)
    assert match is not None
    assert scores.max() == pytest.approx(match.likeness, abs=1e-4)
    assert abs((column - 6) / COARSE - match.shift_x) <= 0.5 / COARSE
    assert abs((row - 6) / COARSE - match.shift_y) <= 0.5 / COARSE


@pytest.mark.parametrize(('right', 'down'), [(0, 0), (0.13, -0.2), (-0.4, 0.31), (0.62, 0.07)])
def test_a_shift_is_found_below_a_pixel(right: float, down: float) -> None:
    """The form moved by SciPy's spline: anchors tell by how much, to 0.04 mm."""
    moved = shift(form(), (down * COARSE, right * COARSE), order=3)
    anchors = patches_of(room().layout, 4).anchors
    found = [find_patch(np.asarray(moved, np.float32), form(), area, 1.0) for area in anchors]
    for match in found:
        assert match is not None
        assert (right, down) == pytest.approx((match.shift_x, match.shift_y), abs=0.04)
        assert match.likeness > 0.8


@pytest.mark.parametrize(
    'area', [Rectangle(-9, 0, 5, 5), Rectangle(0, 257, 5, 9), Rectangle(188, 10, 9, 5)]
)
def test_what_lies_beyond_the_form_is_not_found(area: Rectangle) -> None:
    """A patch that is not wholly on the image is none."""
    assert find_patch(form(), form(), area, 1.0) is None


def test_an_empty_page_has_no_likeness() -> None:
    """On plain paper every patch scores nothing, or is not found."""
    paper = np.zeros_like(form())
    for area in patches_of(room().layout, 4).anchors:
        match = find_patch(paper, form(), area, 1.0)
        assert match is None or match.likeness < 0.1
