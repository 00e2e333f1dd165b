"""The spoiled bottle: how often it is found, and how often a sound one is suspected.

20 sites of 12 tasters, 8 wines, marks in half points up to 20, standard deviations as
everywhere in bench/; serving position and its slope. One bottle's effect is -2.5 points, of which
four tasters in ten tick a fault; three in a hundred do of any sound pour. Alone: without ticks.
A stated aim: found 95 times in 100, under 1 false suggestion in 20 clean tastings.
"""

from __future__ import annotations

import argparse
import time

import numpy as np
import polars as pl

from halfpoint.demo.marks import Components
from halfpoint.demo.orders import balanced_orders, positions
from halfpoint.estimate.bottles import suspect_bottles
from halfpoint.estimate.weigh import fit_mark
from measure.figures import describe, keep, machine

SITES, TASTERS, WINES = 20, 12, 8
SPOILED, POINTS = (3, 5), -2.5
TICKED, TICKED_OF_SOUND = 0.4, 0.03


def tasting(seed: int, *, spoiled: bool) -> tuple[pl.DataFrame, np.ndarray]:
    """Marks, and whether each entry ticked a fault."""
    rng = np.random.default_rng(seed)
    sd = Components()
    taster, wine = np.indices((SITES * TASTERS, WINES)).reshape(2, -1)
    site = taster // TASTERS
    bottle = rng.normal(0, sd.bottle, (SITES, WINES))
    if spoiled:
        bottle[SPOILED] = POINTS
    orders = balanced_orders(WINES)
    place = positions(orders)[np.arange(SITES * TASTERS) % len(orders)][taster, wine]
    total = (
        rng.normal(14.5, 0.8, WINES)[wine]
        - 0.06 * place
        + rng.normal(0, sd.taster, SITES * TASTERS)[taster]
        + rng.normal(0, sd.site, SITES)[site]
        + bottle[site, wine]
        + rng.normal(0, sd.residual, len(wine))
    )
    here = spoiled & (site == SPOILED[0]) & (wine == SPOILED[1])
    faulty = rng.random(len(wine)) < np.where(here, TICKED, TICKED_OF_SOUND)
    frame = pl.DataFrame(
        {
            'taster': [f't{number}' for number in taster],
            'site': [f's{number}' for number in site],
            'wine': [f'w{number}' for number in wine],
            'position': place,
            'total': np.clip(np.round(total * 2) / 2, 0, 20),
        }
    )
    return frame, faulty


def suggested(seed: int, *, spoiled: bool, ticks: bool) -> list[tuple[str, str]]:
    """Which bottles are suggested."""
    frame, faulty = tasting(seed, spoiled=spoiled)
    fit = fit_mark(frame, 'total', covariates=['position'])
    found = suspect_bottles(fit, faulty if ticks else None, top=20.0)
    return [(bottle.site, bottle.wine) for bottle in found if bottle.suggested]


def main() -> None:
    """Count over many tastings."""
    parser = argparse.ArgumentParser()
    parser.add_argument('--tastings', type=int, default=400)
    count = parser.parse_args().tastings
    on = machine()
    print(describe(on))
    figures: dict[str, object] = {'tastings': count}
    for name, ticks in (('with_ticks', True), ('marks_alone', False)):
        began = time.perf_counter()
        bad = [suggested(seed, spoiled=True, ticks=ticks) for seed in range(count)]
        clean = [suggested(10_000 + seed, spoiled=False, ticks=ticks) for seed in range(count)]
        true = (f's{SPOILED[0]}', f'w{SPOILED[1]}')
        figures[name] = {
            'found': sum(true in each for each in bad) / count,
            'false_beside_it': sum(len([b for b in each if b != true]) for each in bad) / count,
            'false_a_clean_tasting': sum(map(len, clean)) / count,
            'seconds_a_tasting': (time.perf_counter() - began) / (2 * count),
        }
        print(name, figures[name])
    keep('bottles', on, figures)


if __name__ == '__main__':
    main()
