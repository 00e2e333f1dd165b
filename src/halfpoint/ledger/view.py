"""The record as tables: what counts now, what is set aside, what is held."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import polars as pl

from halfpoint.ledger.chain import Record
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.replay import State, replay

Records = Iterable[Record] | State


def current_entries(records: Records) -> pl.DataFrame:
    """The entries that count: corrections applied, set-asides left out.

    Columns: `entry`, `taster`, `site`, `wine`, `position`, `code`, `pour`, the covariates, one
    column for each category, `total`, `terms`, `faults`, `finish_seconds`, `remark`, `families`,
    `finish_band`, `own_words`. A taster with a pseudonym is called by that.
    """
    state = _state(records)
    return _entries_frame(state.in_force(), state.called)


def set_aside_entries(records: Records) -> pl.DataFrame:
    """The entries left out: the columns of `current_entries`, then `who`, `why` and `made`."""
    state = _state(records)
    covered = state.set_aside()
    frame = _entries_frame([entry for entry, _ in covered], state.called)
    reasons = {
        name: pl.Series(name, [getattr(s, name) for _, s in covered], dtype=pl.String)
        for name in ('who', 'why', 'made')
    }
    return frame.with_columns(**reasons)


def held_rows(records: Records) -> pl.DataFrame:
    """The rows still waiting: `held` (number), `file`, `row`, `field`, `found`, `expected`."""
    waiting = _state(records).waiting()
    texts = {
        name: pl.Series(name, [getattr(row, name) for row in waiting.values()], dtype=pl.String)
        for name in ('file', 'field', 'found', 'expected')
    }
    return pl.DataFrame(
        {
            'held': pl.Series(list(waiting), dtype=pl.Int64),
            'file': texts['file'],
            'row': pl.Series([row.row for row in waiting.values()], dtype=pl.Int64),
            **{name: texts[name] for name in ('field', 'found', 'expected')},
        }
    )


def _state(records: Records) -> State:
    return records if isinstance(records, State) else replay(records)


def _entries_frame(states: Sequence[EntryState], called: Mapping[str, str]) -> pl.DataFrame:
    entries = [state.now for state in states]
    covariates = [state.recorded.covariates for state in states]
    columns: dict[str, pl.Series] = {
        'entry': pl.Series([state.number for state in states], dtype=pl.Int64),
        'taster': pl.Series([called.get(e.taster, e.taster) for e in entries], dtype=pl.String),
        'site': pl.Series([e.site for e in entries], dtype=pl.String),
        'wine': pl.Series([e.wine for e in entries], dtype=pl.String),
        'position': pl.Series([e.position for e in entries], dtype=pl.Int64),
        'code': pl.Series([e.code for e in entries], dtype=pl.String),
        'pour': pl.Series([e.pour for e in entries], dtype=pl.String),
    }
    further = [key for key in _names_in(covariates) if key not in columns]
    columns |= {key: _covariate(key, covariates) for key in further}
    marks = [e.marks for e in entries]
    columns |= {
        key: pl.Series([m.get(key) for m in marks], dtype=pl.Float64) for key in _names_in(marks)
    }
    return pl.DataFrame(
        columns
        | {
            'total': pl.Series([e.total for e in entries], dtype=pl.Float64),
            'terms': _lists([e.terms for e in entries]),
            'faults': _lists([e.faults for e in entries]),
            'finish_seconds': pl.Series([e.finish_seconds for e in entries], dtype=pl.Float64),
            'remark': pl.Series([e.remark for e in entries], dtype=pl.String),
            'families': _lists([e.families for e in entries]),
            'finish_band': pl.Series([e.finish_band for e in entries], dtype=pl.String),
            'own_words': _lists([e.own_words for e in entries]),
        }
    )


def _names_in(mappings: Iterable[Any]) -> dict[str, None]:
    names: dict[str, None] = {}
    for mapping in mappings:
        if mapping.keys() - names.keys():
            names |= dict.fromkeys(mapping)
    return names


def _lists(rows: Sequence[Sequence[str]]) -> pl.Series:
    # Joined and split again: many times faster than a list of lists.
    joined = pl.Series(['\x1f'.join(row) for row in rows], dtype=pl.String)
    return joined.str.split('\x1f').list.eval(pl.element().filter(pl.element() != ''))


def _covariate(key: str, rows: Sequence[Any]) -> pl.Series:
    values = [row.get(key) for row in rows]
    if any(isinstance(value, str) for value in values):
        return pl.Series([None if v is None else str(v) for v in values], dtype=pl.String)
    return pl.Series(values, dtype=pl.Float64)
