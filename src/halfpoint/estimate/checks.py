"""What is refused before anything is estimated, and why."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from halfpoint.errors import EstimateError, TooFewMarks
from halfpoint.estimate.design import Design, Factor, Form, met_cells

# Marks outside this range lose their squares to the limits of the machine's numbers.
MOST = 1e100
LEAST = 1e-100


def check_frame(frame: pl.DataFrame, responses: Sequence[str]) -> None:
    """Refuse a frame without marks, or with marks that belong to nobody or are no numbers.

    Raises:
        TooFewMarks: no marks at all.
        EstimateError: a gap in a column that must be full, or a mark that is no number.
    """
    if frame.is_empty():
        raise TooFewMarks(
            'there are no marks',
            expected='marks of at least two wines by at least two tasters',
            remedy='gather marks first',
        )
    for column in ('taster', 'wine', 'site'):
        if column in frame.columns and frame.get_column(column).null_count():
            raise EstimateError(
                f'{frame.get_column(column).null_count()} marks tell no {column}',
                where=column,
                remedy=f'fill in the {column}, or leave those marks out',
            )
    for column in responses:
        _check_marks(frame.get_column(column).cast(pl.Float64).to_numpy(), column)


def _check_marks(marks: NDArray[np.float64], column: str) -> None:
    # One pass each; a gap or an infinity shows in one of them.
    low, high = float(marks.min()), float(marks.max())
    if not np.isfinite(low) or not np.isfinite(high):
        raise EstimateError(
            f'{np.count_nonzero(~np.isfinite(marks))} marks are missing or no numbers',
            where=column,
            remedy='fill them in, or leave those rows out',
        )
    largest = max(abs(low), abs(high))
    if largest > MOST or 0.0 < largest < LEAST:
        raise EstimateError(
            f'marks as {"large" if largest > 1.0 else "small"} as {largest:g} cannot be weighed',
            where=column,
            expected='marks of an ordinary size',
            remedy='count them in another unit',
        )


def check_enough(design: Design, form: Form) -> None:
    """Refuse what no model can weigh.

    Raises:
        TooFewMarks: one wine, or no more marks than fixed effects.
    """
    if design.wine.size < 2 and not design.covariates:
        raise TooFewMarks(
            f'there is one wine only ({design.wine.labels[0]})',
            expected='at least two wines to compare',
            remedy='add marks of another wine',
        )
    needed = (design.wine.size if form == 'fixed' else 2) + len(design.covariates)
    if design.marks <= needed:
        raise TooFewMarks(
            f'{design.marks} marks of {design.wine.size} wines leave nothing to judge '
            'the uncertainty by',
            expected=f'more than {needed} marks',
            remedy='gather marks from more tasters',
        )


def check_effects(design: Design, form: Form) -> None:
    """Refuse random effects that sort the marks as the wines or each other do.

    Raises:
        EstimateError: naming the two that cannot be told apart.
    """
    for effect in design.effects:
        if alike(effect, design.wine):
            raise EstimateError(
                f'the effect "{effect.name}" cannot be told from the wines',
                where='--effects',
                remedy='leave it out; --wines random takes the wines themselves as random'
                if form == 'fixed'
                else 'leave it out: the wines are random already',
            )
    for one, other in combinations(design.effects, 2):
        if alike(one, other):
            raise EstimateError(
                f'the effects "{one.name}" and "{other.name}" cannot be told apart: '
                'they sort the marks in the same way',
                where='--effects',
                remedy='leave one of them out',
            )


def alike(one: Factor, other: Factor) -> bool:
    """Whether two factors sort the marks into the same groups."""
    return one.size == other.size == met_cells(one, other).size
