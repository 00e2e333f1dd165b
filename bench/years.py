"""Does a taster's own past help? Simulated societies whose members' severity is known.

The same members mark other wines in each of several years. Severity changes from year to year as
an autoregression that keeps a share of it, from nothing to nearly all; how much is found from the
marks. The last year is weighed without and with the years before it, as `halfpoint results --years`
does, and held against the truth.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.estimate.findings import Findings
from halfpoint.estimate.result import About, Model
from halfpoint.estimate.weigh import MarkToWeigh
from halfpoint.publish.export.document import document, plain
from halfpoint.publish.whole_result import Depth, whole_result
from halfpoint.teach.own_past import with_past
from halfpoint.teach.years import Years, year_of
from measure.figures import describe, keep, machine, print_table

SEED = 20
SITES, TASTERS, WINES, YEARS = 8, 10, 6, 3
SEVERITY, SITE, BOTTLE, RESIDUAL = 0.9, 0.3, 0.4, 1.25
KEPT = (0.0, 0.5, 0.8, 0.95)
DEPTH = Depth(order=False, bottles=False, aroma=False)


@dataclass(frozen=True)
class Errors:
    """Of the last year's severities: root mean square error, and how often intervals hold."""

    alone: float
    past: float
    held_alone: float
    held_past: float


def main() -> int:
    """Measure, print, keep; 1 when a past that is as assumed does not help."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument('--societies', type=int, default=8, help="societies for each share")
    asked = options.parse_args()
    on = machine()
    found = {kept: measure(kept, asked.societies) for kept in KEPT}
    rows = [('machine', describe(on))]
    for kept, errors in found.items():
        held_so = f'{100 * errors.held_alone:.1f} → {100 * errors.held_past:.1f} %'
        said = f'error {errors.alone:.2f} → {errors.past:.2f} points, intervals hold {held_so}'
        rows.append((f'severity keeps {kept:g} a year', said))
    print_table(f'own past as the prior (seed {SEED}, {asked.societies} societies each)', rows)
    figures = {
        f'kept_{kept:g}': {
            'error_alone': round(errors.alone, 3),
            'error_with_past': round(errors.past, 3),
            'held_alone': round(errors.held_alone, 3),
            'held_with_past': round(errors.held_past, 3),
        }
        for kept, errors in found.items()
    }
    keep('years', on, figures | {'societies': asked.societies, 'tasters': SITES * TASTERS})
    return 0 if found[0.8].past < found[0.8].alone else 1


def measure(kept: float, societies: int) -> Errors:
    """Over societies whose members keep such a share."""
    told = [society(np.random.default_rng([SEED, round(100 * kept), at]), kept)
            for at in range(societies)]  # fmt: skip
    alone, past = (np.concatenate(each) for each in zip(*told, strict=True))
    return Errors(
        float(np.sqrt(np.mean(np.square(alone[:, 0])))),
        float(np.sqrt(np.mean(np.square(past[:, 0])))),
        float(alone[:, 1].mean()),
        float(past[:, 1].mean()),
    )


def society(rng: np.random.Generator, kept: float) -> tuple[np.ndarray, np.ndarray]:
    """Errors, and whether intervals held, of each member in the last year: alone and with past."""
    severity = rng.normal(0.0, SEVERITY, SITES * TASTERS)
    tastings = []
    for year in range(YEARS):
        if year:
            fresh = rng.normal(0.0, SEVERITY, severity.size)
            severity = kept * severity + np.sqrt(1.0 - kept**2) * fresh
        found = weigh(rng, severity)
        key, day = f'year-{year}', f'{2021 + year}-03-01'
        tastings.append(year_of(plain(document(found)), key, day, str, key))
    years = Years(tuple(tastings[:-1]))
    names = {each.taster: each.taster for each in found.by_taster}
    with_years = with_past(found, years, names, key='last', day='2023-03-01')
    # Severity is below the others, who are this year's.
    truth = severity - severity.mean()
    return held(found, truth), held(with_years, truth)


def held(findings: Findings, truth: np.ndarray) -> np.ndarray:
    """Error, and whether the interval holds the truth, by taster."""
    rows = []
    for taster in findings.by_taster:
        told, true = taster.severity, truth[int(taster.taster[1:])]
        if told is not None:
            rows.append((told.value - true, told.low <= true <= told.high))
    return np.array(rows, dtype=np.float64)


def weigh(rng: np.random.Generator, severity: np.ndarray) -> Findings:
    """One year's tasting, weighed as `results` does."""
    site = np.repeat(np.arange(SITES), TASTERS)
    total = (
        rng.normal(14.0, 1.0, WINES)
        - severity[:, None]
        + rng.normal(0.0, SITE, SITES)[site, None]
        + rng.normal(0.0, BOTTLE, (SITES, WINES))[site]
        + rng.normal(0.0, RESIDUAL, (severity.size, WINES))
    )
    frame = pl.DataFrame({
        'taster': np.repeat([f't{number}' for number in range(severity.size)], WINES),
        'site': np.repeat([f's{number}' for number in site], WINES),
        'wine': np.tile([f'w{number}' for number in range(WINES)], severity.size),
        'total': np.clip(np.round(2.0 * total.ravel()) / 2.0, 0.0, 20.0),
    })  # fmt: skip
    marks = (MarkToWeigh('total', "Total", 20.0, 0.0, 0.5),)
    return whole_result(frame, marks, Model(), About('bench', '', 'bench'), depth=DEPTH)


if __name__ == '__main__':
    raise SystemExit(main())
