"""Intraclass correlations: how much of what is seen in a mark, or in a mean, is the wine."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import fdtrc, fdtri

from halfpoint.panel.two_way import Floats, TwoWay, two_way

Form = Literal['ICC(1)', 'ICC(A,1)', 'ICC(C,1)', 'ICC(k)', 'ICC(A,k)', 'ICC(C,k)']


@dataclass(frozen=True, slots=True)
class Intraclass:
    """One form: its value, F test against 0 where there is one, and interval at `level`.

    `form` as McGraw and Wong write it: (1) tasters differ from wine to wine, A absolute
    agreement, C consistency (severity left out); 1 for one taster's mark, k for the mean of all.
    """

    form: Form
    value: float
    low: float | None
    high: float | None
    f: float | None
    num_df: float | None
    den_df: float | None
    p: float | None


def intraclass(marks: Floats, level: float = 0.95) -> tuple[Intraclass, ...]:
    """All six forms for complete marks, shape (wines, tasters), with F-based intervals.

    Shrout and Fleiss (1979), Psychological Bulletin 86, 420-428, equations 1 to 11; the forms'
    names and the freedom of the agreement forms' intervals (Satterthwaite) by McGraw and Wong
    (1996), Psychological Methods 1, 30-46.

    Raises:
        TooFewMarks, NoVariation: see `two_way`.
    """
    split = two_way(marks)
    single = tuple(_single(split, 0.5 + level / 2.0))
    return (*single, *(_mean_of(form, split.tasters) for form in single))


def from_components(
    *, wine: float, taster: float, left: float, tasters: float
) -> tuple[Intraclass, ...]:
    """The four two-way forms from variance components, where marks are missing.

    `left` is all that is neither wine nor taster; `tasters` how many marks a wine has
    (the harmonic mean where they differ). Without intervals.
    McGraw and Wong (1996), Table 4.
    """
    agreement = _share(wine, taster + left)
    consistency = _share(wine, left)
    singles = (
        Intraclass('ICC(A,1)', agreement, None, None, None, None, None, None),
        Intraclass('ICC(C,1)', consistency, None, None, None, None, None, None),
    )
    return (*singles, *(_mean_of(form, tasters) for form in singles))


def _share(wine: float, other: float) -> float:
    return wine / (wine + other) if wine + other > 0.0 else float('nan')


def _single(split: TwoWay, quantile: float) -> Iterator[Intraclass]:
    n, k = split.wines, split.tasters
    yield _by_f('ICC(1)', split.between, split.within, (n - 1, n * (k - 1)), k, quantile)
    consistent = _by_f(
        'ICC(C,1)', split.between, split.left, (n - 1, (n - 1) * (k - 1)), k, quantile
    )
    yield _agreement(split, consistent, quantile)
    yield consistent


def _by_f(
    form: Form, above: float, below: float, df: tuple[int, int], k: int, quantile: float
) -> Intraclass:
    """(MS - MS') / (MS + (k - 1) MS'), whose interval is that of the ratio MS / MS'."""
    value = (above - below) / (above + (k - 1) * below)
    if below == 0.0:
        return Intraclass(form, value, value, value, None, *df, 0.0)
    ratio = above / below
    least = ratio / fdtri(*df, quantile)
    most = ratio * fdtri(df[1], df[0], quantile)
    return Intraclass(
        form,
        value,
        float((least - 1) / (least + k - 1)),
        float((most - 1) / (most + k - 1)),
        ratio,
        *df,
        float(fdtrc(*df, ratio)),
    )


def _agreement(split: TwoWay, consistent: Intraclass, quantile: float) -> Intraclass:
    n, k = split.wines, split.tasters
    between, tasters, left = split.between, split.tasters_mean_square, split.left
    value = (between - left) / (between + (k - 1) * left + k * (tasters - left) / n)
    low, high = _agreement_interval(split, value, quantile)
    return Intraclass(
        'ICC(A,1)',
        value,
        low,
        high,
        consistent.f,
        consistent.num_df,
        consistent.den_df,
        consistent.p,
    )


def _agreement_interval(
    split: TwoWay, value: float, quantile: float
) -> tuple[float | None, float | None]:
    n, k = split.wines, split.tasters
    between, tasters, left = split.between, split.tasters_mean_square, split.left
    if left == 0.0:
        return None, None
    ratio = tasters / left
    weight = n * (1 + (k - 1) * value) - k * value
    df = (
        (k - 1) * (n - 1) * (k * value * ratio + weight) ** 2
        / ((n - 1) * (k * value * ratio) ** 2 + weight**2)
    )  # fmt: skip
    above = fdtri(n - 1, df, quantile)
    below = fdtri(df, n - 1, quantile)
    spare = k * tasters + (k * n - k - n) * left
    low = n * (between - above * left) / (above * spare + n * between)
    high = n * (below * between - left) / (spare + n * below * between)
    return float(low), float(high)


_OF_MEAN: dict[Form, Form] = {'ICC(1)': 'ICC(k)', 'ICC(A,1)': 'ICC(A,k)', 'ICC(C,1)': 'ICC(C,k)'}


def _mean_of(single: Intraclass, k: float) -> Intraclass:
    """Spearman and Brown's step from one taster to the mean of k."""
    return Intraclass(
        _OF_MEAN[single.form],
        _stepped_up(single.value, k),
        None if single.low is None else _stepped_up(single.low, k),
        None if single.high is None else _stepped_up(single.high, k),
        single.f,
        single.num_df,
        single.den_df,
        single.p,
    )


def _stepped_up(value: float, k: float) -> float:
    below = 1.0 + (k - 1.0) * value
    return float(k * value / below) if below > 0.0 else float(-np.inf)
