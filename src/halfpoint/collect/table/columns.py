"""Which column plays which part: by its name, by a word for it, by a near miss, or as told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import polars as pl
from rapidfuzz import fuzz

from halfpoint.collect.table.marktext import numbers_of
from halfpoint.collect.table.words import (
    CATEGORY_WORDS,
    NEVER_NEAR,
    ROLE_WORDS,
    WEAK_WORDS,
    plain,
    without_tail,
)
from halfpoint.errors import ColumnsNotFound, UsageError
from halfpoint.sheet.form import Sheet

# Reading one of these wrongly would change the estimate, so doubt about them is refused.
_DECISIVE = ('taster', 'wine', 'site', 'position')
_NEAR = 85.0
_SAMPLE = 2_000

Words = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """What a column was taken as, and how that was decided."""

    role: str
    column: str
    how: str


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked of a table."""

    sheet: Sheet | None
    mark: str | None
    mapping: Mapping[str, str] = field(default_factory=dict)
    covariates: Sequence[str] = ()
    extra: Sequence[str] = ()
    codes: frozenset[str] | None = None
    """The codes of the plan; None without one, as a code then tells no wine."""

    @property
    def categories(self) -> tuple[str, ...]:
        """Keys of the categories that each row must carry; none when one mark is asked for."""
        if self.sheet is None or self.mark is not None:
            return ()
        return tuple(category.key for category in self.sheet.categories)


def words_for(request: Request) -> dict[str, tuple[str, ...]]:
    """Each role and category with its plain words, its own names first."""
    words: dict[str, tuple[str, ...]] = {}
    for key in request.categories:
        label = request.sheet.category(key).label if request.sheet else key
        words[key] = tuple(dict.fromkeys(map(plain, (key, label, *CATEGORY_WORDS.get(key, ())))))
    for role, names in ROLE_WORDS.items():
        if request.mark is None or role != 'written_total':
            words.setdefault(role, tuple(map(plain, names)))
    return words


def known_names(request: Request) -> frozenset[str]:
    """Plain names that would head a column of the table."""
    listed = {word for words in words_for(request).values() for word in words}
    told = (*request.mapping.keys(), *request.mapping.values(), request.mark or '')
    return frozenset(listed | {plain(name) for name in (*told, *request.covariates)} - {''})


@dataclass(slots=True)
class Matching:
    """The matching as it grows: no column takes two roles, no role two columns."""

    frame: pl.DataFrame
    words: Words
    where: str
    roles: dict[str, str] = field(default_factory=dict)
    uses: list[ColumnUse] = field(default_factory=list)
    unwanted: set[str] = field(default_factory=set)

    def take(self, role: str, column: str, how: str) -> None:
        """Give the column to the role."""
        self.roles[role] = column
        self.uses.append(ColumnUse(role, column, how))

    @property
    def free(self) -> list[str]:
        """Columns that no role has taken."""
        taken = {*self.roles.values(), *self.unwanted}
        return [column for column in self.frame.columns if column not in taken]

    @property
    def open_roles(self) -> list[str]:
        """Roles without a column, less those told to have none."""
        return [role for role in self.words if role not in self.roles]


def match_told(matching: Matching, request: Request) -> None:
    """Take what `--mark`, `--map` and the options for further columns say.

    Raises:
        ColumnsNotFound: a named column is not there.
        UsageError: `--map` names no role, or one column for two roles.
    """
    for one, other in request.mapping.items():
        role, column = _told_pair(matching, one, other)
        if column == '':
            matching.words = {k: v for k, v in matching.words.items() if k != role}
        elif column is not None:
            if column in matching.roles.values():
                raise UsageError(f"column {column!r} mapped to two roles", where="--map")
            matching.take(role, column, "as told by --map")
    if request.mark is not None and 'mark' not in matching.roles:
        column = find_column(matching.frame.columns, request.mark)
        if column is not None and column not in matching.roles.values():
            matching.take('mark', column, "as told by --mark")


def _told_pair(matching: Matching, one: str, other: str) -> tuple[str, str | None]:
    roles = {*matching.words, 'mark'}
    for role, column in ((one, other), (other, one)):
        if role in roles:
            found = find_column(matching.frame.columns, column) if column else ''
            if found is not None:
                return role, found
    if one in roles or other in roles:
        role, column = (one, other) if one in roles else (other, one)
        if role not in ROLE_WORDS:
            return role, None
        raise not_found(f"no column {column!r}", matching.frame.columns, matching.where)
    raise UsageError(
        f"{one!r} is no role",
        where="--map",
        expected=f"role=column, the role one of {', '.join(sorted(roles))}",
    )


def match_names(matching: Matching) -> None:
    """Take columns by their own names, then by words for a role, then by weaker signs.

    Raises:
        ColumnsNotFound: two columns fit one decisive role equally well.
    """
    steps = (
        ("by its name", lambda name, words: plain(name) == words[0]),
        ("a word for it", lambda name, words: plain(name) in _strong(words)),
        ("a word for it", lambda name, words: without_tail(name) in _strong(words)),
        ("a word for it", lambda name, words: without_tail(name) in words),
    )
    for how, fits in steps:
        for role in matching.open_roles:
            words = matching.words[role]
            _take_only(matching, role, [c for c in matching.free if fits(c, words)], how)


def match_near(matching: Matching) -> None:
    """Take columns whose names are nearly a word for a role still open."""
    for role in matching.open_roles:
        near = {
            column: score
            for column in matching.free
            if (score := _nearness(plain(column), matching.words[role])) >= _NEAR
        }
        best = [column for column, score in near.items() if score >= max(near.values()) - 2]
        _take_only(matching, role, best, f"a near miss of '{matching.words[role][0]}'")


def _take_only(matching: Matching, role: str, columns: list[str], how: str) -> None:
    if role == 'position':
        columns = [column for column in columns if looks_numeric(matching.frame[column])]
    if len(columns) == 1:
        matching.take(role, columns[0], how)
    elif len(columns) > 1 and (role in _DECISIVE or role not in ROLE_WORDS):
        raise ColumnsNotFound(
            f"more than one column that could be the {role}: {_listed(columns)}",
            where=matching.where,
            expected=f"one column for the {role}",
            remedy=f"say which with --map {role}={columns[0]!r}",
        )


def _strong(words: tuple[str, ...]) -> list[str]:
    return [word for word in words if word not in WEAK_WORDS]


def _nearness(name: str, words: Sequence[str]) -> float:
    if len(name) < 4 or name in NEVER_NEAR or name[-1:].isdigit():
        return 0.0
    return max((fuzz.ratio(name, word) for word in words if len(word) > 3), default=0.0)


def looks_numeric(column: pl.Series) -> bool:
    """Whether nearly every cell of the column's beginning that is filled is a number."""
    if column.dtype.is_numeric():
        return True
    values, unread = numbers_of(column.drop_nulls().head(_SAMPLE))
    read = int(np.isfinite(values).sum())
    return read > 0 and int(unread.sum()) <= 0.1 * (read + int(unread.sum()))


def find_column(columns: Iterable[str], name: str) -> str | None:
    """The column called `name`, letter for letter or else in plain form."""
    columns = list(columns)
    if name in columns:
        return name
    alike = [column for column in columns if plain(column) == plain(name)]
    return alike[0] if len(alike) == 1 else None


def not_found(found: str, columns: Sequence[str], where: str, remedy: str = '') -> ColumnsNotFound:
    """The refusal that lists the columns there are."""
    return ColumnsNotFound(
        found,
        where=where,
        expected=f"one of the columns {_listed(columns)}",
        remedy=remedy or "say which column it is with --map role=column",
    )


def nearest(columns: Sequence[str], role: str) -> str:
    """The column whose name is least unlike a word for the role."""
    words = [plain(word) for word in ROLE_WORDS[role]]
    return max(columns, key=lambda column: max(fuzz.ratio(plain(column), w) for w in words))


def _listed(columns: Sequence[str]) -> str:
    shown = ', '.join(repr(column[:40]) for column in columns[:20])
    return shown if len(columns) <= 20 else f"{shown} and {len(columns) - 20} more"
