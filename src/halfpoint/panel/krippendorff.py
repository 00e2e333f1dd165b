"""Krippendorff's α: agreement beyond chance, whatever marks are missing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from halfpoint.errors import NoVariation, TooFewMarks
from halfpoint.panel.two_way import Floats

Metric = Literal['nominal', 'ordinal', 'interval', 'ratio']


@dataclass(frozen=True, slots=True)
class Agreement:
    """α: 1 when all agree, 0 when no better than marks dealt at random.

    `pairable` is how many marks stand beside another mark for the same wine.
    """

    alpha: float
    metric: Metric
    pairable: int


def krippendorff(marks: Floats, metric: Metric = 'ordinal') -> Agreement:
    """Krippendorff's α of marks, shape (wines, tasters), NaN where there is none.

    Krippendorff (2004), Content Analysis, 2nd edition, section 11.3.

    Raises:
        TooFewMarks: no wine has two marks.
        NoVariation: every mark is the same.
    """
    told = marks[(~np.isnan(marks)).sum(axis=1) >= 2]
    values, place = np.unique(told[~np.isnan(told)], return_inverse=True)
    if told.size == 0:
        raise TooFewMarks("no wine has two marks", where="Krippendorff's alpha")
    if len(values) < 2:
        raise NoVariation("every mark is the same", where="Krippendorff's alpha")
    row = np.nonzero(~np.isnan(told))[0]
    counts = np.zeros((told.shape[0], len(values)))
    np.add.at(counts, (row, place), 1.0)
    weight = 1.0 / (counts.sum(axis=1) - 1.0)
    coincidence = (counts * weight[:, None]).T @ counts - np.diag(weight @ counts)
    margin = counts.sum(axis=0)
    apart = _apart(values, margin, metric)
    observed = (coincidence * apart).sum()
    expected = (np.outer(margin, margin) * apart).sum() / (margin.sum() - 1.0)
    return Agreement(float(1.0 - observed / expected), metric, int(margin.sum()))


def _apart(values: Floats, margin: Floats, metric: Metric) -> Floats:
    """Squared difference of every two values."""
    if metric == 'nominal':
        return 1.0 - np.eye(len(values))
    if metric == 'interval':
        return np.asarray(np.square(values[:, None] - values))
    if metric == 'ratio':
        together = values[:, None] + values
        with np.errstate(invalid='ignore', divide='ignore'):
            return np.nan_to_num(np.square((values[:, None] - values) / together))
    # How many marks lie between two values, half of the marks at each end included.
    middle = np.cumsum(margin) - margin / 2.0
    return np.asarray(np.square(middle[:, None] - middle))
