"""Pages in known perspectives and bends are laid flat again, to a fraction of a millimetre."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator
from tests.collect.paper.read.pages import filled, room
from tests.collect.paper.read.register.bends import BENDS, Bent, bent, slight

from halfpoint.collect.paper.read.form_image import form_image
from halfpoint.collect.paper.read.found import Found, find_page
from halfpoint.collect.paper.read.ink.targets import targets_of
from halfpoint.collect.paper.read.register.markers import corner_pairs, find_markers
from halfpoint.collect.paper.read.register.patches import patches_of
from halfpoint.collect.paper.read.register.placement import Placement, nodes, to_picture
from halfpoint.collect.paper.read.register.straighten import Straight, straighten
from halfpoint.collect.paper.read.register.walk import walk

Grid = NDArray[np.float64]


def taken(kind: str, most: float, turn: float = 0.02, tilt: float = 0.05) -> Bent:
    """A page on which every line is marked, bent and photographed."""
    page = filled(room())
    return bent(page.raster, page.image, kind, most, slight(page.image, turn, tilt))


def centres() -> Grid:
    """The middles of all bubbles; (n, 2) millimetres of the frame."""
    return targets_of(room().layout, 4).centres


def placed(placement: Placement, places: Grid) -> Grid:
    """Where a placement has places of the frame, in pixels of the picture."""
    axes = nodes()[:, 0, 1], nodes()[0, :, 0]
    bend = RegularGridInterpolator(axes, placement.bend)(places[:, ::-1])
    return to_picture(placement.matrix, places + bend)


def straightened(page: Bent) -> Straight:
    """A picture found and laid flat, as the reader does."""
    made = room()
    found = find_page(page.picture, made.planned, made.layout)
    assert isinstance(found, Found), found
    form = form_image(made.tasting, made.layout, 4, spare=False)
    return straighten(page.picture, found.placement, form, patches_of(made.layout, 4))


@pytest.mark.parametrize(
    ('turn', 'most'), [(0.0, 0.1), (1.57, 0.1), (3.14, 0.1), (0.3, 0.5), (4.6, 0.5)]
)
def test_corners_of_markers_are_found_in_perspective(turn: float, most: float) -> None:
    """All four: to 0.1 mm fed any way round, to 0.5 mm where a turned page is shown smaller."""
    page = taken('flat', 0, turn, 0.12)
    markers = find_markers(page.picture)
    frame, seen = corner_pairs(markers, room().layout)
    assert [0, 1, 2, 3] == sorted(each.marker for each in markers.seen)
    assert page.off(frame, seen).max() < most


@pytest.mark.parametrize('kept', list(combinations(range(4), 2)))
def test_any_two_markers_and_the_squares_carry_over_the_page(kept: tuple[int, int]) -> None:
    """Walking from square to square places every bubble of a flat page to half a millimetre."""
    page, layout = taken('flat', 0), room().layout
    frame, seen = corner_pairs(find_markers(page.picture), layout)
    chosen = [4 * marker + k for marker in kept for k in range(4)]
    order = [each.marker for each in find_markers(page.picture).seen]
    rows = [4 * order.index(n // 4) + n % 4 for n in chosen]
    walked = walk(page.picture, frame[rows], seen[rows], layout)
    assert 10 == walked.squares
    assert page.off(centres(), to_picture(walked.matrix, centres())).max() < 0.5


# A flat page in perspective, then bends of so many millimetres.
CASES = [('flat', 0.0), ('curled', 2.0), *((kind, 6.0) for kind in BENDS if kind != 'flat')]


@pytest.mark.parametrize(('kind', 'most'), CASES)
def test_a_known_bend_is_undone(kind: str, most: float) -> None:
    """Every bubble is found to a quarter of a millimetre, whatever smooth bend lay over it."""
    page = taken(kind, most)
    off = page.off(centres(), placed(straightened(page).placement, centres()))
    assert off.max() < 0.25
