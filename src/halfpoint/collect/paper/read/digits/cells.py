"""One cell at a time: what is written in it, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.digits.network import KINDS, trained
from halfpoint.collect.paper.read.digits.shape import Floats, shape_of
from halfpoint.collect.paper.read.digits.traits import traits

# The ways to be empty or unreadable come last in KINDS.
_HALF, _DECIMAL_HALF, _UNREADABLE = (KINDS.index(kind) for kind in ('½', '.5', '?'))
# Where the likeliest text has no better chance than this, nothing is read.
_LIKELY = 0.5


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell.

    `text` is a digit, `½`, `.` (a dot or comma), '' for an empty cell, or `?` for ink that is no
    digit for sure. `confidence` is the chance from 0 to 1 that this is right.
    """

    text: str
    confidence: float


def read_cell(ink: NDArray[np.float32]) -> Cell:
    """Read one cell.

    `ink` has two axes, 0 for paper to 1 for full ink, about 8 pixels a millimetre, and shows one
    cell without its printed outline.
    """
    return read_cells([ink])[0]


def read_cells(inks: Sequence[NDArray[np.float32]]) -> list[Cell]:
    """Read many cells, of any sizes, at once; see `read_cell`."""
    return [_named(chances) for chances in cell_chances(inks)]


def cell_chances(inks: Sequence[NDArray[Any]]) -> Floats:
    """The chance of each of KINDS, a row for each cell; both ways of writing a half are `½`."""
    shapes = [shape_of(ink) for ink in inks]
    chances = np.zeros((len(inks), len(KINDS)), np.float32)
    chances[:, KINDS.index('')] = 1.0
    inked = [n for n, shape in enumerate(shapes) if shape is not None]
    found = trained().chances(traits([shape for shape in shapes if shape is not None]))
    found[:, _HALF] += found[:, _DECIMAL_HALF]
    found[:, _DECIMAL_HALF] = 0.0
    chances[inked] = found
    return chances


def _named(chances: Floats) -> Cell:
    best = int(chances[:_UNREADABLE].argmax())
    chance = min(1.0, float(chances[best]))
    if chance < _LIKELY:
        return Cell('?', 1.0 - chance)
    return Cell(KINDS[best], chance)
