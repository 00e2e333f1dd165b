"""Predicted effects: how severe each taster was, and what each bottle added.

Best linear unbiased predictions (shrunken towards zero) from the same sums as the fit.
Reference: Bates, Mächler, Bolker and Walker (2015), J. Stat. Softw. 67(1), section 3.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.fit import RemlFit
from halfpoint.estimate.moments import TasterSums
from halfpoint.estimate.nested import NestedLayout
from halfpoint.estimate.scores import Scores

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Bottles:
    """Effect and standard error of each site's bottle; `site` and `wine` are codes (b,)."""

    site: Codes
    wine: Codes
    effect: Floats
    se: Floats


@dataclass(frozen=True, slots=True)
class Predictions:
    """Severity of each taster (T,), and the bottles; None where not in the model."""

    severity: Floats | None
    bottles: Bottles | None


def predict_nested(
    layout: NestedLayout, fit: RemlFit, scores: Scores, sums: TasterSums, response: int
) -> Predictions:
    """Predictions for tasters within sites; `response` is the mark's place among the sums."""
    ratio = dict(zip(layout.effects, fit.ratios.tolist(), strict=True))
    unit = scores.covariance / fit.residual
    wines, extra = scores.wines, scores.estimates.size - scores.wines
    slopes = scores.estimates[wines:]
    taster = ratio.get('taster', 0.0)
    severity = np.zeros(sums.site.size)
    found: list[tuple[Codes, Codes, Floats, Floats]] = []
    start = 0
    site_number = _site_numbers(layout)
    for block, whole, _ in layout.site_parts(fit.ratios):
        count, width = block.cells.shape
        known = scores.estimates[block.cells]
        contrast = np.hstack(
            [-known, np.broadcast_to(-slopes, (count, extra)), np.ones((count, 1))]
        )
        through = (whole[:, :width] @ contrast[:, :, None])[:, :, 0]
        bottle = ratio.get('bottle', 0.0)
        room = ratio.get('site', 0.0) * through.sum(axis=1)
        effect = bottle * through
        columns = np.hstack(
            [block.cells, np.broadcast_to(np.arange(wines, wines + extra), (count, extra))]
        )
        load = whole[:, :width, : width + extra]
        fixed = unit[columns[:, :, None], columns[:, None, :]]
        explained = np.einsum('sij,sjk,sik->si', load, fixed, load)
        own = np.diagonal(whole[:, :width, :width], axis1=1, axis2=2)
        spread = bottle - bottle**2 * (own - explained)
        numbers = site_number[start : start + count]
        found.append(
            (np.repeat(numbers, width), block.cells.ravel(), effect.ravel(), spread.ravel())
        )
        base = np.zeros((sums.site.max() + 1, sums.cells.shape[1]))
        base[numbers, :width] = known + effect + room[:, None]
        mine = np.isin(sums.site, numbers)
        expected = (sums.cells[mine] * base[sums.site[mine]]).sum(axis=1)
        rest = sums.rest[mine]
        left = rest[:, extra + response] - rest[:, :extra] @ slopes - expected
        severity[mine] = taster / (1.0 + sums.count[mine] * taster) * left
        start += count
    return Predictions(
        severity if 'taster' in ratio else None,
        _bottles(found, fit.residual) if 'bottle' in ratio else None,
    )


def _site_numbers(layout: NestedLayout) -> Codes:
    """Site codes in the order in which the blocks hold them."""
    labels = [label for block in layout.moments.blocks for label in block.sites]
    code = {label: number for number, label in enumerate(sorted(labels))}
    return np.array([code[label] for label in labels], dtype=np.int64)


def _bottles(found: list[tuple[Codes, Codes, Floats, Floats]], residual: float) -> Bottles:
    site, wine, effect, spread = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return Bottles(site, wine, effect, np.sqrt(np.maximum(spread, 0.0) * residual))
