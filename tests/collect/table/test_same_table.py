"""One table in every kind of file gives the same entries."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import polars as pl
import pytest

from halfpoint.collect.table.gather import read_marks
from halfpoint.sheet.form import Sheet

MARKS = pd.DataFrame(
    {
        'taster': ['Ada', 'Bo', 'Ada', 'Bo'],
        'wine': [298, 298, 511, 511],
        'site': ['Mühle', 'Kai', 'Mühle', 'Kai'],
        'aroma': [4.5, 5.0, 3.5, 0.0],
        'taste': [4.0, 5.5, 4.0, 6.0],
    }
)


def _long(path: Path) -> None:
    writers = {
        'comma.csv': lambda: MARKS.to_csv(path, index=False),
        'semicolon.csv': lambda: MARKS.to_csv(
            path, index=False, sep=';', decimal=',', encoding='cp1252'
        ),
        'tab.tsv': lambda: MARKS.to_csv(path, index=False, sep='\t', encoding='utf-16'),
        'book.xlsx': lambda: MARKS.to_excel(path, index=False, engine='xlsxwriter'),
        'book.ods': lambda: MARKS.to_excel(path, index=False, engine='odf'),
        'columns.parquet': lambda: pl.DataFrame(MARKS.to_dict('list')).write_parquet(path),
    }
    writers[path.name]()


def _wide(path: Path) -> None:
    wide = MARKS.pivot_table(index=['taster', 'site'], columns='wine', values=['aroma', 'taste'])
    wide.columns = [f'{wine}: {category}' for category, wine in wide.columns]
    wide.reset_index().to_csv(path, index=False)


@pytest.mark.parametrize(
    'name',
    ['comma.csv', 'semicolon.csv', 'tab.tsv', 'book.xlsx', 'book.ods', 'columns.parquet', 'wide'],
)
def test_the_same_entries_from_every_kind(tmp_path: Path, short: Sheet, name: str) -> None:
    """Delimiters, encodings, workbooks, Parquet and the wide form all tell the same (pandas)."""
    path = tmp_path / name
    (_wide if name == 'wide' else _long)(path)

    gathered = read_marks(path, sheet=short)

    expected = MARKS.astype({'wine': str}).assign(total=MARKS.aroma + MARKS.taste)
    told = gathered.entries.select(*expected.columns).with_columns(pl.col(pl.Categorical).cast(str))
    assert sorted(expected.itertuples(index=False, name=None)) == sorted(told.rows())
    assert () == gathered.held
