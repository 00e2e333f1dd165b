"""8 wines by 200 tasters on the twenty-point sheet: `halfpoint results` from a cold start."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
import polars as pl

from halfpoint.demo.simulate import Settings, draw_marks, draw_truth
from measure.figures import describe, keep, machine, print_table
from measure.runs import HALFPOINT, median_wall

SEED, TIMES = 8, 7
CATEGORIES = ('appearance', 'aroma', 'taste', 'aftertaste', 'overall')
SETTINGS = Settings(
    quality=np.linspace(0.62, 0.76, 8)[:, None] * np.array([3.6, 6.0, 6.0, 3.0, 2.0]),
    top=np.array([3.0, 6.0, 6.0, 3.0, 2.0]),
    share=np.array([0.05, 0.35, 0.35, 0.15, 0.1]),
    tasters_per_site=(20,) * 10,
    category=np.array([0.15, 0.5, 0.5, 0.3, 0.2]),
)
RESULTS_LIMIT, REPORT_LIMIT, HELP_LIMIT = 1.5, 4.0, 0.2


def write_marks(path: Path) -> int:
    """A CSV in the long form, a column a category; returns how many rows."""
    rng = np.random.default_rng(SEED)
    truth = draw_truth(rng, SETTINGS)
    marks = draw_marks(rng, SETTINGS, truth)
    tasters, wines, _ = marks.shape
    who = {
        'taster': np.repeat(np.arange(tasters), wines),
        'site': np.repeat(truth.site, wines),
        'wine': np.tile(np.arange(wines), tasters),
    }
    frame = pl.DataFrame(
        {name: [f'{name[0]}{code + 1}' for code in codes] for name, codes in who.items()}
        | {'position': truth.position.ravel()}
        | {name: marks[:, :, k].ravel() for k, name in enumerate(CATEGORIES)}
    ).filter(~pl.any_horizontal(pl.col(CATEGORIES).is_nan()))
    frame.write_csv(path)
    return frame.height


def main() -> int:
    """Measure, print, keep; 1 when a start is too slow."""
    on = machine()
    with tempfile.TemporaryDirectory() as place:
        table, report = Path(place) / 'marks.csv', Path(place) / 'report.pdf'
        rows = write_marks(table)
        results = [HALFPOINT, 'results', str(table)]
        asked = [
            ('halfpoint results', results, RESULTS_LIMIT),
            ('halfpoint results --report', [*results, '--report', str(report)], REPORT_LIMIT),
            ('halfpoint --help', [HALFPOINT, '--help'], HELP_LIMIT),
        ]
        found = [(what, median_wall(command, TIMES), limit) for what, command, limit in asked]
    print_table(
        f'8 wines, 200 tasters, five categories ({rows} entries, seed {SEED}), median of {TIMES}',
        [('machine', describe(on))]
        + [(what, f'{wall:.3f} s (meant: under {limit} s)') for what, wall, limit in found],
    )
    figures = {what: {'seconds': round(wall, 3), 'limit': limit} for what, wall, limit in found}
    keep('cold_start', on, {'entries': rows, **figures})
    return 0 if all(wall < limit for _, wall, limit in found) else 1


if __name__ == '__main__':
    sys.exit(main())
