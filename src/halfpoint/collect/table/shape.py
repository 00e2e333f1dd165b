"""Long or wide: whether a row is a pour or a taster, and every pour laid out on a row."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import polars as pl

from halfpoint.collect.table.arrays import Indices
from halfpoint.collect.table.columns import (
    ColumnUse,
    Matching,
    Request,
    find_column,
    looks_numeric,
    match_names,
    match_near,
    match_told,
    nearest,
    not_found,
    words_for,
)
from halfpoint.collect.table.raw import RawTable
from halfpoint.collect.table.words import plain
from halfpoint.tasting.model import Tasting

# What can stand once for each pour beside the marks.
_PER_POUR = (
    'position', 'code', 'written_total', 'finish_seconds', 'remark', 'terms', 'faults', 'families',
    'finish_band', 'own_words',
)  # fmt: skip
_BETWEEN = ' \t:;,.-–—_/|()[]'

Blocks = dict[str, dict[str, str]]


@dataclass(frozen=True, slots=True)
class Layout:
    """Role → column, and in the wide form wine → part → column; `marks` are the mark roles."""

    roles: Mapping[str, str]
    blocks: Mapping[str, Mapping[str, str]]
    marks: tuple[str, ...]
    account: tuple[ColumnUse, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pours:
    """One row per taster and pour: role → cells as written, and the raw record of each."""

    columns: Mapping[str, pl.Series]
    origin: Indices
    wines: pl.Series | None
    notes: tuple[str, ...] = ()


def find_layout(
    frame: pl.DataFrame, request: Request, tasting: Tasting | None, where: str
) -> Layout:
    """What each column is.

    Raises:
        ColumnsNotFound: no taster, no wine, or no marks can be made out, or two fit as well.
    """
    matching = Matching(frame, words_for(request), where)
    further = _further(matching, request)
    match_told(matching, request)
    match_names(matching)
    matching.unwanted |= set(further.values())
    marks = request.categories or ('mark',)
    long = {'wine', *request.categories} & set(matching.roles)
    blocks = {} if long else find_blocks(matching, request, marks)
    if not blocks:
        match_near(matching)
        blocks = _wine_columns(matching, request, tasting)
    marks = ('mark',) if any('mark' in parts for parts in blocks.values()) else marks
    if request.codes is None:
        _code_for_wine(matching, blocks)
    _require(matching, request, blocks, marks)
    return _layout(matching, blocks, marks, further)


def _further(matching: Matching, request: Request) -> dict[str, str]:
    found = {}
    remedies = (
        ("give --covariate one of them", request.covariates),
        ("name one of them", request.extra),
    )
    for remedy, names in remedies:
        for name in names:
            column = find_column(matching.frame.columns, name)
            if column is None:
                raise not_found(
                    f"no column {name!r}", matching.frame.columns, matching.where, remedy
                )
            found[name] = column
    return found


def find_blocks(matching: Matching, request: Request, marks: tuple[str, ...]) -> Blocks:
    """Columns headed by a wine and a category, in either order, gathered by wine."""
    wanted = (part for part in (*marks, *_PER_POUR) if part in matching.words)
    parts = {part: list(matching.words[part]) for part in wanted}
    if 'mark' in marks and request.mark and 'mark' not in matching.roles:
        parts['mark'] = [plain(request.mark)]
    for role, column in request.mapping.items():
        parts.get(role, []).append(plain(column))
    by_word = {word: part for part, words in reversed(parts.items()) for word in words}
    blocks: Blocks = {}
    for column in matching.free:
        wine, part = _parted(column, by_word)
        if wine and part not in blocks.get(wine, {}):
            blocks.setdefault(wine, {})[part] = column
    return {wine: block for wine, block in blocks.items() if set(block) & set(marks)}


def _parted(column: str, by_word: Mapping[str, str]) -> tuple[str, str]:
    """A heading's wine and part: `W1: aroma` and `aroma (W1)` give `W1` and aroma."""
    tokens = list(re.finditer(r'[^\W_]+', column))
    for size in range(len(tokens) - 1, 0, -1):
        cut_end, cut_start = tokens[-size].start(), tokens[size - 1].end()
        for words, wine in (
            (column[cut_end:], column[:cut_end]),
            (column[:cut_start], column[cut_start:]),
        ):
            if plain(words) in by_word:
                return wine.strip(_BETWEEN), by_word[plain(words)]
    return '', ''


def _wine_columns(matching: Matching, request: Request, tasting: Tasting | None) -> Blocks:
    """A column per wine, each holding its mark, when nothing else holds wines or marks."""
    taken = {*matching.roles}
    if taken & {'wine', 'mark', *request.categories} or (not request.mark and not request.sheet):
        return {}
    free = [column for column in matching.free if looks_numeric(matching.frame[column])]
    if tasting is not None:
        codes = request.codes or frozenset()
        free = [c for c in free if tasting.find_wine(c) or c.strip() in codes]
    return {column: {'mark': column} for column in free} if len(free) > 1 else {}


def _code_for_wine(matching: Matching, blocks: Blocks) -> None:
    if 'wine' not in matching.roles and not blocks and 'code' in matching.roles:
        matching.uses = [use for use in matching.uses if use.role != 'code']
        matching.take('wine', matching.roles.pop('code'), "the code, for want of a wine column")


def _require(matching: Matching, request: Request, blocks: Blocks, marks: tuple[str, ...]) -> None:
    columns, where = matching.frame.columns, matching.where
    missing = [role for role in ('taster', 'wine') if role not in matching.roles]
    if blocks or (request.codes is not None and 'code' in matching.roles):
        missing = [role for role in missing if role != 'wine']
    if len(columns) == 1:
        raise not_found("a single column", columns, where, "part the columns with , ; tab or |")
    if missing:
        likely = nearest(matching.free or columns, missing[0])
        remedy = f"say which column it is, for example --map {missing[0]}={likely!r}"
        raise not_found(f"no column for the {' or the '.join(missing)}", columns, where, remedy)
    if request.sheet is None and request.mark is None:
        raise not_found("nothing that says which column holds the mark", columns, where, _MARK)
    if request.mark and 'mark' not in matching.roles and not blocks:
        raise not_found(f"no column {request.mark!r}", columns, where, _MARK)
    _require_marks(matching, blocks, marks)


_MARK = "name the column that holds the mark with --mark COLUMN, or a score sheet with --sheet"


def _require_marks(matching: Matching, blocks: Blocks, marks: tuple[str, ...]) -> None:
    columns, where = matching.frame.columns, matching.where
    lacking = [mark for mark in marks if not blocks and mark not in matching.roles]
    if lacking:
        raise not_found(
            f"no column for {', '.join(lacking)}", columns, where,
            f"say which with --map {lacking[0]}=COLUMN; or, if one column holds the whole mark, "
            "name it with --mark COLUMN",
        )  # fmt: skip
    for wine, block in blocks.items():
        lacking = [mark for mark in marks if mark not in block]
        if lacking:
            raise not_found(f"no column for {', '.join(lacking)} of {wine!r}", columns, where)


def _layout(
    matching: Matching, blocks: Blocks, marks: tuple[str, ...], further: Mapping[str, str]
) -> Layout:
    places = {column: place for place, column in enumerate(matching.frame.columns)}
    uses = sorted(matching.uses, key=lambda use: places[use.column])
    uses += _block_uses(blocks)
    taken = {*matching.roles.values(), *further.values()}
    taken |= {column for block in blocks.values() for column in block.values()}
    uses += [ColumnUse('kept', c, f"as told, {n!r}") for n, c in further.items()
             if c not in matching.roles.values()]  # fmt: skip
    unused = [column for column in matching.frame.columns if column not in taken]
    notes = tuple(f"column {column!r} not used" for column in unused[:20])
    if len(unused) > 20:
        notes += (f"{len(unused) - 20} more columns not used",)
    roles = {**matching.roles, **{f'kept {n}': c for n, c in further.items()}}
    return Layout(roles, blocks, marks, tuple(uses), notes)


def _block_uses(blocks: Blocks) -> list[ColumnUse]:
    return [
        ColumnUse('wine', ', '.join(block.values()), f"wide: the marks of {wine!r}")
        for wine, block in blocks.items()
    ]


def lay_out(raw: RawTable, layout: Layout) -> Pours:
    """One row per pour. A block that a taster left blank is no pour, and is counted."""
    if not layout.blocks:
        columns = {role: raw.frame[column] for role, column in layout.roles.items()}
        return Pours(columns, np.arange(raw.frame.height), None)
    count, width = raw.frame.height, len(layout.blocks)
    origin = np.tile(np.arange(count), width)
    order = np.argsort(origin, kind='stable')
    parts = list(dict.fromkeys(part for block in layout.blocks.values() for part in block))
    stacked = {part: _stacked(raw.frame, layout.blocks, part) for part in parts}
    stacked |= {
        role: pl.concat([raw.frame[column]] * width) for role, column in layout.roles.items()
        if role not in stacked
    }  # fmt: skip
    stacked['wine'] = pl.Series(np.repeat(np.arange(width), count)).replace_strict(
        list(range(width)), list(layout.blocks), return_dtype=pl.String
    )
    frame = pl.DataFrame({role: column.alias(role) for role, column in stacked.items()})[order]
    poured = frame.select(~pl.all_horizontal(*(_blank(frame[p]) for p in parts))).to_series()
    frame = frame.filter(poured)
    blank = int((~poured).sum())
    counted = "1 block" if blank == 1 else f"{blank:,} blocks"
    notes = (f"{counted} left blank: taken as wines not tasted",) if blank else ()
    return Pours(frame.to_dict(), origin[order][poured.to_numpy()], frame['wine'], notes)


def _stacked(frame: pl.DataFrame, blocks: Mapping[str, Mapping[str, str]], part: str) -> pl.Series:
    pieces = [
        frame.select(pl.col(block[part]).alias(part))
        if part in block
        else pl.DataFrame({part: pl.Series([None] * frame.height, dtype=pl.Null)})
        for block in blocks.values()
    ]
    return pl.concat(pieces, how='vertical_relaxed')[part]


def _blank(column: pl.Series) -> pl.Series:
    if column.dtype == pl.String:
        return column.is_null() | (column.str.strip_chars() == '')
    return column.is_null()
