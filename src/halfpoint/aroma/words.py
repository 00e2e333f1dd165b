"""The words of a sheet, and which entries have which, from a frame of entries."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.aroma.ticks import Bools

KINDS = {'terms': 'term', 'families': 'family', 'faults': 'fault', 'own_words': 'own'}
# A word of the tasters' own is told when so many wrote it.
FEWEST_OWN = 3


@dataclass(frozen=True, slots=True)
class SheetWords:
    """Labels by key of the sheet's terms, families and faults."""

    terms: Mapping[str, str]
    families: Mapping[str, str]
    faults: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Word:
    """A word by key, with its label and kind: term, family, fault or own."""

    key: str
    label: str
    kind: str


def words_ticked(frame: pl.DataFrame, words: SheetWords) -> tuple[tuple[Word, ...], Bools]:
    """Words that any entry has, or the sheet offers, and who has them, shape (entries, words)."""
    found: list[Word] = []
    columns: list[Bools] = []
    for column, kind in KINDS.items():
        if column not in frame.columns:
            continue
        rows: list[list[str]] = [row or [] for row in frame.get_column(column).to_list()]
        for word in _of_kind(rows, kind, words):
            found.append(word)
            wanted = word.label.casefold() if kind == 'own' else word.key
            columns.append(np.array([wanted in _said(row, kind) for row in rows]))
    if not columns:
        return (), np.zeros((frame.height, 0), dtype=np.bool_)
    return tuple(found), np.column_stack(columns)


def _said(row: list[str], kind: str) -> set[str]:
    return {word.casefold() for word in row} if kind == 'own' else set(row)


def _of_kind(rows: list[list[str]], kind: str, words: SheetWords) -> Iterator[Word]:
    if kind == 'own':
        told = Counter(word for row in rows for word in _said(row, kind))
        for written, count in sorted(told.items(), key=lambda item: (-item[1], item[0])):
            if count >= FEWEST_OWN:
                yield Word(f'own:{written}', written, kind)
        return
    offered = {'term': words.terms, 'family': words.families, 'fault': words.faults}[kind]
    ticked = {key for row in rows for key in row}
    for key in (*offered, *sorted(ticked - offered.keys())):
        if kind != 'family' or key in ticked:
            yield Word(key, offered.get(key, key), kind)
