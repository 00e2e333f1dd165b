"""Laying a page flat: markers, then side squares, then the printed form itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.form_image import FormImage
from halfpoint.collect.paper.read.middle import median
from halfpoint.collect.paper.read.register.field import fit_field
from halfpoint.collect.paper.read.register.local import left_over
from halfpoint.collect.paper.read.register.matching import Match, find_patch
from halfpoint.collect.paper.read.register.patches import Patches
from halfpoint.collect.paper.read.register.placement import Placement, bend_of, flat, lay_flat
from halfpoint.collect.paper.read.register.walk import Walked
from halfpoint.collect.paper.read.scale import COARSE

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float32]
# How far patches are looked for, in millimetres: anchors, pieces, pieces once more.
_ANCHOR_REACH, _PIECE_REACH, _LAST_REACH = 4.0, 1.3, 0.7
_ANCHOR_LIKE, _PIECE_LIKE = 0.45, 0.4
# A page that a smooth bend explains this well, in millimetres, is not looked at once more.
_FLAT = 0.03
# So many squares tell how the edges are bent.
_BENDING = 6


@dataclass(frozen=True, slots=True)
class Straight:
    """A page laid flat. `likeness` is that of the anchors, `spread` what no bend explains (mm)."""

    placement: Placement
    likeness: float
    spread: float


def first_placement(walked: Walked) -> Placement:
    """The placement that markers and squares bear out, bent as far as they are."""
    if walked.squares < _BENDING:
        return flat(walked.matrix)
    matches = [
        Match(x, y, shift_x, shift_y, 1.0)
        for (x, y), (shift_x, shift_y) in zip(walked.places, walked.shifts, strict=True)
    ]
    return flat(walked.matrix).bent(bend_of(fit_field(matches, (1, 3)).field))


def straighten(
    picture: Pixels, placement: Placement, form: FormImage, patches: Patches
) -> Straight:
    """Bend a placement until the form lies where it was printed.

    Anchors, which cannot be mistaken for each other, are found first; only then the small pieces,
    many of which look alike, are looked for nearby.
    """
    page = _coarse(picture, placement)
    looked = [find_patch(page, form.coarse, area, _ANCHOR_REACH) for area in patches.anchors]
    likeness = median([match.likeness if match else 0.0 for match in looked])
    anchors = [match for match in looked if match and match.likeness >= _ANCHOR_LIKE]
    if len(anchors) < 3:
        return Straight(placement, likeness, float('inf'))
    marks = _found(page, form, patches.marks, _ANCHOR_REACH, _ANCHOR_LIKE)
    degrees = (2, 3) if len(anchors) + len(marks) >= 12 else (1, 1)
    placement = placement.bent(bend_of(fit_field(anchors + marks, degrees).field))
    for reach in (_PIECE_REACH, _LAST_REACH):
        page = _coarse(picture, placement)
        pieces = _found(page, form, patches.pieces + patches.marks, reach, _PIECE_LIKE)
        if len(pieces) < 12:
            return Straight(placement, likeness, float('inf'))
        fitted = fit_field(pieces, (3, 6))
        spread = median(np.hypot(*fitted.left.T))
        placement = placement.bent(bend_of(fitted.field) + left_over(pieces, fitted))
        if spread < _FLAT:
            break
    return Straight(placement, likeness, spread)


def _coarse(picture: Pixels, placement: Placement) -> Floats:
    return 255 - lay_flat(picture, placement, COARSE).astype(np.float32)


def _found(
    page: Floats, form: FormImage, areas: Sequence[Rectangle], reach: float, least: float
) -> list[Match]:
    matches = (find_patch(page, form.coarse, area, reach) for area in areas)
    return [match for match in matches if match and match.likeness >= least]
