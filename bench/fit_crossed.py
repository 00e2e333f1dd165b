"""73,000 ratings by 3,000 raters of 1,100 items, both random and crossed at random."""

from __future__ import annotations

import sys

import numpy as np
import polars as pl

from halfpoint.estimate.weigh import fit_mark
from measure.race import Race, run_race

SEED = 73
MARKS, TASTERS, WINES = 73_000, 3_000, 1_100


def ratings(rng: np.random.Generator) -> pl.DataFrame:
    """Who rates what is drawn at random: about 24 ratings a rater, 66 an item."""
    taster, wine = rng.integers(TASTERS, size=MARKS), rng.integers(WINES, size=MARKS)
    total = (
        13.0
        + rng.normal(0, 0.9, TASTERS)[taster]
        + rng.normal(0, 1.0, WINES)[wine]
        + rng.normal(0, 1.8, MARKS)
    )
    return pl.DataFrame(
        {
            'taster': pl.Series(taster).cast(pl.String).cast(pl.Categorical),
            'wine': pl.Series(wine).cast(pl.String).cast(pl.Categorical),
            'total': np.round(total * 2.0) / 2.0,
        }
    )


def main() -> int:
    """Fit by both from ratings in memory."""
    frame = ratings(np.random.default_rng(SEED))
    return run_race(
        Race(
            name='fit_crossed',
            title='73,000 ratings, 3,000 raters by 1,100 items crossed, both random',
            seed=SEED,
            frame=frame,
            fit=lambda: fit_mark(frame, effects=('taster',), wines='random'),
            formula='total ~ 1 + (1 | taster) + (1 | wine)',
            least_ratio=12.0,
        )
    )


if __name__ == '__main__':
    sys.exit(main())
