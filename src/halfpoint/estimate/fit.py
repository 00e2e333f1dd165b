"""REML: the variance ratios at the optimum of the criterion, and how sharp that optimum is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import EstimateError, NotConverged, NoVariation
from halfpoint.estimate.absorb import Reduced
from halfpoint.estimate.criterion import Criterion, criterion
from halfpoint.estimate.quasi_newton import minimise

Floats = NDArray[np.float64]

# A standard deviation ratio below this is tried at exactly zero.
NEAR_ZERO = 1e-3
# Relative step of the central differences of the analytic gradient.
STEP = 1e-4
# Up to so many marks the criterion is searched from several starts.
FEW_MARKS = 300
POLISH = 8
APPROACH = 3
# Steps in which what is carried on from another fit must be at the optimum.
CARRIED = 4
# Newton decrement at which the search hands over to Newton's own steps.
FLAT = 1e-8
# Newton decrement at which the next step is the last.
SETTLED = 1e-6
# Decrement that rounding may leave when variances are a million times the residual's.
UNSETTLED = 1e-3
# A variance ratio beyond this leaves nothing but rounding to the residual.
MOST_RATIO = 1e9
# Fixed effects inflated more than this by the others cannot be told from them, and random
# effects of which less than its inverse is left cannot be told from the fixed ones.
MOST_INFLATION = 1e9


class Layout(Protocol):
    """What the fit needs of a layout: the effects, and the sums at given ratios."""

    effects: tuple[str, ...]
    marks: int

    def evaluate(self, ratios: Floats) -> Reduced:
        """Sums with every random effect taken out, at variance ratios (k,)."""
        ...


@dataclass(frozen=True, slots=True)
class RemlFit:
    """The REML optimum.

    `ratios` (k,) are σᵢ²/σ² in the order of `layout.effects`; `active` (k,) marks those
    above zero.  `curvature` (a + 1, a + 1) is the Hessian of the criterion by the active
    ratios and, last, σ², taken at `probed` (k,), a last tiny step before the optimum.
    """

    layout: Layout
    ratios: Floats
    at: Criterion
    active: NDArray[np.bool_]
    curvature: Floats
    probed: Floats
    evaluations: int

    @property
    def value(self) -> float:
        """The REML criterion at the optimum."""
        return self.at.value()

    @property
    def residual(self) -> float:
        """σ²."""
        return self.at.variance

    def variances(self) -> dict[str, float]:
        """Each component's variance, residual last."""
        named = {
            name: float(ratio * self.residual)
            for name, ratio in zip(self.layout.effects, self.ratios, strict=True)
        }
        return {**named, 'residual': self.residual}

    def parameter_covariance(self) -> Floats:
        """Asymptotic covariance of the active ratios and σ², (a + 1, a + 1)."""
        return 2.0 * unscaled_inverse(self.curvature)


def unscaled_inverse(matrix: Floats) -> Floats:
    """Pseudo-inverse of a symmetric matrix, the same whatever units its rows are in."""
    own = np.abs(np.diagonal(matrix))
    unit = 1.0 / np.sqrt(np.where(own > 0.0, own, 1.0))
    scaled = unit[:, None] * matrix * unit
    return np.asarray(unit[:, None] * np.linalg.pinv(scaled, hermitian=True) * unit)


class Evaluator:
    """Evaluates the criterion, counts how often, and remembers the last answer."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.count = 0
        self._last: tuple[Floats, Criterion] | None = None

    def __call__(self, ratios: Floats) -> Criterion:
        """The criterion at these ratios."""
        if self._last is not None and _is_same(self._last[0], ratios):
            return self._last[1]
        self.count += 1
        try:
            at = criterion(self.layout.evaluate(ratios), self.layout.marks)
        except np.linalg.LinAlgError as cause:
            # The fixed effects are as they were at the first evaluation; only a vanishing
            # residual breaks a later one.
            raise (_confounded() if self.count == 1 else no_remainder()) from cause
        self._last = (ratios.copy(), at)
        return at


def _is_same(one: Floats, other: Floats) -> bool:
    """Equal to rounding; many times quicker than `allclose` for a few numbers."""
    return bool((np.abs(one - other) <= 1e-13 * np.abs(other)).all())


def fit_ratios(layout: Layout, start: Floats) -> tuple[Floats, Criterion]:
    """The ratios near `start` that minimise the criterion, to about six digits.

    For predictions, which need no curvature; `fit_reml` gives more. What is zero at the start
    stays so, unless the criterion falls from there.
    """
    evaluate = Evaluator(layout)
    ratios = _settle_zeros(evaluate, _descend(evaluate, start))
    asleep = (ratios == 0.0) & (evaluate(ratios).gradient() < 0.0)
    if asleep.any():
        awake = np.where(asleep, NEAR_ZERO, ratios)
        ratios = _settle_zeros(evaluate, _search(evaluate, awake))
    return ratios, evaluate(ratios)


def fit_reml(layout: Layout, last: RemlFit | None = None) -> RemlFit:
    """Minimise the REML criterion over the variance ratios.

    The search is in standard-deviation ratios, where the criterion is smooth and even, so
    that zero is an ordinary point; Newton steps in the ratios finish it. With the `last` fit of
    nearly the same marks it begins where that ended, when that is near enough, and ends at the
    same optimum: the finish is the same.

    Raises:
        NoVariation: the model explains the marks without remainder.
        EstimateError: effects that cannot be told from each other.
        NotConverged: the gradient does not vanish at the end.
    """
    evaluate = Evaluator(layout)
    if last is not None and last.layout.effects == layout.effects and layout.marks > FEW_MARKS:
        ratios = _carried_on(evaluate, last)
        if ratios is not None:
            return _finish(evaluate, layout, ratios)
    ratios = np.full(len(layout.effects), 0.3)
    _refuse_confounded(evaluate(ratios), layout)
    if layout.effects:
        ratios = _settle_zeros(evaluate, _search(evaluate, ratios))
        if layout.marks <= FEW_MARKS:
            ratios = _lowest_valley(evaluate, ratios)
    return _finish(evaluate, layout, ratios)


def _carried_on(evaluate: Evaluator, last: RemlFit) -> Floats | None:
    """The optimum from where the last fit ended, by Newton steps with its curvature.

    None where a few steps do not reach it, or an effect begins or ceases to be there.
    """
    ratios, active = last.ratios, last.active
    _refuse_confounded(evaluate(ratios), evaluate.layout)
    inverse = unscaled_inverse(last.curvature)
    for _ in range(CARRIED):
        at = evaluate(ratios)
        _refuse_perfect(at)
        slope = at.gradient_at(at.variance)[np.append(active, True)]
        step = -inverse @ slope
        if float(-slope @ step) < FLAT:
            return None if (at.gradient()[~active] < 0.0).any() else ratios
        ratios = ratios.copy()
        ratios[active] += step[:-1]
        if not (ratios[active] > NEAR_ZERO**2).all():
            return None
    return None


def _lowest_valley(evaluate: Evaluator, ratios: Floats) -> Floats:
    """The lowest of the optima met from other starts: with few marks there may be several.

    Little of everything, much of everything, and much of one effect at a time.
    """
    best = evaluate(ratios).value()
    count = ratios.size
    single = [np.where(np.arange(count) == k, 3.0, 0.02) for k in range(count)]
    for start in (np.full(count, 0.02), np.full(count, 3.0), *single):
        try:
            other = _settle_zeros(evaluate, _search(evaluate, start))
            value = evaluate(other).value()
        except EstimateError:
            continue
        if value < best - 1e-6:
            ratios, best = other, value
    return ratios


def _refuse_confounded(at: Criterion, layout: Layout) -> None:
    """Refuse effects, fixed or random, that the marks cannot tell from the others."""
    if not at.inflation < MOST_INFLATION:
        raise _confounded()
    for name, share in zip(layout.effects, at.shares, strict=True):
        if share * MOST_INFLATION < 1.0:
            raise EstimateError(
                f'the effect "{name}" cannot be told from the wines and covariates',
                where='--effects',
                remedy='leave the effect out, or the covariate that says the same',
            )


def _confounded() -> EstimateError:
    return EstimateError(
        'a covariate cannot be told from the wines or from another covariate',
        where='--covariate',
        remedy='leave it out: it never varies within a wine',
    )


def _approach(evaluate: Evaluator, ratios: Floats) -> Floats:
    """A few fixed-point steps from wherever the start was.

    Each multiplies a ratio by observed / expected of its quadratic form, which is one at
    the optimum (Harville 1977, J. Am. Stat. Assoc. 72, 320, section 6).
    """
    at = evaluate(ratios)
    for _ in range(APPROACH):
        _refuse_perfect(at)
        observed = at.pull / at.variance
        ratios = ratios * np.clip(observed / np.maximum(at.spread, 1e-300), 1e-3, 1e3)
        at = evaluate(ratios)
    return ratios


def _search(evaluate: Evaluator, start: Floats) -> Floats:
    """The minimum from wherever the start is."""
    return _descend(evaluate, _approach(evaluate, start))


def _descend(evaluate: Evaluator, ratios: Floats) -> Floats:
    """Quasi-Newton in standard-deviation ratios, each in units of about its own sharpness."""
    at = evaluate(ratios)
    deviations = np.sqrt(ratios)
    unit = np.sqrt(np.maximum(2.0 * ratios * at.spread, 1e-3) / np.maximum(ratios, 1e-8))

    def objective(scaled: Floats) -> tuple[float, Floats]:
        trial = scaled / unit
        here = evaluate(trial**2)
        _refuse_perfect(here)
        return here.value(), 2.0 * trial * here.gradient() / unit

    found = minimise(objective, deviations * unit, np.eye(unit.size), FLAT)
    return np.asarray((found.point / unit) ** 2)


def _refuse_perfect(at: Criterion) -> None:
    if not at.residual > 0.0 or at.freedom < 1:
        raise no_remainder()


def no_remainder() -> NoVariation:
    """The refusal of a model that fits the marks exactly."""
    return NoVariation(
        'the model explains every mark without remainder, so nothing is left to judge '
        'the uncertainty by',
        remedy='where tasters agree to the last step, plain averages say it all; otherwise gather '
        'more marks, or leave effects out with --effects',
    )


def _settle_zeros(evaluate: Evaluator, ratios: Floats) -> Floats:
    """Put small ratios to exactly zero where the criterion does not fall from there."""
    settled = ratios.copy()
    for i in np.flatnonzero(ratios < NEAR_ZERO):
        trial = settled.copy()
        trial[i] = 0.0
        if evaluate(trial).gradient()[i] >= 0.0:
            settled = trial
    return settled


def _finish(evaluate: Evaluator, layout: Layout, ratios: Floats) -> RemlFit:
    """Newton steps on the active ratios until they no longer matter."""
    at = evaluate(ratios)
    _refuse_perfect(at)
    if ratios.size and ratios.max() > MOST_RATIO:
        raise no_remainder()
    for _ in range(POLISH):
        active = ratios > 0.0
        curvature = _curvature(evaluate, ratios, at, active)
        slope = at.gradient_at(at.variance)[np.append(active, True)]
        step = -unscaled_inverse(curvature) @ slope
        ahead = ratios[active] + step[:-1]
        if not active.any() or (float(-slope @ step) < SETTLED and (ahead > 0.0).all()):
            # The criterion is flat to rounding here; one more step still sharpens the ratios.
            probed, ratios = ratios, ratios.copy()
            ratios[active] = ahead
            at = evaluate(ratios)
            return RemlFit(layout, ratios, at, active, curvature, probed, evaluate.count)
        probed = ratios
        ratios, at = _take_step(evaluate, ratios, at, active, step[:-1])
    if float(np.abs(slope @ step)) > UNSETTLED:
        raise NotConverged(
            'the estimate did not settle',
            remedy='leave out the effect with the smallest variance, with --effects',
        )
    return RemlFit(layout, ratios, at, active, curvature, probed, evaluate.count)


def _take_step(
    evaluate: Evaluator,
    ratios: Floats,
    at: Criterion,
    active: NDArray[np.bool_],
    step: Floats,
) -> tuple[Floats, Criterion]:
    """The longest of the step's halvings that does not raise the criterion."""
    for halving in range(12):
        trial = ratios.copy()
        trial[active] = np.maximum(0.0, ratios[active] + step * 0.5**halving)
        there = evaluate(trial)
        if there.value() <= at.value() + 1e-10 * abs(at.value()):
            return trial, there
    return ratios, at


def _curvature(
    evaluate: Evaluator, ratios: Floats, at: Criterion, active: NDArray[np.bool_]
) -> Floats:
    """Hessian by the active ratios and σ², by central differences of the gradient."""
    chosen = np.flatnonzero(active)
    made = np.zeros((chosen.size + 1, chosen.size + 1))
    variance = at.variance
    for row, i in enumerate(chosen):
        step = STEP * max(ratios[i], 1e-4)
        ahead, behind = ratios.copy(), ratios.copy()
        ahead[i] += step
        behind[i] = max(0.0, ratios[i] - step)
        width = ahead[i] - behind[i]
        change = evaluate(ahead).gradient_at(variance) - evaluate(behind).gradient_at(variance)
        made[row, :-1] = change[:-1][chosen] / width
    made[:-1, -1] = made[-1, :-1] = at.pull[chosen] / variance**2
    made[-1, -1] = -at.freedom / variance**2 + 2.0 * at.residual / variance**3
    return (made + made.T) / 2.0
