"""Predicted effects of tasters and bottles when effects cross."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.crossed import CrossedLayout
from halfpoint.estimate.fit import RemlFit
from halfpoint.estimate.predict import Bottles, Predictions

Floats = NDArray[np.float64]


def predict_crossed(layout: CrossedLayout, fit: RemlFit) -> Predictions:
    """Predictions when effects cross."""
    done = layout.absorb_all(fit.ratios)
    contrast = np.append(-fit.at.coefficients, 1.0)
    effects = done.pull @ contrast
    named = {f.name: i for i, f in enumerate(layout.factors)}
    severity = None
    if 'taster' in named:
        severity = _effect(layout, fit, effects, named['taster'])
    rooms = _effect(layout, fit, effects, named['site']) if 'site' in named else None
    bottles = _crossed_bottles(layout, fit, effects, named.get('bottle'))
    return Predictions(severity, bottles, rooms)


def _effect(layout: CrossedLayout, fit: RemlFit, effects: Floats, which: int) -> Floats:
    if which != layout.eliminated:
        return effects[layout.columns_of(which)]
    weights = np.concatenate([-effects, -fit.at.coefficients, [1.0]])
    ratio = float(fit.ratios[which])
    return np.asarray(ratio * layout.taster_level(ratio) * (layout.row_sums @ weights))


def _crossed_bottles(
    layout: CrossedLayout, fit: RemlFit, effects: Floats, which: int | None
) -> Bottles | None:
    if which is None:
        return None
    effect = _effect(layout, fit, effects, which)
    done = layout.absorb_all(fit.ratios)
    fixed = done.pull[:, :-1]
    if which == layout.eliminated:
        ratio = float(fit.ratios[which])
        level = ratio * layout.taster_level(ratio)
        rows = layout.row_sums[:, :-1].toarray()
        random = fixed.shape[0]
        load = rows[:, random:] - rows[:, :random] @ fixed
        unit = level + level**2 * (
            np.einsum('fi,ij,fj->f', rows[:, :random], done.gain, rows[:, :random])
            + np.einsum('fi,ij,fj->f', load, fit.at.inverse, load)
        )
    else:
        own = layout.columns_of(which)
        load = fixed[own]
        unit = np.diagonal(done.gain)[own] + np.einsum('fi,ij,fj->f', load, fit.at.inverse, load)
    site, wine = layout.bottle_codes
    return Bottles(site, wine, effect, np.sqrt(np.maximum(unit, 0.0) * fit.residual))
