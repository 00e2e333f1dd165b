"""What a term goes with: how much higher or lower the marks are where it was ticked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr, stdtrit

from halfpoint.aroma.ticks import Bools, Floats, Ints


@dataclass(frozen=True, slots=True)
class GoesWith:
    """Change of the mark when a term is ticked, same taster; None where nobody did both.

    `tasters` ticked it for some of their wines and not for others: only they tell.
    """

    change: float | None
    se: float | None
    low: float | None
    high: float | None
    p: float | None
    tasters: int
    ticked: int


@dataclass(frozen=True, slots=True)
class Penalty:
    """Mean of a group against the reference: how far it lies below, and how sure that is.

    `t` pools the variances (Student), `welch_t` does not; `weighted` is the drop times the share
    of all marks that are in the group.
    """

    count: int
    share: float
    mean: float
    drop: float
    t: float
    df: float
    p: float
    welch_t: float
    welch_df: float
    welch_p: float
    weighted: float


def goes_with(mark: Floats, ticked: Bools, taster: Ints, level: float = 0.95) -> GoesWith:
    """Regression within tasters of the mark on one term's tick; standard error by taster.

    Fixed effects of tasters are swept out, and the error allows for marks of one taster going
    together: Arellano (1987), Oxford Bulletin of Economics and Statistics 49, 431-434, with the
    factor G/(G-1) and t on G - 1 degrees of freedom, G telling tasters.

    Args:
        mark: shape (entries,).
        ticked: whether the term was ticked, shape (entries,).
        taster: from 0, shape (entries,).
        level: of the interval.
    """
    number = int(taster.max(initial=-1)) + 1
    count = np.maximum(1, np.bincount(taster, minlength=number))
    share = np.bincount(taster, ticked, number) / count
    telling = (share > 0) & (share < 1)
    tasters = int(telling.sum())
    if tasters == 0:
        return GoesWith(None, None, None, None, None, 0, int(ticked.sum()))
    x = ticked - share[taster]
    y = mark - (np.bincount(taster, mark, number) / count)[taster]
    spread = float(x @ x)
    change = float(x @ y) / spread
    if tasters == 1:
        return GoesWith(change, None, None, None, None, 1, int(ticked.sum()))
    scores = np.bincount(taster, x * (y - change * x), number)
    se = float(np.sqrt(np.square(scores).sum() * tasters / (tasters - 1)) / spread)
    reach = se * float(stdtrit(tasters - 1, 0.5 + level / 2))
    p = float(2 * stdtr(tasters - 1, -abs(change) / se)) if se > 0 else None
    return GoesWith(change, se, change - reach, change + reach, p, tasters, int(ticked.sum()))


def penalty(group: Floats, reference: Floats, of: int) -> Penalty:
    """Mean drop of `group` (n,) below `reference` (m,); `of` is how many marks there are in all.

    Two-sample t tests with pooled variance and Welch's (1947), Biometrika 34, 28-35. Two marks
    in each are needed; fewer give NaN.
    """
    n, m = len(group), len(reference)
    drop = float(reference.mean() - group.mean())
    with np.errstate(divide='ignore', invalid='ignore'):
        parts = np.array([group.var(ddof=1) / n if n > 1 else np.nan,
                          reference.var(ddof=1) / m if m > 1 else np.nan])  # fmt: skip
        pooled = (parts[0] * n * (n - 1) + parts[1] * m * (m - 1)) / (n + m - 2)
        t = drop / np.sqrt(pooled * (1 / n + 1 / m))
        welch = drop / np.sqrt(parts.sum())
        df = parts.sum() ** 2 / (parts[0] ** 2 / (n - 1) + parts[1] ** 2 / (m - 1))
    return Penalty(
        count=n,
        share=n / of,
        mean=float(group.mean()),
        drop=drop,
        t=float(t),
        df=n + m - 2,
        p=float(2 * stdtr(n + m - 2, -abs(t))),
        welch_t=float(welch),
        welch_df=float(df),
        welch_p=float(2 * stdtr(df, -abs(welch))),
        weighted=drop * n / of,
    )
