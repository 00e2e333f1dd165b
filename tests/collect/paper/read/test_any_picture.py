"""Whatever a picture shows, it is held with a reason; nothing raises."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from numpy.typing import NDArray
from tests.collect.paper.read.pages import filled, read, room

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.model import HeldPage, PageReading
from halfpoint.collect.paper.read.read_page import PageReader
from halfpoint.collect.paper.read.source import Picture

Pixels = NDArray[np.uint8]
SIDES = st.one_of(st.integers(1, 12), st.integers(13, 400))


def assert_held(pixels: Pixels) -> None:
    """Held, in words of a refusal."""
    outcome = read(room(), pixels)
    assert isinstance(outcome, HeldPage)
    assert all((outcome.reason, outcome.found, outcome.expected, outcome.remedy))


@settings(max_examples=40)
@given(arrays.arrays(np.uint8, st.tuples(st.integers(1, 40), st.integers(1, 40))))
def test_any_small_picture_is_held(pixels: Pixels) -> None:
    """From one pixel on, whatever the greys."""
    assert_held(pixels)


@settings(max_examples=40)
@given(st.tuples(SIDES, SIDES), st.integers(0, 255), st.integers(0, 120), st.integers(0, 9))
def test_any_noise_is_held(shape: tuple[int, int], grey: int, noise: int, seed: int) -> None:
    """Constant greys and noise of any strength around them."""
    rng = np.random.default_rng(seed)
    spread = rng.integers(-noise, noise + 1, shape)
    assert_held(np.clip(grey + spread, 0, 255).astype(np.uint8))


# Some have a side that would be rounded to no pixel in the copy that markers are looked for in.
SHAPES = [(1, 1), (1, 1000), (40, 12_000), (30_000, 20), (1, 5000), (9000, 2), (3, 20_000)]


@pytest.mark.parametrize('shape', SHAPES)
@pytest.mark.parametrize('grey', ['white', 'stripes'])
def test_a_very_long_picture_is_held(shape: tuple[int, int], grey: str) -> None:
    """A strip of pixels, from a scanner that went on feeding, say."""
    pixels = np.full(shape, 255, np.uint8)
    if grey == 'stripes':
        pixels[::7] = 0
        pixels[:, ::5] = 30
    assert_held(pixels)


@settings(max_examples=20)
@given(st.floats(0, 1), st.floats(0, 1), st.floats(0.02, 0.5), st.floats(0.02, 0.5))
def test_a_quarter_of_a_page_is_held(left: float, top: float, width: float, height: float) -> None:
    """Whichever part of at most half the width and height is in view, it is not enough."""
    image = filled(room()).image
    rows, columns = image.shape
    y, x = round(top * (1 - height) * rows), round(left * (1 - width) * columns)
    part = image[y : y + max(1, round(height * rows)), x : x + max(1, round(width * columns))]
    assert_held(part)


def test_a_page_cut_off_at_a_side_is_read_right_or_held() -> None:
    """With less and less of the page in view: marks and ticks as they are, looks, or held."""
    page = filled(room())
    ticks = {box.key for box in page.block(4).boxes[::3] if box.key}
    for key in ticks:
        page.tick(4, key)
    whole = page.read()
    outcomes = [
        read(room(), page.image[: round(share * len(page.image))]) for share in (0.9, 0.7, 0.6, 0.4)
    ]
    for outcome in outcomes:
        if isinstance(outcome, PageReading):
            assert whole.payload == outcome.payload
            for pour, mine in zip(whole.pours, outcome.pours, strict=True):
                asked = {look.about or look.field for look in mine.looks}
                for key, value in mine.marks.items():
                    assert value == pour.marks[key] or key in asked
                assert {*pour.families, *pour.faults} <= {*mine.families, *mine.faults} | asked
                assert not mine.is_empty
    assert isinstance(outcomes[-1], HeldPage)


def test_what_is_covered_is_asked_about() -> None:
    """Under a slip of paper, boxes and a line: nothing is taken for unmarked."""
    page = filled(room())
    boxes = page.block(4).boxes
    areas = [each.area for box in boxes for each in (box, box.label)]
    left, top = min(each.left for each in areas), min(each.top for each in areas)
    right, bottom = max(each.right for each in areas), max(each.bottom for each in areas)
    page.paint(Rectangle(left, top, right - left, bottom - top))
    first, last = (page.row(3, 'aroma').bubbles[at].centre for at in (0, -1))
    page.paint(Rectangle(first.x - 3, first.y - 2.5, last.x - first.x + 6, 5), around=0)
    pours = page.read().pours
    assert {box.key or box.label.text for box in boxes} == {look.about for look in pours[3].looks}
    assert ['aroma'] == [look.field for look in pours[2].looks]
    assert pours[2].marks['aroma'] is None


def test_another_reader_reads_the_same() -> None:
    """What a reader saw before does not matter: a fresh one gives the same reading."""
    made, page = room(), filled(room())
    fresh = PageReader(made.planned, made.tasting)
    expected = read(made, page.image)
    assert isinstance(expected, PageReading)
    assert expected == fresh.read(Picture(page.image, bilevel=False))


def test_reading_leaves_the_picture_as_it_is() -> None:
    """The pixels handed in are not written on."""
    image = filled(room()).image
    before = image.copy()
    read(room(), image)
    assert (before == image).all()
