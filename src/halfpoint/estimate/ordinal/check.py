"""Where the order of the wines leans on the scale: points against ordered steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import EstimateError
from halfpoint.estimate.ordinal.fit import NODES, OrdinalFit, ordinal_fit
from halfpoint.estimate.ordinal.links import Link
from halfpoint.estimate.ordinal.said import (
    OrdinalCovariate,
    OrdinalFindings,
    OrdinalPair,
    OrdinalStep,
    OrdinalWine,
)
from halfpoint.estimate.ordinal.steps import Steps, ordered_steps
from halfpoint.estimate.ordinal.verdicts import Verdicts, verdicts_from
from halfpoint.estimate.simultaneous import quantile

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

# Beyond so many steps neighbours are taken together; a category of six points has thirteen.
MOST_STEPS = 13
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Pours:
    """What is known of every mark: codes (n,) and covariates (n, q).

    `wines` are the labels of the wines' codes; `named` (covariate, level) those of the columns.
    """

    wine: Codes
    wines: tuple[str, ...]
    taster: Codes | None = None
    site: Codes | None = None
    bottle: Codes | None = None
    covariates: Floats | None = None
    named: tuple[tuple[str, str | None], ...] = ()


def order_check(
    marks: Floats,
    pours: Pours,
    main: Verdicts,
    *,
    link: Link = 'logit',
    nodes: int = NODES,
    most: int = MOST_STEPS,
    possible: Sequence[float] | None = None,
    seed: int = 20,
) -> OrdinalFindings:
    """Weigh marks as ordered steps and compare with the main estimate.

    The steps' differences are judged with the main estimate's degrees of freedom, so that
    both judge few rooms alike.

    Args:
        marks: (n,) in points.
        pours: whose marks of what.
        main: which wines the main estimate tells apart; see `verdicts_from`.
        link: 'logit' or 'probit'.
        nodes: of the quadrature where tasters are the only random effect.
        most: steps beyond so many are binned.
        possible: every mark that could have been given.
        seed: of the draws behind the p values.

    Raises:
        EstimateError and its kinds: what the marks do not allow.
    """
    levels = None if possible is None else np.asarray(possible, dtype=float)
    steps = ordered_steps(marks, levels, most)
    fit, notes = _fit(steps, pours, link, nodes)
    steps_say = verdicts_from(
        fit.wines, fit.wine_covariance, main.freedom, seed, (main.first, main.second)
    )
    apart = _Apart.between(pours.wines, main, steps_say)
    return OrdinalFindings(
        link=fit.link,
        nodes=fit.nodes,
        marks=fit.marks,
        steps=tuple(_steps(fit, steps)),
        wines=_wines(fit, pours.wines, float(np.median(main.freedom))),
        covariates=_covariates(fit, pours),
        spreads=fit.spreads,
        loglik=fit.loglik,
        same_order=apart.same_order,
        opposite=apart.opposite,
        points_only=apart.points_only,
        steps_only=apart.steps_only,
        held_in=fit.held_in,
        sentence=order_in_words(apart),
        notes=(*fit.merged, *fit.notes, *notes),
    )


def not_checked(refusal: EstimateError, marks: int, link: Link = 'logit') -> OrdinalFindings:
    """Findings that say why steps were not fitted."""
    return OrdinalFindings(
        link=link,
        nodes=0,
        marks=marks,
        steps=(),
        wines=(),
        covariates=(),
        spreads={},
        loglik=None,
        same_order=None,
        opposite=(),
        points_only=(),
        steps_only=(),
        held_in=False,
        sentence=f"Not checked as ordered steps: {refusal.found}.",
        notes=(),
    )


def _fit(steps: Steps, pours: Pours, link: Link, nodes: int) -> tuple[OrdinalFit, tuple[str, ...]]:
    """The fit with rooms and bottles, or without them where they cannot be carried."""
    if pours.site is None and pours.bottle is None:
        return _fit_tasters(steps, pours, link, nodes), ()
    try:
        fit = ordinal_fit(
            steps,
            pours.wine,
            pours.taster,
            pours.covariates,
            site=pours.site,
            bottle=pours.bottle,
            link=link,
            nodes=nodes,
        )
    except EstimateError as refusal:
        fit = _fit_tasters(steps, pours, link, nodes)
        return fit, (f"Rooms and bottles are left out of this check: {refusal.found}.",)
    return fit, ()


def _fit_tasters(steps: Steps, pours: Pours, link: Link, nodes: int) -> OrdinalFit:
    return ordinal_fit(steps, pours.wine, pours.taster, pours.covariates, link=link, nodes=nodes)


def _steps(fit: OrdinalFit, steps: Steps) -> Iterator[OrdinalStep]:
    counts = np.bincount(steps.codes).tolist()
    above = [*zip(fit.thresholds.tolist(), fit.threshold_errors.tolist(), strict=True)]
    for low, high, marks, limit in zip(
        fit.lowest, fit.highest, counts, [*above, (None, None)], strict=True
    ):
        yield OrdinalStep(low, high, marks, *limit)


def _wines(fit: OrdinalFit, labels: tuple[str, ...], freedom: float) -> tuple[OrdinalWine, ...]:
    se = np.sqrt(np.diagonal(fit.wine_covariance))
    reach = float(quantile(0.975, np.array([freedom]))[0]) * se
    return tuple(
        OrdinalWine(
            labels[i],
            float(fit.wines[i]),
            float(se[i]),
            float(fit.wines[i] - reach[i]),
            float(fit.wines[i] + reach[i]),
        )
        for i in np.argsort(-fit.wines, kind='stable').tolist()
    )


def _covariates(fit: OrdinalFit, pours: Pours) -> tuple[OrdinalCovariate, ...]:
    named = pours.named or tuple((f'x{i + 1}', None) for i in range(fit.covariates.size))
    effects, errors = fit.covariates.tolist(), fit.covariate_errors.tolist()
    return tuple(
        OrdinalCovariate(name, level, effect, se)
        for (name, level), effect, se in zip(named, effects, errors, strict=True)
    )


@dataclass(frozen=True, slots=True)
class _Apart:
    """Where points and steps come out differently."""

    same_order: bool
    opposite: tuple[OrdinalPair, ...]
    points_only: tuple[OrdinalPair, ...]
    steps_only: tuple[OrdinalPair, ...]
    told: int

    @classmethod
    def between(cls, labels: tuple[str, ...], points: Verdicts, steps: Verdicts) -> _Apart:
        other_way = points.difference * steps.difference < 0.0
        clear, also = points.clear, steps.clear

        def named(chosen: NDArray[np.bool_]) -> tuple[OrdinalPair, ...]:
            return tuple(_pair(labels, points, steps, int(k)) for k in np.flatnonzero(chosen))

        return cls(
            same_order=not bool(other_way.any()),
            opposite=named(clear & also & other_way),
            points_only=named(clear & ~also),
            steps_only=named(also & ~clear),
            told=int((clear & also & ~other_way).sum()),
        )


def _pair(labels: tuple[str, ...], points: Verdicts, steps: Verdicts, k: int) -> OrdinalPair:
    """The pair with the wine that scores more by points first."""
    first, second = labels[points.first[k]], labels[points.second[k]]
    by_points, by_steps = float(points.difference[k]), float(steps.difference[k])
    if by_points < 0.0:
        first, second, by_points, by_steps = second, first, -by_points, -by_steps
    return OrdinalPair(first, second, by_points, float(points.p[k]), by_steps, float(steps.p[k]))


def order_in_words(apart: _Apart | OrdinalFindings) -> str:
    """The check in one sentence."""
    begun = "By order alone (higher or lower, not by how much)"
    if apart.opposite:
        return (
            f"{begun} {_counted(apart.opposite, 'comes', 'come')} out the other way round "
            f"({_names(apart.opposite)}): the order leans on the scale."
        )
    parts = []
    if apart.points_only:
        counted = _counted(apart.points_only, 'is', 'are')
        parts.append(f"{counted} no longer told apart ({_names(apart.points_only)})")
    if apart.steps_only:
        counted = _counted(apart.steps_only, 'is', 'are')
        parts.append(f"{counted} told apart only that way ({_names(apart.steps_only)})")
    if parts:
        return f"{begun} no pair turns round; {', and '.join(parts)}."
    if apart.same_order:
        return f"{begun} the wines come in the same order, and the same pairs are told apart."
    return (
        f"{begun} the same pairs are told apart; only wines that neither way tells apart "
        "change places."
    )


def _counted(pairs: tuple[OrdinalPair, ...], one: str, many: str) -> str:
    return f"1 pair {one}" if len(pairs) == 1 else f"{len(pairs)} pairs {many}"


def _names(pairs: tuple[OrdinalPair, ...]) -> str:
    named = [f"{pair.a} and {pair.b}" for pair in pairs[:MOST_NAMED]]
    left = len(pairs) - len(named)
    return "; ".join([*named, *([f"and {left} more"] if left else [])])
