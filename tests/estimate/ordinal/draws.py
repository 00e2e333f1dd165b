"""Small tables of ordered steps, drawn from a seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st

from halfpoint.estimate.ordinal.links import Link
from halfpoint.estimate.ordinal.rows import Rows

THRESHOLDS = np.array([-1.8, -0.5, 0.6, 1.9])


@dataclass(frozen=True)
class Table:
    """Steps of tasters in rooms, sorted by taster; one covariate."""

    step: np.ndarray
    wine: np.ndarray
    taster: np.ndarray
    site: np.ndarray
    covariates: np.ndarray

    @property
    def bottle(self) -> np.ndarray:
        """Codes of site and wine together."""
        return np.unique(self.site * 100 + self.wine, return_inverse=True)[1]

    def rows(self, link: Link) -> Rows:
        """As the likelihoods take them."""
        steps, wines = int(self.step.max()) + 1, int(self.wine.max()) + 1
        return Rows(link, self.step, steps, self.wine, wines, self.covariates)


def table(
    seed: int = 0,
    sites: int = 3,
    tasters: int = 5,
    wines: int = 4,
    spread: float = 1.0,
    room: float = 0.5,
    missing: float = 0.1,
) -> Table:
    """Five steps; wines half a unit apart; every step and wine kept in."""
    rng = np.random.default_rng(seed)
    site, taster, wine = (part.ravel() for part in np.indices((sites, tasters, wines)))
    taster = site * tasters + taster
    x = rng.normal(size=site.size)
    hidden = 0.5 * wine + 0.3 * x + spread * rng.normal(size=sites * tasters)[taster]
    hidden += (
        room * rng.normal(size=sites)[site] + room * rng.normal(size=(sites, wines))[site, wine]
    )
    step = np.searchsorted(THRESHOLDS, hidden - 0.25 * (wines - 1) + rng.logistic(size=site.size))
    keep = (rng.random(site.size) >= missing) | (taster == 0) | (wine == 0)
    step[:5] = np.arange(5)
    return Table(step[keep], wine[keep], taster[keep], site[keep], x[keep][:, None])


tables = st.builds(
    table,
    seed=st.integers(0, 10_000),
    sites=st.integers(2, 4),
    tasters=st.integers(2, 6),
    wines=st.integers(3, 5),
    spread=st.sampled_from([0.0, 1.0, 3.0]),
    room=st.sampled_from([0.0, 0.7]),
    missing=st.sampled_from([0.0, 0.3]),
)


def theta_for(rows: Rows, spreads: int, seed: int) -> np.ndarray:
    """Some parameters, thresholds ascending."""
    rng = np.random.default_rng(seed)
    cuts = np.cumsum(rng.uniform(0.3, 1.5, rows.cut_points)) - 2.0
    others = rng.normal(0.0, 0.7, rows.located - rows.cut_points)
    return np.concatenate([cuts, others, rng.uniform(0.1, 4.0, spreads)])
