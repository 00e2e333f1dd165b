"""Small tastings to weigh, drawn from a seed. Invented, like every taster in them."""

from __future__ import annotations

import numpy as np
import polars as pl
from hypothesis import strategies as st


def tasting(
    *,
    sites: int = 3,
    tasters: int = 4,
    wines: int = 4,
    pours: int = 1,
    missing: float = 0.0,
    crossing: bool = False,
    sd: tuple[float, float, float, float] = (1.0, 0.5, 0.4, 0.7),
    gap: float = 0.5,
    seed: int = 0,
) -> pl.DataFrame:
    """Marks of `tasters` per site, wines `gap` points apart.

    `sd` are the standard deviations of taster, site, bottle and noise; a share `missing` of
    the marks is lost; with `crossing`, tasters go from site to site.
    """
    rng = np.random.default_rng(seed)
    shape = (sites, tasters, wines, pours)
    site, taster, wine, _ = (part.ravel() for part in np.indices(shape))
    taster = site * tasters + taster
    if crossing:
        site = rng.integers(sites, size=site.size)
    severity, room = rng.normal(0, sd[0], sites * tasters), rng.normal(0, sd[1], sites)
    bottle = rng.normal(0, sd[2], (sites, wines))
    marks = 12 + gap * wine + severity[taster] + room[site] + bottle[site, wine]
    frame = pl.DataFrame(
        {
            'taster': [f't{i:03d}' for i in taster],
            'site': [f's{i:02d}' for i in site],
            'wine': [f'w{i:02d}' for i in wine],
            'position': rng.integers(1, wines + 1, site.size).astype(float),
            'total': marks + rng.normal(0, sd[3], site.size),
        }
    )
    keep = rng.random(site.size) >= missing
    return frame.filter(pl.Series(keep))


tastings = st.builds(
    tasting,
    sites=st.integers(2, 4),
    tasters=st.integers(2, 4),
    wines=st.integers(2, 5),
    pours=st.integers(1, 2),
    missing=st.sampled_from([0.0, 0.2, 0.4]),
    sd=st.tuples(
        st.sampled_from([0.0, 1.0]),
        st.sampled_from([0.0, 0.6]),
        st.sampled_from([0.0, 0.4]),
        st.sampled_from([0.3, 1.0]),
    ),
    seed=st.integers(0, 10_000),
)

# With hardly any marks the criterion has several valleys and variances run away.
ordinary = tastings.filter(lambda frame: frame.height >= 20)
