"""Components from mean squares, where the marks are complete and even: these may be negative."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from halfpoint.estimate.design import Design
from halfpoint.estimate.scale.from_weighing import cube_of
from halfpoint.panel.generalizability import Facets, crossed, nested
from halfpoint.panel.two_way import Floats

# Without rooms in the model, what one taster adds, to every wine and to one.
ALONE: Mapping[Facets, Facets] = {
    frozenset({'wine'}): frozenset({'wine'}),
    frozenset({'taster'}): frozenset({'site', 'taster'}),
    frozenset({'wine', 'taster'}): frozenset({'wine', 'site', 'taster'}),
}


def estimates_from_squares(design: Design, marks: Floats) -> dict[Facets, float]:
    """Components of the model in `design`, by facets named as in `generalizability.from_fit`.

    Empty where not every taster marked every wine, where rooms differ in how many taste, or
    where the model has some of taster, site and bottle that the design does not part.

    Args:
        design: with its random effects.
        marks: one kind of mark less what covariates add, shape (n,).
    """
    effects = {effect.name for effect in design.effects}
    if design.taster is None or min(design.wine.size, design.taster.size) < 2:
        return {}
    cube = cube_of(design, marks)
    if cube is None or len(cube) != design.taster.size:
        return {}
    table = cube.mean(axis=2).T
    if effects == {'taster'}:
        found = crossed(table, ('wine', 'taster'))
        return {ALONE[each.facets]: each.estimate for each in found}
    if effects == {'taster', 'site', 'bottle'}:
        by_room = _by_room(design, table)
        return {} if by_room is None else {each.facets: each.estimate for each in nested(by_room)}
    return {}


def _by_room(design: Design, table: Floats) -> Floats | None:
    """Shape (wines, rooms, tasters in each); None for one room, or rooms of unlike size."""
    if design.site is None or design.taster is None or design.site.size < 2:
        return None
    met = np.unique(np.stack([design.site.codes, design.taster.codes]), axis=1)
    here = np.bincount(met[0], minlength=design.site.size)
    even = here.min() == here.max() >= 2 and met.shape[1] == design.taster.size
    return table[:, met[1]].reshape(len(table), design.site.size, -1) if even else None
