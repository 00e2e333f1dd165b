"""The map of wines and terms, and how firmly each wine stands where it is drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtrc, chdtri

from halfpoint.aroma.ticks import Floats, Ticks
from halfpoint.errors import TooFewMarks


@dataclass(frozen=True, slots=True)
class Correspondence:
    """Correspondence analysis of a table of counts.

    `rows` and `columns` are principal coordinates, shapes (rows, axes) and (columns, axes), so
    that distances between rows are chi-square distances; `standard` are the columns' standard
    coordinates; `inertias` what each axis holds. Each axis points so that its largest column
    coordinate is positive.
    """

    rows: Floats
    columns: Floats
    standard: Floats
    inertias: Floats
    row_mass: Floats
    column_mass: Floats
    row_inertia: Floats
    chi_square: float
    df: int
    p: float

    @property
    def shares(self) -> Floats:
        """The part of all inertia that each axis holds."""
        return np.asarray(self.inertias / self.inertias.sum())


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Where a wine might as well stand: centre, half axes, and turn of the first, in radians."""

    centre: tuple[float, float]
    half_axes: tuple[float, float]
    turn: float


def correspond(counts: Floats) -> Correspondence:
    """Correspondence analysis of counts, shape (rows, columns).

    Greenacre (2017), Correspondence Analysis in Practice, 3rd edition, appendix A.

    Raises:
        TooFewMarks: fewer than two rows or columns, or one without any count.
    """
    _refuse_empty(counts)
    share = counts / counts.sum()
    row_mass, column_mass = share.sum(axis=1), share.sum(axis=0)
    expected = np.outer(row_mass, column_mass)
    residual = (share - expected) / np.sqrt(expected)
    left, values, right = np.linalg.svd(residual, full_matrices=False)
    axes = max(1, min(counts.shape) - 1)
    left, values, right = left[:, :axes], values[:axes], right[:axes].T
    sign = np.sign(right[np.abs(right).argmax(axis=0), np.arange(axes)])
    standard = sign * right / np.sqrt(column_mass)[:, None]
    chi_square = float(counts.sum() * np.square(residual).sum())
    df = (counts.shape[0] - 1) * (counts.shape[1] - 1)
    return Correspondence(
        rows=sign * left * values / np.sqrt(row_mass)[:, None],
        columns=standard * values,
        standard=standard,
        inertias=np.square(values),
        row_mass=row_mass,
        column_mass=column_mass,
        row_inertia=np.square(residual).sum(axis=1),
        chi_square=chi_square,
        df=df,
        p=float(chdtrc(df, chi_square)),
    )


def wine_ellipses(
    ticks: Ticks, terms: list[int], found: Correspondence, *, draws: int, seed: int
) -> tuple[Ellipse | None, ...]:
    """95 % ellipses of wines on the first two axes, tasters drawn anew `draws` times.

    Each drawn table's wines are placed on the axes of the table as it is (partial bootstrap:
    Greenacre 2017, chapter 29), so that maps need not be turned to fit one another. None for a
    wine with nothing ticked, or a map of one axis. The p value of a map's chi square takes ticks
    as independent, which those of one taster are not; the ellipses do not.
    """
    if found.standard.shape[1] < 2:
        return (None,) * ticks.wines
    by_taster = np.zeros((ticks.tasters, ticks.wines, len(terms)))
    np.add.at(by_taster, (ticks.taster, ticks.wine), ticks.ticked[:, terms])
    came = np.unique(ticks.taster)
    rng = np.random.default_rng(seed)
    times = rng.multinomial(len(came), np.full(len(came), 1.0 / len(came)), size=draws)
    flat = by_taster[came].reshape(len(came), -1)
    tables = (times.astype(np.float64) @ flat).reshape(draws, ticks.wines, len(terms))
    ticked = tables.sum(axis=2)
    with np.errstate(divide='ignore', invalid='ignore'):
        places = tables @ found.standard[:, :2] / ticked[:, :, None]
    return tuple(
        _ellipse(places[ticked[:, wine] > 0, wine], found.rows[wine, :2])
        for wine in range(ticks.wines)
    )


def _ellipse(places: Floats, centre: Floats) -> Ellipse | None:
    if len(places) < 3:
        return None
    spread, turned = np.linalg.eigh(np.cov(places.T))
    long, short = np.sqrt(np.maximum(0.0, spread[::-1]) * chdtri(2, 0.05))
    turn = float(np.arctan2(turned[1, 1], turned[0, 1]))
    return Ellipse((float(centre[0]), float(centre[1])), (float(long), float(short)), turn)


def _refuse_empty(counts: Floats) -> None:
    if counts.ndim != 2 or min(counts.shape) < 2:
        raise TooFewMarks(
            f"a table of {' by '.join(map(str, counts.shape))}",
            where="the map of wines and terms",
            expected="at least two wines and two terms",
        )
    if not (counts.sum(axis=0).all() and counts.sum(axis=1).all()):
        raise TooFewMarks(
            "a wine or a term without any tick",
            where="the map of wines and terms",
            expected="only wines and terms that were ticked",
        )
