"""From Parquet to JSON: 2, 4, 6, 8 and 10 million marks, wall time and memory."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
import polars as pl

from halfpoint.demo.marks import HalfPoints, simulate_marks
from measure.figures import describe, keep, machine, print_table
from measure.runs import HALFPOINT, Run, run

MILLIONS = (2, 4, 6, 8, 10)
# The quickest of these counts: the first warms the file cache, other work disturbs some.
TIMES = 3
TASTERS_PER_SITE = 100
WINES = np.array([13.0, 13.2, 13.4, 13.5, 13.8, 13.9, 14.0, 14.4])
MOST_SECONDS, MOST_BYTES = 10.0, 4e9
# Largest distance from the straight line, as a share of the time at 10 million.
STRAIGHT = 0.1


def write_marks(millions: int, path: Path) -> None:
    """A Parquet file as people write it: names as text, marks in half points."""
    sites = millions * 1_000_000 // (TASTERS_PER_SITE * WINES.size)
    rng = np.random.default_rng(millions)
    frame = simulate_marks(rng, WINES, sites, TASTERS_PER_SITE, rounding=HalfPoints())
    frame.with_columns(pl.col('taster', 'site', 'wine').cast(pl.String)).write_parquet(path)


def weigh(path: Path, folder: Path) -> Run:
    """`halfpoint results` on one file, JSON out, in a process of its own."""
    asked = ['--mark', 'total', '--json', str(folder / 'result.json')]
    return run([HALFPOINT, 'results', str(path), *asked])


def measure(folder: Path) -> list[tuple[Run, int]]:
    """The quickest run of each size, taken in turns, and the size of its file."""
    paths = [folder / f'{millions}.parquet' for millions in MILLIONS]
    for millions, path in zip(MILLIONS, paths, strict=True):
        write_marks(millions, path)
    turns = [[weigh(path, folder) for path in paths] for _ in range(TIMES)]
    best = [min(column, key=lambda one: one.wall) for column in zip(*turns, strict=True)]
    return [(one, path.stat().st_size) for one, path in zip(best, paths, strict=True)]


def _text(found: Run, size: int) -> str:
    times = f'{found.wall:.2f} s wall, {found.processor:.2f} s of processors'
    return f'{times}, {found.peak / 1e9:.2f} GB at most ({size / 1e6:.0f} MB file)'


def main() -> int:
    """Measure, print, keep; 1 when too slow, too large or not on a straight line."""
    on = machine()
    with tempfile.TemporaryDirectory() as place:
        runs = measure(Path(place))
    seconds = np.array([found.wall for found, _ in runs])
    slope, start = np.polyfit(MILLIONS, seconds, 1)
    off = float(np.abs(seconds - (start + slope * np.array(MILLIONS))).max())
    rows = [('machine', describe(on))]
    rows += [
        (f'{millions} million marks', _text(found, size))
        for millions, (found, size) in zip(MILLIONS, runs, strict=True)
    ]
    rows += [
        ('straight line', f'{start:.2f} s + {slope:.3f} s a million; farthest {off:.2f} s off'),
        ('meant', f'10 million under {MOST_SECONDS:g} s and {MOST_BYTES / 1e9:g} GB'),
    ]
    print_table('halfpoint results MARKS.parquet --json: taster, site and bottle', rows)
    keep(
        'ten_million',
        on,
        {
            'runs': [
                {
                    'marks': millions * 1_000_000,
                    'wall': round(found.wall, 3),
                    'processor': round(found.processor, 3),
                    'peak_bytes': found.peak,
                    'file_bytes': size,
                }
                for millions, (found, size) in zip(MILLIONS, runs, strict=True)
            ],
            'line': {'start': float(start), 'per_million': float(slope), 'farthest': off},
        },
    )
    largest = runs[-1][0]
    small = largest.wall < MOST_SECONDS and largest.peak < MOST_BYTES
    return 0 if small and off < STRAIGHT * largest.wall else 1


if __name__ == '__main__':
    sys.exit(main())
