"""The entries as a table: laid out anew, or kept up with a record that grows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import polars as pl

from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.replay import State

HEAD = ('entry', 'taster', 'site', 'wine', 'position', 'code', 'pour')
TAIL = (
    'total', 'terms', 'faults', 'finish_seconds', 'remark', 'families', 'finish_band', 'own_words',
)  # fmt: skip
# Which covariates and which marks an entry tells, in its own order; kept beside its row.
Shape = tuple[tuple[str, ...], tuple[str, ...]]
_SHAPE = '\x1fshape'


def lay_out(states: Sequence[EntryState], called: Mapping[str, str]) -> pl.DataFrame:
    """These entries as they stand, one a row; `called` has the pseudonyms of tasters."""
    covariates = _names_in(state.recorded.covariates for state in states)
    marks = _names_in(state.now.marks for state in states)
    return _arranged(_rows(states), states, covariates, marks, called)


class EntriesTable:
    """The entries of one record that count, as `lay_out` gives them of `State.in_force`.

    Only what was recorded or corrected since it was last asked for is laid out anew. To be asked
    with the same state, carried on.
    """

    def __init__(self) -> None:
        self._rows = pl.DataFrame()
        self._shapes: dict[Shape, int] = {}
        self._read = 0

    def in_force(self, state: State) -> pl.DataFrame:
        """The entries that count now."""
        self._catch_up(state)
        counted = state.in_force()
        if not counted:
            return lay_out(counted, state.called)
        rows = self._rows
        if len(counted) < rows.height:
            rows = rows.filter(pl.col('entry').is_in([entry.number for entry in counted]))
        met = rows.get_column(_SHAPE).unique(maintain_order=True).to_list()
        shapes = [shape for shape, number in self._shapes.items() if number in met]
        shapes.sort(key=lambda shape: met.index(self._shapes[shape]))
        covariates = dict.fromkeys(name for names, _ in shapes for name in names)
        marks = dict.fromkeys(name for _, names in shapes for name in names)
        return _arranged(rows, counted, covariates, marks, state.called)

    def _catch_up(self, state: State) -> None:
        changed = sorted(set(state.touched[self._read :]))
        self._read = len(state.touched)
        if not changed:
            return
        states = [state.entries[number] for number in changed]
        shapes = [self._shapes.setdefault(_shape(s), len(self._shapes)) for s in states]
        new = _rows(states).with_columns(pl.Series(_SHAPE, shapes, dtype=pl.Int64))
        if self._rows.is_empty():
            self._rows = new
            return
        is_longer = changed[0] > self._rows.item(-1, 'entry')
        kept = self._rows if is_longer else self._rows.filter(~pl.col('entry').is_in(changed))
        made = pl.concat([kept, new], how='diagonal', rechunk=True)
        self._rows = made if is_longer else made.sort('entry')


def _shape(state: EntryState) -> Shape:
    return tuple(state.recorded.covariates), tuple(state.now.marks)


def _rows(states: Sequence[EntryState]) -> pl.DataFrame:
    """All but the covariates, tasters by their keys; a column for each mark that is there."""
    entries = [state.now for state in states]
    marks = [e.marks for e in entries]
    return pl.DataFrame({
        'entry': pl.Series([state.number for state in states], dtype=pl.Int64),
        'taster': pl.Series([e.taster for e in entries], dtype=pl.String),
        'site': pl.Series([e.site for e in entries], dtype=pl.String),
        'wine': pl.Series([e.wine for e in entries], dtype=pl.String),
        'position': pl.Series([e.position for e in entries], dtype=pl.Int64),
        'code': pl.Series([e.code for e in entries], dtype=pl.String),
        'pour': pl.Series([e.pour for e in entries], dtype=pl.String),
        **{
            key: pl.Series([m.get(key) for m in marks], dtype=pl.Float64)
            for key in _names_in(marks)
        },
        'total': pl.Series([e.total for e in entries], dtype=pl.Float64),
        'terms': _lists([e.terms for e in entries]),
        'faults': _lists([e.faults for e in entries]),
        'finish_seconds': pl.Series([e.finish_seconds for e in entries], dtype=pl.Float64),
        'remark': pl.Series([e.remark for e in entries], dtype=pl.String),
        'families': _lists([e.families for e in entries]),
        'finish_band': pl.Series([e.finish_band for e in entries], dtype=pl.String),
        'own_words': _lists([e.own_words for e in entries]),
    })  # fmt: skip


def _arranged(
    rows: pl.DataFrame,
    states: Sequence[EntryState],
    covariates: Iterable[str],
    marks: Iterable[str],
    called: Mapping[str, str],
) -> pl.DataFrame:
    """The columns in their order, covariates of these states among them."""
    if called:
        rows = rows.with_columns(pl.col('taster').replace(called))
    columns = {name: rows.get_column(name) for name in HEAD}
    further = [key for key in covariates if key not in columns]
    told = [state.recorded.covariates for state in states] if further else []
    columns |= {key: _covariate(key, told) for key in further}
    columns |= {key: rows.get_column(key) for key in marks}
    return pl.DataFrame(columns | {name: rows.get_column(name) for name in TAIL})


def _names_in(mappings: Iterable[Mapping[str, Any]]) -> dict[str, None]:
    names: dict[str, None] = {}
    for mapping in mappings:
        if mapping.keys() - names.keys():
            names |= dict.fromkeys(mapping)
    return names


def _lists(rows: Sequence[Sequence[str]]) -> pl.Series:
    # Joined and split again: many times faster than a list of lists.
    joined = pl.Series(['\x1f'.join(row) for row in rows], dtype=pl.String)
    return joined.str.split('\x1f').list.eval(pl.element().filter(pl.element() != ''))


def _covariate(key: str, rows: Sequence[Mapping[str, Any]]) -> pl.Series:
    values = [row.get(key) for row in rows]
    if any(isinstance(value, str) for value in values):
        return pl.Series([None if v is None else str(v) for v in values], dtype=pl.String)
    return pl.Series(values, dtype=pl.Float64)
