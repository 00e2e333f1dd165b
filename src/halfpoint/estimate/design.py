"""From a tidy frame of marks to the arrays that the estimate works on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
import polars as pl
from numpy.typing import NDArray

from halfpoint.errors import EstimateError

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]
Form = Literal['fixed', 'random']

# Up to this many combinations are counted in a table; more are sorted.
MOST_CELLS = 100_000_000


@dataclass(frozen=True)
class Factor:
    """Who or what each mark belongs to: `codes` (n,) from 0 to `size` - 1.

    `names` are in sorted order; None for combinations, whose names nobody asks for.
    """

    name: str
    codes: Codes
    size: int
    names: pl.Series | None = None

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """The names of the levels, in the order of the codes."""
        return () if self.names is None else tuple(self.names.to_list())


@dataclass(frozen=True, slots=True)
class Covariate:
    """One column of x, centred so that zero is the average (or the mean of the levels)."""

    name: str
    level: str | None
    values: Floats
    centre: float


@dataclass(frozen=True, slots=True)
class Design:
    """The marks as arrays. `responses` (n, m) are centred at `centres` (m,)."""

    wine: Factor
    taster: Factor | None
    site: Factor | None
    effects: tuple[Factor, ...]
    covariates: tuple[Covariate, ...]
    names: tuple[str, ...]
    responses: Floats
    centres: Floats

    @property
    def marks(self) -> int:
        """The number of marks of each kind, n."""
        return int(self.responses.shape[0])

    def effect(self, name: str) -> Factor | None:
        """The random effect of this name, if it is in the model."""
        return next((effect for effect in self.effects if effect.name == name), None)


def make_design(
    frame: pl.DataFrame,
    responses: Sequence[str],
    *,
    effects: Sequence[str] | None,
    covariates: Sequence[str],
) -> Design:
    """Arrays from a tidy frame with columns `taster`, `wine`, maybe `site`, and marks.

    Raises:
        EstimateError: an effect or covariate that the table does not support.
    """
    wine = factor(frame, 'wine')
    taster = factor(frame, 'taster') if 'taster' in frame.columns else None
    site = factor(frame, 'site') if 'site' in frame.columns else None
    named = {f.name: f for f in (wine, taster, site) if f is not None}
    _refuse_twice(covariates, '--covariate')
    known = tuple(c for name in covariates for c in _covariate(frame, name))
    if effects is None:
        chosen = tuple(e for e in _supported(named, len(known)) if e.name not in covariates)
    else:
        _refuse_twice(effects, '--effects')
        chosen = tuple(_effect(frame, named, name) for name in effects)
    raw = frame.select(pl.col(list(responses)).cast(pl.Float64)).to_numpy()
    centres = raw.mean(axis=0)
    return Design(
        wine=wine,
        taster=taster,
        site=site,
        effects=chosen,
        covariates=known,
        names=tuple(responses),
        responses=raw - centres,
        centres=centres,
    )


def _refuse_twice(names: Sequence[str], where: str) -> None:
    for name in names:
        if names.count(name) > 1:
            raise EstimateError(f'"{name}" stands twice', where=where, remedy='name it once')


def factor(frame: pl.DataFrame, column: str) -> Factor:
    """Codes of a column, its labels in sorted order so that row order does not matter."""
    values = frame.get_column(column)
    if values.dtype not in (pl.Categorical, pl.Enum):
        values = values.cast(pl.String).cast(pl.Categorical)
    codes = values.to_physical().to_numpy().astype(np.int64)
    somewhere = np.full(int(codes.max()) + 1, -1, dtype=np.int64)
    somewhere[codes] = np.arange(codes.size)
    used = np.flatnonzero(somewhere >= 0)
    names = values.gather(somewhere[used]).cast(pl.String)
    order = names.arg_sort().to_numpy()
    place = np.empty(somewhere.size, dtype=np.int64)
    place[used[order]] = np.arange(used.size)
    return Factor(column, place[codes], used.size, names.gather(order))


def combine(name: str, parts: Sequence[Factor]) -> Factor:
    """The factor of all combinations that occur of several factors."""
    codes, size = parts[0].codes, parts[0].size
    for part in parts[1:]:
        codes, size = _dense(codes * part.size + part.codes, size * part.size)
    return Factor(name, codes, size)


def met_cells(one: Factor, other: Factor) -> Codes:
    """Cells `one * other.size + other` that hold at least one mark, ascending."""
    cells = one.codes * other.size + other.codes
    if one.size * other.size > MOST_CELLS:
        return np.unique(cells)
    return np.flatnonzero(np.bincount(cells, minlength=one.size * other.size))


def _dense(codes: Codes, size: int) -> tuple[Codes, int]:
    """Codes renumbered without gaps, and how many there are."""
    if size > MOST_CELLS:
        values, dense = np.unique(codes, return_inverse=True)
        return dense.astype(np.int64), values.size
    met = np.bincount(codes, minlength=size) > 0
    return (np.cumsum(met) - 1)[codes], int(met.sum())


def _effect(frame: pl.DataFrame, named: dict[str, Factor], name: str) -> Factor:
    parts = ('site', 'wine') if name == 'bottle' else tuple(name.split(':'))
    found: list[Factor] = []
    for part in parts:
        if part not in named and part not in frame.columns:
            raise EstimateError(
                f'the effect "{name}" needs a column "{part}"',
                where='--effects',
                expected=f'one of the columns {", ".join(frame.columns)}',
                remedy='leave the effect out, or map a column to it',
            )
        found.append(named[part] if part in named else factor(frame, part))
    made = found[0] if len(found) == 1 else combine(name, found)
    if made.size < 2 or made.size >= frame.height:
        reason = 'has one level only' if made.size < 2 else 'has one mark for each level'
        raise EstimateError(
            f'the effect "{name}" cannot be told from the rest: it {reason}',
            where='--effects',
            remedy='leave it out of --effects',
        )
    return replace(made, name=name)


def _supported(named: dict[str, Factor], covariates: int) -> tuple[Factor, ...]:
    """The main effects that the table can tell apart, beside so many covariates."""
    wine, taster, site = named['wine'], named.get('taster'), named.get('site')
    marks = wine.codes.size
    chosen: list[Factor] = []
    if taster is not None and 2 <= taster.size < marks:
        chosen.append(taster)
    if site is None or site.size < 2:
        return tuple(chosen)
    if taster is None or site.size < taster.size:
        chosen.append(site)
    bottle = combine('bottle', (site, wine))
    # Marks must be left over once every taster and every bottle has had its own mean.
    tasters = site.size if taster is None else taster.size
    left_over = marks - tasters - bottle.size + site.size - covariates
    told_apart = max(wine.size, site.size) < bottle.size and left_over > 0
    if told_apart and (taster is None or site.size < taster.size):
        chosen.append(bottle)
    return tuple(chosen)


def _covariate(frame: pl.DataFrame, name: str) -> list[Covariate]:
    if name not in frame.columns:
        raise EstimateError(
            f'there is no column "{name}"',
            where='--covariate',
            expected=f'one of {", ".join(frame.columns)}',
        )
    column = frame.get_column(name)
    missing = column.null_count()
    if column.dtype.is_numeric():
        missing += int((~column.cast(pl.Float64).is_finite()).sum())
    if missing:
        raise EstimateError(
            f'the covariate "{name}" is missing in {missing} rows',
            where='--covariate',
            remedy='fill it in, or leave the covariate out',
        )
    if column.n_unique() < 2:
        raise EstimateError(
            f'the covariate "{name}" is the same in every row',
            where='--covariate',
            remedy='leave it out: it cannot change any score',
        )
    if column.dtype.is_numeric():
        values = column.cast(pl.Float64).to_numpy()
        centre = float(values.mean())
        return [Covariate(name, None, values - centre, centre)]
    levels = factor(frame, name)
    return [
        Covariate(name, label, (levels.codes == code).astype(float) - 1 / levels.size, 0.0)
        for code, label in enumerate(levels.labels)
        if code > 0
    ]
