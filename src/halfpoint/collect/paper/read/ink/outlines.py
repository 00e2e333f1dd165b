"""How dark the outline of each box is: what takes it away takes a light tick away, too."""

from __future__ import annotations

from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.form_image import FormImage
from halfpoint.collect.paper.read.ink.amounts import patches_at
from halfpoint.collect.paper.read.ink.targets import Targets
from halfpoint.collect.paper.read.middle import median
from halfpoint.collect.paper.read.scale import FINE

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
# A side of an outline is looked for this far from where it should be, since pages never lie quite
# flat, and held against the paper at these distances on both sides of it (mm).
_ON, _OFF = 0.27, (0.4, 0.65)
# The corners, where two sides meet, are left out (mm).
_CORNER = 0.45
_LEAST = 0.05


def outlines_of(above: Floats, printed: float, form: FormImage, targets: Targets) -> Array:
    """How dark the four sides of each box are, against what is usual on the page; (boxes, 4).

    1 is usual, 0 is gone; above 1 there is ink on it.  Sides stand above, below, left and right.

    Args:
        above: darkness of the page above the print, `FINE` pixels a millimetre.
        printed: how dark this page prints what the form says.
        form: the form.
        targets: of the page.
    """
    if not len(targets.corners):
        return np.zeros((0, 4))
    sides = _sides(above, targets) / _on_form(form, targets) + printed
    return np.asarray(sides / max(median(sides), _LEAST), float)


@lru_cache(maxsize=8)
def _on_form(form: FormImage, targets: Targets) -> Floats:
    return np.maximum(_sides(form.fine, targets), np.float32(1e-3))


def _sides(image: Floats, targets: Targets) -> Floats:
    """How much darker each side is than what is beside it; (boxes, 4)."""
    corners = targets.corners
    half = round(median(corners[:, 2] - corners[:, 0]) / 2, 2)
    filters = _filters(half)
    reach = (round(len(filters) ** 0.5) - 1) // 2
    patches = patches_at(image, (corners[:, :2] + corners[:, 2:]) / 2, reach)
    return np.asarray(patches.reshape(len(patches), -1) @ filters, np.float32)


@cache
def _filters(half: float) -> Floats:
    """A filter for each side of a box so large, as columns; (pixels, 4)."""
    reach = int((half + _OFF[1]) * FINE) + 1
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1] / FINE
    columns = [
        _band(np.abs(axis - side), np.abs(other) < half - _CORNER)
        for axis, other in ((y, x), (x, y))
        for side in (-half, half)
    ]
    return np.stack(columns, axis=1)


def _band(away: Array, along: NDArray[np.bool_]) -> Floats:
    """1 on a line and -1 beside it, by distance from it."""
    on = along & (away < _ON)
    off = along & (away > _OFF[0]) & (away < _OFF[1])
    return np.asarray(on / on.sum() - off / off.sum(), np.float32).ravel()
