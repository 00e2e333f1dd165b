"""The classical table: product, scaling and disagreement, where every taster marked every wine.

Brockhoff, Schlich and Skovgaard (2015), Food Quality and Preference 39, 156-166; the slope on
the wine means is the row-linear model of Mandel (1961), Technometrics 3, 183-193.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import fdtrc

from halfpoint.errors import NoVariation, TooFewMarks

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the table; `mean_square` is None on no degree of freedom."""

    df: int
    sum_of_squares: float

    @property
    def mean_square(self) -> float | None:
        """Sum of squares over degrees of freedom."""
        return self.sum_of_squares / self.df if self.df else None


@dataclass(frozen=True, slots=True)
class FTest:
    """An F ratio and its p."""

    f: float
    num_df: int
    den_df: int
    p: float


@dataclass(frozen=True, slots=True)
class MixedAssessor:
    """The table, and what it says of each taster.

    `lines` are product, taster, interaction (scaling and disagreement together), scaling,
    disagreement and, with repeats, error. `tests` are product (against disagreement),
    product_plain (against interaction), scaling, and with repeats disagreement and interaction.
    `slopes` (tasters,) have mean 1; `agreement` is each taster's correlation with the mean of
    the others, NaN for one who gave every wine the same.
    """

    wine_effects: Floats
    taster_means: Floats
    slopes: Floats
    lines: dict[str, Line]
    tests: dict[str, FTest]
    agreement: Floats


def mixed_assessor(marks: Floats) -> MixedAssessor:
    """Split complete marks, shape (tasters, wines, repeats).

    Raises:
        TooFewMarks: fewer than two tasters or three wines, or a mark is missing.
        NoVariation: the wine means are all alike, so that there is no scale to stretch.
    """
    _check(marks)
    tasters, wines, repeats = marks.shape
    cells = marks.mean(axis=2)
    grand = cells.mean()
    wine, taster = cells.mean(axis=0) - grand, cells.mean(axis=1)
    length = float(wine @ wine)
    if length <= 1e-14 * max(1.0, grand * grand):
        raise NoVariation("every wine has the same mean", where="the table of scale use")
    slopes = (cells @ wine) / length
    inter = cells - taster[:, None] - wine
    lines = {
        'product': Line(wines - 1, tasters * repeats * length),
        'taster': Line(tasters - 1, wines * repeats * float(np.square(taster - grand).sum())),
        'interaction': Line((tasters - 1) * (wines - 1), repeats * float(np.square(inter).sum())),
        'scaling': Line(tasters - 1, repeats * float(np.square(slopes - 1.0).sum()) * length),
    }
    lines['disagreement'] = Line(
        (tasters - 1) * (wines - 2),
        max(0.0, lines['interaction'].sum_of_squares - lines['scaling'].sum_of_squares),
    )
    if repeats > 1:
        within = float(np.square(marks - cells[:, :, None]).sum())
        lines['error'] = Line(tasters * wines * (repeats - 1), within)
    return MixedAssessor(wine, taster, slopes, lines, _tests(lines), _agreement(cells))


def _tests(lines: dict[str, Line]) -> dict[str, FTest]:
    wanted = {
        'product': ('product', 'disagreement'),
        'product_plain': ('product', 'interaction'),
        'scaling': ('scaling', 'disagreement'),
        'disagreement': ('disagreement', 'error'),
        'interaction': ('interaction', 'error'),
    }
    made = {}
    for name, (above, below) in wanted.items():
        if below not in lines:
            continue
        over, under = lines[above].mean_square, lines[below].mean_square
        if over is None or not under:
            continue
        df = lines[above].df, lines[below].df
        made[name] = FTest(over / under, *df, float(fdtrc(*df, over / under)))
    return made


def _agreement(cells: Floats) -> Floats:
    others = (cells.sum(axis=0) - cells) / (len(cells) - 1)
    own = cells - cells.mean(axis=1, keepdims=True)
    rest = others - others.mean(axis=1, keepdims=True)
    length = np.sqrt(np.square(own).sum(axis=1) * np.square(rest).sum(axis=1))
    with np.errstate(invalid='ignore', divide='ignore'):
        return np.asarray((own * rest).sum(axis=1) / np.where(length > 0, length, np.nan))


def _check(marks: Floats) -> None:
    if marks.ndim != 3 or marks.shape[0] < 2 or marks.shape[1] < 3 or marks.shape[2] < 1:
        raise TooFewMarks(
            f"{' by '.join(map(str, marks.shape))} of tasters, wines and repeats",
            where="the table of scale use",
            expected="at least two tasters and three wines",
        )
    if np.isnan(marks).any():
        raise TooFewMarks(
            f"{int(np.isnan(marks).sum())} of {marks.size} marks are missing",
            where="the table of scale use",
            expected="a mark in every cell",
            remedy="use the fit of scale use, which allows for missing marks",
        )
