"""From a tidy frame of marks to what they say: the flow of the estimate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import polars as pl
from numpy.typing import NDArray

from halfpoint.errors import NoVariation
from halfpoint.estimate.checks import check_effects, check_enough, check_frame
from halfpoint.estimate.connected import parts_of
from halfpoint.estimate.design import Design, Form, make_design
from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.fit import RemlFit, fit_ratios, fit_reml, no_remainder
from halfpoint.estimate.moments import Moments, TasterSums, make_moments, moments_size
from halfpoint.estimate.nested import NESTED_EFFECTS, NestedLayout
from halfpoint.estimate.predict import Predictions, predict_nested
from halfpoint.estimate.say import say_mark
from halfpoint.estimate.scores import Contrast, Scores, WineLayout, scores_at, wine_scores
from halfpoint.estimate.threads import calm_threads

Floats = NDArray[np.float64]

# Moments larger than this many numbers (400 MB) are left to the crossed layout.
MOST_MOMENTS = 50_000_000
# A residual standard deviation below this share of the largest mark is rounding.
ROUNDING = 1e-13


@dataclass(frozen=True, slots=True)
class MarkToWeigh:
    """One kind of mark: its column in the frame, how it is called, and its scale if known."""

    column: str
    label: str
    top: float | None = None
    lowest: float = 0.0
    step: float | None = None

    @property
    def possible(self) -> tuple[float, ...] | None:
        """Every mark that can be given; None when that is not known."""
        if self.top is None or self.step is None:
            return None
        count = round((self.top - self.lowest) / self.step)
        return tuple(self.lowest + self.step * k for k in range(count + 1))


@dataclass(frozen=True)
class Weighing:
    """A design with its moments made once, for every kind of mark in it."""

    design: Design
    form: Form
    moments: Moments | None
    sums: TasterSums | None

    @property
    def effect_names(self) -> tuple[str, ...]:
        """Names of the random effects, wines not among them."""
        return tuple(effect.name for effect in self.design.effects)

    def layout(self, column: str, form: Form) -> WineLayout:
        """The layout that suits the design, for one kind of mark."""
        random_wines = form == 'random'
        if self.moments is not None:
            chosen = self.moments.select(column)
            return NestedLayout(chosen, self.effect_names, random_wines=random_wines)
        # Sparse matrices take a tenth of a second to import, and few tastings cross.
        from halfpoint.estimate.crossed import CrossedLayout  # noqa: PLC0415

        response = self.design.responses[:, self.design.names.index(column)]
        return CrossedLayout(self.design, response, self.design.effects, random_wines=random_wines)


@dataclass(frozen=True)
class Fit:
    """One kind of mark, fitted."""

    weighing: Weighing
    column: str
    form: Form
    reml: RemlFit
    scores: Scores
    centre: float

    @property
    def estimates(self) -> Floats:
        """Adjusted means of the wines (p,), in points."""
        return self.scores.estimates[: self.scores.wines] + self.centre

    def contrast(self, weights: Floats) -> Contrast:
        """A combination of wine scores; weights (p,) in the order of the wine labels."""
        found = self.scores.contrast(np.asarray(weights, dtype=float))
        shift = self.centre * float(np.sum(weights))
        return Contrast(found.estimate + shift, found.se, found.df)

    @cached_property
    def predictions(self) -> Predictions:
        """Severity of tasters and effects of bottles."""
        layout = self.reml.layout
        if isinstance(layout, NestedLayout) and self.weighing.sums is not None:
            response = self.weighing.design.names.index(self.column)
            return predict_nested(layout, self.reml, self.scores, self.weighing.sums, response)
        from halfpoint.estimate.crossed import CrossedLayout  # noqa: PLC0415
        from halfpoint.estimate.predict_crossed import predict_crossed  # noqa: PLC0415

        if isinstance(layout, CrossedLayout):
            return predict_crossed(layout, self.reml)
        return Predictions(None, None)

    @cached_property
    def shrunken(self) -> Floats:
        """Scores with wines taken as random, drawn towards their mean (p,)."""
        if self.form == 'random' or self.scores.wines < 2:
            return self.estimates
        fixed = self.reml.layout
        with calm_threads():
            if isinstance(fixed, NestedLayout):
                layout: WineLayout = fixed.with_random_wines()
            else:
                layout = self.weighing.layout(self.column, 'random')
            start = np.append(self.reml.ratios, max(self._between() / self.reml.residual, 1e-3))
            ratios, _ = fit_ratios(layout, start)
            found, _ = scores_at(layout, ratios, self.scores.wines)
        return found[: self.scores.wines] + self.centre

    def _between(self) -> float:
        """The variance of wines by moments: that of their scores less what is uncertainty."""
        wines = self.scores.wines
        own = self.scores.covariance[:wines, :wines]
        noise = (np.trace(own) - own.sum() / wines) / (wines - 1)
        return float(np.var(self.estimates, ddof=1) - noise)


def prepare(
    frame: pl.DataFrame,
    columns: Sequence[str],
    *,
    effects: Sequence[str] | None = None,
    form: Form = 'fixed',
    covariates: Sequence[str] = (),
) -> Weighing:
    """The design and, where tasters sit within sites, its moments.

    Raises:
        TooFewMarks, EstimateError: what the marks do not allow.
    """
    check_frame(frame, columns)
    design = make_design(frame, columns, effects=effects, covariates=covariates)
    check_effects(design, form)
    if _nested(design):
        # Without room or bottle effects the tasters need not sit within sites.
        moments, sums = make_moments(design if _uses_site(design) else replace(design, site=None))
        return Weighing(design, form, moments, sums)
    return Weighing(design, form, None, None)


def _uses_site(design: Design) -> bool:
    return any(effect.name in {'site', 'bottle'} for effect in design.effects)


def _nested(design: Design) -> bool:
    names = {effect.name for effect in design.effects}
    kept = design if _uses_site(design) else replace(design, site=None)
    if not names <= set(NESTED_EFFECTS) or moments_size(kept) > MOST_MOMENTS:
        return False
    if design.taster is None or kept.site is None or 'taster' not in names:
        return True
    home = np.zeros(design.taster.size, dtype=np.int64)
    home[design.taster.codes] = kept.site.codes
    return bool((home[design.taster.codes] == kept.site.codes).all())


def fit_one(weighing: Weighing, column: str, last: RemlFit | None = None) -> Fit:
    """Fit one kind of mark, `last` being a fit of nearly the same marks, see `fit_reml`.

    Raises:
        NoVariation: all marks are the same, or nothing is left to judge uncertainty by.
        NotConverged: the optimum was not reached.
    """
    check_enough(weighing.design, weighing.form)
    index = weighing.design.names.index(column)
    marks = weighing.design.responses[:, index]
    if np.ptp(marks) == 0.0:
        raise NoVariation(
            f'every mark in "{column}" is {marks[0] + weighing.design.centres[index]:g}',
            expected='marks that differ',
            remedy='check that the right column was taken as the mark',
        )
    layout = weighing.layout(column, weighing.form)
    with calm_threads():
        reml = fit_reml(layout, last)
        if reml.residual < (ROUNDING * np.abs(marks + weighing.design.centres[index]).max()) ** 2:
            raise no_remainder()
        scores = wine_scores(layout, reml, weighing.design.wine.size)
    return Fit(weighing, column, weighing.form, reml, scores, float(weighing.design.centres[index]))


def fit_mark(
    frame: pl.DataFrame,
    column: str = 'total',
    *,
    effects: Sequence[str] | None = None,
    wines: Form = 'fixed',
    covariates: Sequence[str] = (),
) -> Fit:
    """Fit one column of marks of a tidy frame with columns `taster`, `wine`, maybe `site`."""
    return fit_one(
        prepare(frame, [column], effects=effects, form=wines, covariates=covariates), column
    )


def weigh_mark(
    frame: pl.DataFrame,
    column: str = 'total',
    *,
    key: str = 'total',
    label: str = 'Total',
    top: float | None = None,
    effects: Sequence[str] | None = None,
    wines: Form = 'fixed',
    covariates: Sequence[str] = (),
    seed: int = 0,
) -> MarkFindings:
    """Everything that one column of marks says."""
    weighing = prepare(frame, [column], effects=effects, form=wines, covariates=covariates)
    with calm_threads():
        return say_mark(fit_one(weighing, column), MarkToWeigh(key, label, top), seed)


def wine_parts(design: Design, *, by_taster: bool) -> NDArray[np.int64]:
    """Part number of each wine (p,); all zero when every wine can be compared.

    Args:
        design: marks as arrays.
        by_taster: link wines by tasters even if tasters are not in the model.
    """
    linked = design.effect('taster')
    if linked is None and by_taster:
        linked = design.taster
    if linked is None:
        linked = design.effect('site')
    if linked is None:
        return np.zeros(design.wine.size, dtype=np.int64)
    return parts_of(linked, design.wine)
