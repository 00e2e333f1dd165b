"""Scale use from what the main estimate has in hand."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from halfpoint.errors import EstimateError
from halfpoint.estimate.design import Design
from halfpoint.estimate.scale.fit import ScaleFit, fit_scale
from halfpoint.estimate.scale.mixed_assessor import MixedAssessor, mixed_assessor
from halfpoint.estimate.scale.said import ScaleFindings, ScaleLine, ScaleWine
from halfpoint.estimate.scale.sums import Floats
from halfpoint.estimate.threads import calm_threads
from halfpoint.estimate.weigh import Fit

SURE = 0.05


def marks_level(fit: Fit) -> Floats:
    """Marks (n,) less what covariates are estimated to add, in points."""
    design = fit.weighing.design
    column = design.names.index(fit.column)
    marks = design.responses[:, column] + design.centres[column]
    slopes = fit.scores.estimates[fit.scores.wines :]
    for slope, covariate in zip(slopes, design.covariates, strict=True):
        marks = marks - slope * covariate.values
    return np.asarray(marks)


def marks_alone(fit: Fit) -> Floats:
    """Marks (n,) less what covariates, rooms and bottles are estimated to add, in points."""
    design = fit.weighing.design
    marks = marks_level(fit)
    found = fit.predictions
    if design.site is not None and found.rooms is not None:
        marks = marks - found.rooms[design.site.codes]
    if design.site is not None and found.bottles is not None:
        table = np.zeros((design.site.size, design.wine.size))
        table[found.bottles.site, found.bottles.wine] = found.bottles.effect
        marks = marks - table[design.site.codes, design.wine.codes]
    return np.asarray(marks)


def fit_weighed(fit: Fit) -> ScaleFit:
    """Scale use of one kind of mark that has been fitted.

    Raises:
        EstimateError and its kinds: there is no taster in the model, or see `fit_scale`.
    """
    design = fit.weighing.design
    if design.taster is None:
        raise EstimateError("no column tells the taster", where="scale use")
    with calm_threads():
        return fit_scale(marks_alone(fit), design.taster.codes, design.wine.codes)


def say_scale(fit: Fit, scale: ScaleFit) -> ScaleFindings:
    """What the fit says, wines by name in the order of the scores."""
    labels = fit.weighing.design.wine.labels
    order = np.argsort(-scale.scores.value, kind='stable')
    moved = scale.scores.value - scale.scores.value.mean() - fit.estimates + fit.estimates.mean()
    noise = np.sort(scale.noise.value)
    tenth = max(1, noise.size // 10)
    ratio = float(noise[-tenth:].mean() / noise[:tenth].mean())
    return ScaleFindings(
        marks=scale.marks,
        severity_sd=scale.severity_sd,
        spread_sd=scale.spread_sd,
        noise_sd=scale.noise_sd,
        freedom=scale.freedom,
        noise_ratio=ratio,
        p_spread=scale.p_spread,
        wines=tuple(
            ScaleWine(
                labels[i],
                float(scale.scores.value[i]),
                float(scale.scores.se[i]),
                float(scale.scores.low[i]),
                float(scale.scores.high[i]),
            )
            for i in order.tolist()
        ),
        largest_move=float(np.abs(moved).max()),
        table=tuple(_lines(fit)),
        sentence=_sentence(scale, float(np.abs(moved).max())),
    )


def _sentence(scale: ScaleFit, largest: float) -> str:
    if scale.p_spread < SURE:
        first = (
            "Tasters stretch the scale differently: for the same two wines, one in six puts them "
            f"less than {max(0.0, 1 - scale.spread_sd):.1f} times as far apart as most do, and one "
            f"in six more than {1 + scale.spread_sd:.1f} times."
        )
    else:
        first = "The marks do not show that tasters stretch the scale differently."
    return (
        f"{first} Weighing steadier tasters more moves no wine by more than {largest:.2f} points."
    )


def _lines(fit: Fit) -> Iterator[ScaleLine]:
    table = _complete(fit)
    if table is None:
        return
    tests = {
        'product': 'product',
        'scaling': 'scaling',
        'disagreement': 'disagreement',
    }
    for term, line in table.lines.items():
        test = table.tests.get(tests.get(term, ''))
        yield ScaleLine(
            term,
            line.df,
            line.sum_of_squares,
            line.mean_square,
            None if test is None else test.f,
            None if test is None else test.p,
        )


def _complete(fit: Fit) -> MixedAssessor | None:
    """The classical table over tasters who marked every wine equally often."""
    cube = cube_of(fit.weighing.design, marks_alone(fit))
    if cube is None:
        return None
    try:
        return mixed_assessor(cube)
    except EstimateError:
        return None


def cube_of(design: Design, marks: Floats) -> Floats | None:
    """Marks of those who had every wine, shape (tasters, wines, repeats); None with none.

    Repeats are as many as every one of them gave every wine; further pours are left out.
    """
    if design.taster is None:
        return None
    wines = design.wine.size
    cell = design.taster.codes * wines + design.wine.codes
    order = np.argsort(cell, kind='stable')
    counts = np.bincount(cell, minlength=design.taster.size * wines).reshape(-1, wines)
    complete = counts.min(axis=1) > 0
    if not complete.any():
        return None
    repeats = int(counts[complete].min())
    first = np.concatenate([[0], np.cumsum(counts.ravel())[:-1]]).reshape(counts.shape)
    places = first[complete][:, :, None] + np.arange(repeats)
    return np.asarray(marks[order][places])
