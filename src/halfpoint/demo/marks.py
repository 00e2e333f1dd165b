"""Totals drawn straight from the model of the estimate, for benches and coverage."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from halfpoint.demo.orders import balanced_orders, positions

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Components:
    """Standard deviations, in points, of what is added to a wine's true score."""

    taster: float = 1.0
    site: float = 0.3
    bottle: float = 0.4
    residual: float = 1.25


@dataclass(frozen=True, slots=True)
class HalfPoints:
    """Marks as people write them: in steps, and never above the top or below nothing."""

    step: float = 0.5
    top: float = 20.0


def simulate_marks(
    rng: np.random.Generator,
    wines: Floats,
    sites: int,
    tasters_per_site: int,
    components: Components = Components(),
    *,
    position_slope: float = 0.0,
    rounding: HalfPoints | None = None,
    missing: float = 0.0,
) -> pl.DataFrame:
    """Marks of tasters within sites, every taster for every wine, drawn from the model.

    y = wine + slope · (position - middle) + taster + site + bottle + residual, all normal
    (statistics.md, section 1), unless `rounding` asks for half points and a ceiling.

    Args:
        rng: where the chance comes from.
        wines: true scores in points, shape (wines,).
        sites: how many rooms, each with its own bottles.
        tasters_per_site: how many tasters in each room.
        components: standard deviations in points.
        position_slope: points added per place later in the serving order.
        rounding: steps and ceiling; without it marks are continuous and unbounded.
        missing: share of marks left out at random, 0 to below 1.

    Returns:
        One row per mark: taster, site, wine (Enum of labels t1…, s1…, w1…), position (from 1),
        total (points); by taster, then wine. A label exists even if all its marks are missing.
    """
    count, tasters = len(wines), sites * tasters_per_site
    site = np.repeat(np.arange(sites), tasters_per_site)
    order = positions(balanced_orders(count))
    place = order[np.arange(tasters) % len(order)]
    total = (
        wines
        + position_slope * (place - (count + 1) / 2)
        + rng.normal(0, components.taster, (tasters, 1))
        + rng.normal(0, components.site, sites)[site, None]
        + rng.normal(0, components.bottle, (sites, count))[site]
        + rng.normal(0, components.residual, (tasters, count))
    )
    if rounding is not None:
        total = np.clip(np.round(total / rounding.step) * rounding.step, 0, rounding.top)
    frame = pl.DataFrame(
        {
            'taster': _labels('t', np.repeat(np.arange(tasters), count), tasters),
            'site': _labels('s', np.repeat(site, count), sites),
            'wine': _labels('w', np.tile(np.arange(count), tasters), count),
            'position': place.ravel().astype(np.int32),
            'total': total.ravel(),
        }
    )
    return frame.filter(rng.random(len(frame)) >= missing) if missing else frame


def _labels(letter: str, codes: NDArray[np.intp], count: int) -> pl.Series:
    names = [f'{letter}{number}' for number in range(1, count + 1)]
    return pl.Series(names, dtype=pl.Enum(names)).gather(codes)
