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
    """Severity of each taster (T,), the bottles, and rooms (S,); None where not in the model."""

    severity: Floats | None
    bottles: Bottles | None
    rooms: Floats | None = None


def predict_nested(
    layout: NestedLayout, fit: RemlFit, scores: Scores, sums: TasterSums, response: int
) -> Predictions:
    """Predictions for tasters within sites; `response` is the mark's place among the sums."""
    ratio = dict(zip(layout.effects, fit.ratios.tolist(), strict=True))
    site, bottle = ratio.get('site', 0.0), ratio.get('bottle', 0.0)
    poured = np.zeros((int(sums.site.max()) + 1, sums.cells.shape[1]))
    rooms = np.zeros(len(poured))
    found: list[tuple[Codes, Codes, Floats, Floats]] = []
    numbers = _site_numbers(layout)
    for block, whole, _ in layout.site_parts(fit.ratios):
        count, width = block.cells.shape
        mine, numbers = numbers[:count], numbers[count:]
        through = _through(block.cells, whole, scores)
        effect = bottle * through
        spread = bottle - bottle**2 * _explained(block.cells, whole, scores, fit.residual)
        found.append((np.repeat(mine, width), block.cells.ravel(), effect.ravel(), spread.ravel()))
        room = site * through.sum(axis=1)
        rooms[mine] = room
        poured[mine, :width] = scores.estimates[block.cells] + effect + room[:, None]
    return Predictions(
        _severity(poured, scores, sums, response, ratio['taster']) if 'taster' in ratio else None,
        _bottles(found, fit.residual) if 'bottle' in ratio else None,
        rooms if 'site' in ratio else None,
    )


def _through(cells: Codes, whole: Floats, scores: Scores) -> Floats:
    """CᵀV⁻¹(y − Xβ̂) of each site's wines, (S, w)."""
    count, width = cells.shape
    slopes = np.broadcast_to(-scores.estimates[scores.wines :], (count, whole.shape[1] - width - 1))
    contrast = np.hstack([-scores.estimates[cells], slopes, np.ones((count, 1))])
    return np.asarray((whole[:, :width] @ contrast[:, :, None])[:, :, 0])


def _explained(cells: Codes, whole: Floats, scores: Scores, residual: float) -> Floats:
    """Diagonal of CᵀPC of each site's wines, P = V⁻¹ − V⁻¹X(XᵀV⁻¹X)⁻¹XᵀV⁻¹; (S, w)."""
    count, width = cells.shape
    others = np.arange(scores.wines, scores.estimates.size)
    columns = np.hstack([cells, np.broadcast_to(others, (count, others.size))])
    load = whole[:, :width, : width + others.size]
    fixed = scores.covariance[columns[:, :, None], columns[:, None, :]] / residual
    own = np.diagonal(whole[:, :width, :width], axis1=1, axis2=2)
    return np.asarray(own - np.einsum('sij,sjk,sik->si', load, fixed, load))


def _severity(
    poured: Floats, scores: Scores, sums: TasterSums, response: int, ratio: float
) -> Floats:
    """Shrunken sum of what each taster's marks leave of the pours' own scores, (T,)."""
    slopes = scores.estimates[scores.wines :]
    expected = (sums.cells * poured[sums.site]).sum(axis=1) + sums.rest[:, : slopes.size] @ slopes
    left = sums.rest[:, slopes.size + response] - expected
    return np.asarray(ratio / (1.0 + sums.count * ratio) * left)


def _site_numbers(layout: NestedLayout) -> Codes:
    """Site codes in the order in which the blocks hold them."""
    labels = [label for block in layout.moments.blocks for label in block.sites]
    code = {label: number for number, label in enumerate(sorted(labels))}
    return np.array([code[label] for label in labels], dtype=np.int64)


def _bottles(found: list[tuple[Codes, Codes, Floats, Floats]], residual: float) -> Bottles:
    site, wine, effect, spread = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return Bottles(site, wine, effect, np.sqrt(np.maximum(spread, 0.0) * residual))
