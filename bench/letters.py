"""`halfpoint letters`: 1,000 letters from a record, weighing included, as the command runs it.

50 sites of 20 tasters, 12 wines, one of them poured twice: 13,000 entries with aroma words.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import polars as pl

from halfpoint.demo.marks import HalfPoints, simulate_marks
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import load_sheet
from measure.figures import describe, keep, machine, print_table
from measure.runs import HALFPOINT, run

SEED = 20
SITES, TASTERS, WINES = 50, 20, 12
MEANT = {'seconds': 60.0}


def main() -> int:
    """Measure, print, keep; 1 when a figure misses what it is meant to be."""
    on = machine()
    with tempfile.TemporaryDirectory(prefix='halfpoint-letters-') as scratch:
        folder = Path(scratch)
        lay_out(folder)
        out = folder / 'letters'
        took = run([HALFPOINT, 'letters', str(folder / 'tasting.toml'), '--into', str(out)])
        written = [*out.glob('*/*.pdf')]
        size = sum(path.stat().st_size for path in written) / 1e6
    rows = [
        ('machine', describe(on)),
        ('letters', f'{len(written):,} pages of PDF, {size:.0f} MB'),
        ('from the record to the folder', f'{took.wall:.1f} s (meant: under 60 s)'),
        ('processor', f'{took.processor:.1f} s'),
        ('memory at most', f'{took.peak / 1e6:.0f} MB'),
    ]
    print_table(f'halfpoint letters (seed {SEED})', rows)
    figures = {
        'letters': len(written),
        'seconds': round(took.wall, 1),
        'processor_seconds': round(took.processor, 1),
        'megabytes_of_memory': round(took.peak / 1e6),
        'megabytes_written': round(size, 1),
        'meant': MEANT,
    }
    keep('letters', on, figures)
    return 0 if len(written) == SITES * TASTERS + SITES and took.wall < MEANT['seconds'] else 1


def lay_out(folder: Path) -> None:
    """A tasting of invented names in a folder: gathered and revealed."""
    (folder / 'tasting.toml').write_text(tasting_file(), encoding='utf-8')
    table().write_csv(folder / 'marks.csv')
    tasting = str(folder / 'tasting.toml')
    for command in (
        ['gather', tasting, str(folder / 'marks.csv')],
        ['reveal', tasting, '--who', 'bench'],
    ):
        subprocess.run([HALFPOINT, *command], check=True, stdout=subprocess.DEVNULL)


def tasting_file() -> str:
    """Everybody agreed to a letter."""
    parts = ['[tasting]\nkey = "bench"\ntitle = "Bench round"\ninvented = true']
    parts += [f'[[wine]]\nkey = "w{n}"\nname = "Invented Hill {n}"' for n in range(1, WINES + 1)]
    parts += [f'[[site]]\nkey = "s{n}"\nname = "Room {n}"' for n in range(1, SITES + 1)]
    parts += [
        f'[[taster]]\nkey = "t{n}"\nname = "Taster {n}"\nletter = true'
        for n in range(1, SITES * TASTERS + 1)
    ]
    return '\n'.join(parts) + '\n'


def table() -> pl.DataFrame:
    """Totals from the model, split over the categories, with words; w1 poured a second time."""
    rng = np.random.default_rng(SEED)
    scores = np.linspace(12.0, 16.5, WINES)
    once = simulate_marks(rng, scores, SITES, TASTERS, rounding=HalfPoints())
    once = once.cast({'taster': pl.String, 'site': pl.String, 'wine': pl.String})
    noise = np.round(rng.normal(0, 1.0, SITES * TASTERS) * 2) / 2
    again = once.filter(pl.col('wine') == 'w1').with_columns(
        total=(pl.col('total') + pl.Series(noise)).clip(0, 20),
        position=pl.lit(WINES + 1, dtype=once.schema['position']),
    )
    both = pl.concat([once, again])
    sheet = load_sheet('twenty-point')
    return pl.concat(
        [both.drop('total'), split(sheet, both), words(sheet, rng, both)], how='horizontal'
    )


def split(sheet: Sheet, marks: pl.DataFrame) -> pl.DataFrame:
    """Totals over the categories in half points, each filled as far as the total is."""
    totals = marks.get_column('total').to_numpy()
    left, above, columns = totals.copy(), sheet.top, {}
    for category in sheet.categories:
        share = np.round(2 * left * category.top / above) / 2
        columns[category.key] = np.minimum(share, category.top)
        left, above = left - columns[category.key], above - category.top
    return pl.DataFrame(columns)


def words(sheet: Sheet, rng: np.random.Generator, marks: pl.DataFrame) -> pl.DataFrame:
    """Two aroma words an entry, some wines richer in some."""
    labels = [term.label for term in sheet.terms_by_key.values()]
    wine = marks.get_column('wine').str.slice(1).cast(pl.Int64).to_numpy()
    first = (3 * wine + rng.integers(0, 3, wine.size)) % len(labels)
    second = rng.integers(0, len(labels), wine.size)
    return pl.DataFrame(
        {'aromas': [f'{labels[a]}; {labels[b]}' for a, b in zip(first, second, strict=True)]}
    )


if __name__ == '__main__':
    sys.exit(main())
