"""400,000 marks: 500 sites of 100 tasters each, 8 wines; taster, site and bottle random."""

from __future__ import annotations

import sys

import numpy as np

from halfpoint.demo.marks import HalfPoints, simulate_marks
from halfpoint.estimate.weigh import fit_mark
from measure.race import Race, run_race

SEED = 400
WINES = np.array([13.0, 13.2, 13.4, 13.5, 13.8, 13.9, 14.0, 14.4])
EFFECTS = ('taster', 'site', 'bottle')


def main() -> int:
    """Fit by both from marks in memory."""
    rng = np.random.default_rng(SEED)
    frame = simulate_marks(rng, WINES, 500, 100, rounding=HalfPoints())
    return run_race(
        Race(
            name='fit_nested',
            title='400,000 marks, tasters within sites: taster + site + bottle, wines fixed',
            seed=SEED,
            frame=frame,
            fit=lambda: fit_mark(frame, effects=EFFECTS),
            formula='total ~ wine + (1 | taster) + (1 | site) + (1 | site:wine)',
            least_ratio=60.0,
        )
    )


if __name__ == '__main__':
    sys.exit(main())
