"""What stands beside the marks: position, code, ticks, finish, remark, further columns."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.collect.table.marks import said_in
from halfpoint.collect.table.marktext import numbers_of
from halfpoint.collect.table.names import names_of
from halfpoint.collect.table.objections import Objection, object_to
from halfpoint.collect.table.raw import as_text
from halfpoint.collect.table.shape import Pours
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.validity import LONGEST_FINISH, SPOKEN
from halfpoint.sheet.words import TYPED, did_you_mean, fold, join_words, split_words

LONGEST_REMARK = 10_000
_LAST_POSITION = 1_000_000


@dataclass(frozen=True, slots=True)
class Beside:
    """Further columns of the entries, and objections to some of their cells."""

    columns: Mapping[str, pl.Series]
    objections: tuple[Objection, ...]


def beside_marks(pours: Pours, sheet: Sheet | None, covariates: frozenset[str]) -> Beside:
    """Every further column that the layout found, read and judged."""
    columns: dict[str, pl.Series] = {}
    objections: list[Objection] = []
    for role, column in pours.columns.items():
        read, objected = _read(role, column, sheet, covariates)
        columns = read | columns
        objections += objected
    return Beside(columns, tuple(objections))


_Read = tuple[dict[str, pl.Series], list[Objection]]


def _read(role: str, column: pl.Series, sheet: Sheet | None, covariates: frozenset[str]) -> _Read:
    if role in ('terms', 'faults', 'families'):
        return _ticks(role, column, sheet)
    if role == 'own_words':
        return _ticks(role, column, None)
    if role == 'finish_band':
        return _bands(column, sheet)
    if role.startswith('kept '):
        return _kept(role.removeprefix('kept '), column, covariates)
    reader = _READERS.get(role)
    return reader(column) if reader else ({}, [])


def _positions(column: pl.Series) -> _Read:
    if column.dtype.is_integer() and column.is_between(1, _LAST_POSITION).fill_null(False).all():
        return {'position': column.cast(pl.Int64).alias('position')}, []
    values, unread = numbers_of(column)
    with np.errstate(invalid='ignore'):
        wrong = unread | (values < 1) | (values != np.rint(values)) & ~np.isnan(values)
    wrong |= values > _LAST_POSITION
    places = pl.Series('position', np.where(wrong | np.isnan(values), 0, values)).cast(pl.Int64)
    places = places.set(pl.Series(wrong | np.isnan(values)), None)
    expected = "1 for the first pour, then 2, 3 and so on"
    return {'position': places}, object_to(wrong, 'position', said_in(column), expected)


def _seconds(column: pl.Series) -> _Read:
    values, unread = numbers_of(column)
    with np.errstate(invalid='ignore'):
        wrong = unread | (values < 0) | (values > LONGEST_FINISH)
    seconds = pl.Series('finish_seconds', values).fill_nan(None)
    expected = f"0 to {LONGEST_FINISH:g} seconds"
    return {'finish_seconds': seconds}, object_to(
        wrong, 'finish_seconds', said_in(column), expected
    )


def _codes(column: pl.Series) -> _Read:
    return {'code': names_of(column).series('code').cast(pl.String)}, []


def _pour_numbers(column: pl.Series) -> _Read:
    return {'pour': names_of(column).series('pour').cast(pl.String)}, []


def _written_totals(column: pl.Series) -> _Read:
    values, _ = numbers_of(column)
    return {'written_total': pl.Series('written_total', values).fill_nan(None)}, []


def _remarks(column: pl.Series) -> _Read:
    text = as_text(column).str.strip_chars().fill_null('').alias('remark')
    long = (text.str.len_chars() > LONGEST_REMARK).to_numpy()
    expected = f"at most {LONGEST_REMARK:,} letters"
    return {'remark': text}, object_to(long, 'remark', said_in(column), expected)


_READERS: dict[str, Callable[[pl.Series], _Read]] = {
    'position': _positions,
    'code': _codes,
    'pour': _pour_numbers,
    'finish_seconds': _seconds,
    'written_total': _written_totals,
    'remark': _remarks,
}


def _ticks(role: str, column: pl.Series, sheet: Sheet | None) -> _Read:
    if column.dtype == pl.List(pl.String):
        column = column.map_elements(join_words, return_dtype=pl.String)
    names = names_of(column)
    known = {} if sheet is None else _known(role, sheet)
    lists: list[list[str]] = []
    strange: list[list[str]] = []
    for label in names.labels.to_list():
        ticked = split_words(label, TYPED)
        lists.append([known.get(fold(word), word) for word in ticked])
        strange.append([word for word in ticked if sheet is not None and fold(word) not in known])
    flags = np.array([*map(bool, strange), False])
    said = [', '.join(f"'{word}'" for word in words) for words in strange]
    spoken = SPOKEN.get(role, role)
    expected = [
        f"one of this sheet's {spoken}{did_you_mean(words[0], known.values()) if words else ''}"
        for words in strange
    ]
    ticks = pl.Series(role, [*lists, []], dtype=pl.List(pl.String))
    ticks = ticks.gather(np.where(names.codes < 0, len(lists), names.codes))
    return {role: ticks}, object_to(
        flags[names.codes], role, lambda i: said[names.codes[i]], lambda i: expected[names.codes[i]]
    )


def _known(role: str, sheet: Sheet) -> Mapping[str, str]:
    words = {
        'terms': sheet.term_keys,
        'faults': sheet.fault_keys,
        'families': sheet.family_keys,
        'finish_band': sheet.band_labels,
    }
    return words[role]


def _bands(column: pl.Series, sheet: Sheet | None) -> _Read:
    ticks, objections = _ticks('finish_band', column, sheet)
    bands = ticks['finish_band']
    said, several = said_in(column), (bands.list.len() > 1).to_numpy()
    objections += object_to(several, 'finish_band', said, "one finish band, or nothing")
    return {'finish_band': bands.list.first().fill_null('')}, objections


def _kept(name: str, column: pl.Series, covariates: frozenset[str]) -> _Read:
    if name not in covariates:
        return {name: column.alias(name)}, []
    values, unread = numbers_of(column)
    if not unread.any() and not np.isnan(values).all():
        read = pl.Series(name, values).fill_nan(None)
    else:
        read = names_of(column).series(name).cast(pl.String)
    said = said_in(column)
    return {name: read}, object_to(
        read.is_null().to_numpy(), name, said, "a value, as it was asked for as a covariate"
    )
