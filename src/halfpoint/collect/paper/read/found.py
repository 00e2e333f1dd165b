"""Finding which page a picture shows, and how it lies in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Layout
from halfpoint.collect.paper.read.codes import read_codes
from halfpoint.collect.paper.read.expected import PlannedPage, PlannedPages
from halfpoint.collect.paper.read.model import HeldPage
from halfpoint.collect.paper.read.register.markers import Markers, corner_pairs, find_markers
from halfpoint.collect.paper.read.register.placement import Placement
from halfpoint.collect.paper.read.register.straighten import first_placement
from halfpoint.collect.paper.read.register.walk import walk

Pixels = NDArray[np.uint8]
_FEWEST_MARKERS = 2
_FEWEST_SQUARES = 3
_BLANK = 8.0
_AGAIN = "scan or photograph it again"


@dataclass(frozen=True, slots=True)
class Found:
    """A page of the plan and where it lies in the picture, flat as far as is known."""

    page: PlannedPage
    placement: Placement


def find_page(picture: Pixels, planned: PlannedPages, layout: Layout) -> Found | HeldPage:
    """Find the page in a grey picture by its markers, squares and codes.

    Args:
        picture: grey.
        planned: the pages there can be.
        layout: any layout: markers, squares and codes stand alike on all of them.
    """
    markers = find_markers(picture)
    if markers.twice:
        return _two_pages()
    if len(markers.seen) < _FEWEST_MARKERS:
        return _no_corners(picture, markers)
    frame, seen = corner_pairs(markers, layout)
    walked = walk(picture, frame, seen, layout)
    squares, matrix = walked.squares, walked.matrix
    if squares < _FEWEST_SQUARES:
        return HeldPage(
            'squares',
            f"{len(markers.seen)} corner markers, but {squares} of the ten squares at the sides",
            "a whole score sheet, with the squares at its sides in view",
            f"{_AGAIN}, the whole sheet in view and nothing over its edges",
        )
    said = read_codes(picture, matrix, layout.codes)
    if len(said) > 1:
        return _two_pages()
    if not said:
        return HeldPage(
            'no-code',
            "neither of the two square codes can be read",
            "at least one of them whole and sharp",
            f"{_AGAIN} without glare over the codes, or enter the sheet by hand",
        )
    page = planned.find(said[0])
    return page if isinstance(page, HeldPage) else Found(page, first_placement(walked))


def _two_pages() -> HeldPage:
    return HeldPage(
        'two-pages',
        "marks of more than one sheet in one picture",
        "one sheet in each picture",
        f"{_AGAIN}, each sheet by itself",
    )


def _no_corners(picture: Pixels, markers: Markers) -> HeldPage:
    if not markers.seen and float(picture[::8, ::8].std()) < _BLANK:
        return HeldPage(
            'blank',
            "an empty page",
            "a score sheet",
            "nothing, if it is the back of a sheet; else scan it again, darker",
        )
    found = "no corner marker" if not markers.seen else "one corner marker of four"
    return HeldPage(
        'corners',
        f"{found} of a score sheet",
        "a whole score sheet, with at least two corners in view",
        f"{_AGAIN} with all four corners in view; other papers can be left out",
    )
