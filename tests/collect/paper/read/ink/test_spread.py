"""How the ink of a mark is spread: strokes through it are told from the mark itself."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.spread import HALF, SPREAD, Cutouts, spread_traits
from halfpoint.collect.paper.read.scale import COARSE

RADIUS = 2.1
SIDE = 2 * HALF + 1
Image = NDArray[np.float32]


def disc(x: float = 0.0, y: float = 0.0, radius: float = RADIUS) -> Image:
    """A filled circle, its middle so many millimetres off that of the cutout."""
    at = (np.arange(SIDE) - HALF) / COARSE
    return np.asarray(np.hypot(at - x, at[:, None] - y) < radius, np.float32)


def struck(mark: Image, turn: float, reach: float = 4.2) -> Image:
    """The same with a line through its middle, so far to both sides, in millimetres."""
    drawn = mark.copy()
    along = reach * COARSE * np.array((np.cos(turn), np.sin(turn)))
    ends = [tuple(int(v) for v in np.rint(HALF + sign * along)) for sign in (-1, 1)]
    cv2.line(drawn, ends[0], ends[1], color=1.0, thickness=2)
    return drawn


def told(mark: Image, beside: Image | None = None) -> dict[str, float]:
    """The traits of one mark by name."""
    inks = [np.asarray(each[None], np.float32) for each in (mark, np.zeros_like(mark))]
    if beside is not None:
        inks[1] = np.asarray(beside[None], np.float32)
    own, other = (
        Cutouts(ink, ink > 0, np.full(ink.shape, fill_value=other, dtype=bool))
        for ink, other in zip(inks, (False, True), strict=True)
    )
    found = spread_traits(own, other, np.array([0.1]), 1.0, RADIUS)
    assert (1, len(SPREAD)) == found.shape
    return dict(zip(SPREAD, found[0].tolist(), strict=True))


def test_a_filled_circle_ends_at_its_outline() -> None:
    """As far out all around, to half a millimetre, and nothing beyond."""
    traits = told(disc())
    for name in ('extent, lower quartile', 'extent, median', 'largest extent', 'farthest through'):
        assert 1.0 == pytest.approx(traits[name], abs=0.25), name
    assert traits['darkest ray, far'] < 0.01
    assert 0 == traits['strokes farther out']
    assert 1.0 == pytest.approx(traits['share of the circle drawn'], abs=0.01)


@pytest.mark.parametrize('turn', np.linspace(0, np.pi, 9)[:-1])
def test_a_line_through_a_mark_is_seen_in_any_direction(turn: float) -> None:
    """Far out on both sides, and not across; the same mark without it shows nothing of it."""
    plain, crossed = told(disc()), told(struck(disc(), float(turn)))
    assert crossed['farthest through'] > 1.7
    assert plain['farthest through'] < 1.4
    assert crossed['farthest through, across that'] < 1.4
    assert crossed['darkest pair of rays, near'] > 0.3
    assert plain['darkest pair of rays, near'] < 0.03
    assert 2 == crossed['strokes farther out']


def test_two_lines_across_each_other_are_four_strokes() -> None:
    """A mark crossed out: both directions go far."""
    traits = told(struck(struck(disc(), 0.7), 0.7 + np.pi / 2))
    assert 4 == traits['strokes farther out']
    assert traits['farthest through, across that'] > 1.7


def test_a_mark_off_the_middle_is_looked_at_around_its_own() -> None:
    """Its extent is that of the same mark in the middle."""
    small = 1.2
    middle, off = told(disc(radius=small)), told(disc(0.7, -0.5, radius=small))
    assert off['off the middle of the circle'] == pytest.approx(
        np.hypot(0.7, 0.5) / RADIUS, abs=0.05
    )
    for name in ('extent, median', 'largest extent'):
        assert off[name] == pytest.approx(middle[name], abs=0.15)


def test_ink_of_the_next_circle_is_told_as_a_share() -> None:
    """Half as dark a mark beside is half the ink; none is none."""
    assert told(disc(), np.float32(0.5) * disc())[
        'all ink of the next, against the mark'
    ] == pytest.approx(0.5)
    assert 0 == told(disc())['all ink of the next, against the mark']


def test_an_empty_cutout_has_no_extent() -> None:
    """Finite figures where nothing is drawn."""
    traits = told(np.zeros((SIDE, SIDE), np.float32))
    assert all(np.isfinite(list(traits.values())))
    assert 0 == traits['largest extent']
