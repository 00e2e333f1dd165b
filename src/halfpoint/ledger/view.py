"""The record as tables: what counts now, what is set aside, what is held."""

from __future__ import annotations

from collections.abc import Iterable

import polars as pl

from halfpoint.ledger.chain import Record
from halfpoint.ledger.entries_table import lay_out
from halfpoint.ledger.replay import State, replay

Records = Iterable[Record] | State


def current_entries(records: Records) -> pl.DataFrame:
    """The entries that count: corrections applied, set-asides left out.

    Columns: `entry`, `taster`, `site`, `wine`, `position`, `code`, `pour`, the covariates, one
    column for each category, `total`, `terms`, `faults`, `finish_seconds`, `remark`, `families`,
    `finish_band`, `own_words`. A taster with a pseudonym is called by that.
    """
    state = _state(records)
    return lay_out(state.in_force(), state.called)


def set_aside_entries(records: Records) -> pl.DataFrame:
    """The entries left out: the columns of `current_entries`, then `who`, `why` and `made`."""
    state = _state(records)
    covered = state.set_aside()
    frame = lay_out([entry for entry, _ in covered], state.called)
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
