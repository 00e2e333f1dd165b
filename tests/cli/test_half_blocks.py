"""A grey picture in a terminal."""

from __future__ import annotations

import re

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.cli._half_blocks import half_blocks, terminal_shows_grey


def test_two_rows_of_pixels_make_a_line() -> None:
    """The upper pixel colours the letter, the lower its ground; colours end with the line."""
    pixels = np.array([[0, 255], [9, 8], [1, 2], [3, 4]], dtype=np.uint8)
    first, second = half_blocks(pixels, 80).split('\n')

    dark, light = '\x1b[38;2;0;0;0m\x1b[48;2;9;9;9m▀', '\x1b[38;2;255;255;255m\x1b[48;2;8;8;8m▀'
    assert f'{dark}{light}\x1b[0m' == first
    assert 2 == second.count('▀')


@given(st.integers(1, 400), st.integers(1, 900), st.integers(1, 200))
def test_pictures_of_any_shape_fit(height: int, width: int, columns: int) -> None:
    """No line is wider than asked for, all are equally wide, and none has half a letter."""
    shown = half_blocks(np.full((height, width), 200, dtype=np.uint8), columns)
    widths = {len(re.findall('▀', line)) for line in shown.split('\n')}

    assert {min(width, columns)} == widths
    assert {'200'} == set(re.findall(r'2;(\d+);', shown))


def test_what_is_no_terminal_shows_no_grey() -> None:
    """Output that goes elsewhere is not filled with colours."""
    assert not terminal_shows_grey()
