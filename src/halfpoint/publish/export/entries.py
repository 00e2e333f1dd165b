"""The entries that count as one table, for people who want to weigh them otherwise."""

from __future__ import annotations

import polars as pl

from halfpoint.ledger.replay import State
from halfpoint.ledger.view import current_entries
from halfpoint.publish.export.tables import csv_text
from halfpoint.tasting.model import Tasting

OWN = ('own_words', 'remark')


def entries_csv(tasting: Tasting, state: State, *, pseudonyms: bool = True) -> str:
    """The entries as CSV: one row an entry, a column a category, wines by key and name.

    With pseudonyms tasters are numbered in the order in which they came, and what they wrote in
    their own words is left out, as it may name people.
    """
    frame = current_entries(state)
    names = {wine.key: wine.name for wine in tasting.wines}
    frame = frame.with_columns(
        pl.col('wine').replace(names).alias('wine_name'),
        *(pl.col(each).list.join('; ') for each, kind in frame.schema.items() if kind == pl.List),
    )
    if pseudonyms:
        frame = _numbered(frame.drop(OWN), state)
    return csv_text(frame.columns, frame.iter_rows())


def _numbered(frame: pl.DataFrame, state: State) -> pl.DataFrame:
    called = state.called
    came = dict.fromkeys(
        called.get(entry.recorded.entry.taster, entry.recorded.entry.taster)
        for entry in state.entries.values()
    )
    came |= dict.fromkeys(frame.get_column('taster').to_list())
    width = max(3, len(str(len(came))))
    numbers = {taster: f'taster-{at:0{width}}' for at, taster in enumerate(came, start=1)}
    return frame.with_columns(pl.col('taster').replace(numbers))
