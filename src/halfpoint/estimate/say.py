"""From one fitted kind of mark to everything that is said of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from halfpoint.estimate.design import met_cells
from halfpoint.estimate.findings import (
    BottleFinding,
    ComponentFinding,
    CovariateFinding,
    Histogram,
    MarkFindings,
    PairFinding,
    WineFinding,
    WineTest,
)
from halfpoint.estimate.letters import letter_groups
from halfpoint.estimate.profile import component_intervals
from halfpoint.estimate.ranks import RankDistribution, even_ranks, ranks_from
from halfpoint.estimate.scores import all_alike
from halfpoint.estimate.simultaneous import (
    Adjusted,
    Draws,
    adjust,
    draw,
    enough_draws,
    over,
    quantile,
    two_sided,
)

if TYPE_CHECKING:
    from halfpoint.estimate.design import Design, Factor
    from halfpoint.estimate.weigh import Fit, MarkToWeigh, Weighing

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

# Beyond this many wines only neighbours and the leader are compared pair by pair.
MOST_WINES_FOR_ALL_PAIRS = 120
# Bottles listed, the most striking first.
MOST_BOTTLES = 200
LEVEL = 0.05


def say_mark(fit: Fit, mark: MarkToWeigh, seed: int, *, components: bool = True) -> MarkFindings:
    """Scores, ranks, pairs, components, covariates, severity and bottles of one mark.

    Without `components`, whose intervals take as long as the rest, there are none.
    """
    design, scores = fit.weighing.design, fit.scores
    wines = scores.wines
    every = wines <= MOST_WINES_FOR_ALL_PAIRS
    first, second = _all_pairs(wines) if every else _some_pairs(fit.estimates)
    se, df = scores.pairs(first, second)
    difference = fit.estimates[first] - fit.estimates[second]
    draws = draw(scores.covariance[:wines, :wines], seed, enough_draws(wines))
    ranks = _ranks(fit.estimates, draws, se, df)
    adjusted = adjust(draws, first, second, se, df, over(difference, se))
    letters = _letters(fit.estimates, first, second, adjusted) if every else ('',) * wines
    responses = design.responses[:, design.names.index(fit.column)]
    return MarkFindings(
        key=mark.column,
        label=mark.label,
        top=mark.top,
        marks=design.marks,
        mean=fit.centre,
        sd=float(responses.std(ddof=1)),
        wines=_wines(fit, ranks, letters, responses),
        pairs=_pairs(design.wine, first, second, difference, se, df, adjusted),
        components=_components(fit) if components else {},
        criterion=fit.reml.value,
        covariates=_covariates(fit),
        wine_test=_wine_test(fit) if every else None,
        severity=_severity(fit),
        bottles=_bottles(fit),
        notes=_notes(fit, every=every),
    )


def _ranks(estimates: Floats, draws: Draws, se: Floats, df: Floats) -> RankDistribution:
    if not (se > 0.0).any():
        return even_ranks(estimates.size)
    return ranks_from(draws, estimates, float(np.median(df)))


def _all_pairs(wines: int) -> tuple[Indices, Indices]:
    first, second = np.triu_indices(wines, 1)
    return first, second


def _some_pairs(estimates: Floats) -> tuple[Indices, Indices]:
    """The leader against every other, and each against the next in the order."""
    order = np.argsort(-estimates, kind='stable')
    leader = np.full(order.size - 1, order[0])
    return np.concatenate([leader, order[1:-1]]), np.concatenate([order[1:], order[2:]])


def _letters(
    estimates: Floats, first: Indices, second: Indices, adjusted: Adjusted
) -> tuple[str, ...]:
    differ = np.zeros((estimates.size, estimates.size), dtype=bool)
    apart = adjusted.p < LEVEL
    differ[first[apart], second[apart]] = True
    return letter_groups(estimates, differ | differ.T)


def _seen(factor: Factor | None, wine: Factor) -> NDArray[np.int64]:
    """How many levels of a factor met each wine, (p,)."""
    if factor is None:
        return np.zeros(wine.size, dtype=np.int64)
    return np.bincount(met_cells(factor, wine) % wine.size, minlength=wine.size)


@dataclass(frozen=True, slots=True)
class _Counts:
    """Tasters, sites, marks and plain mean of each wine, (p,) each."""

    tasters: NDArray[np.int64]
    sites: NDArray[np.int64]
    marks: NDArray[np.int64]
    raw: Floats

    def of(self, wine: int) -> tuple[int, int, int, float]:
        return (
            int(self.tasters[wine]),
            int(self.sites[wine]),
            int(self.marks[wine]),
            float(self.raw[wine]),
        )


def _counts(design: Design, responses: Floats, centre: float) -> _Counts:
    wine = design.wine
    marks = np.bincount(wine.codes, minlength=wine.size)
    raw = np.bincount(wine.codes, weights=responses, minlength=wine.size) / marks + centre
    return _Counts(_seen(design.taster, wine), _seen(design.site, wine), marks, raw)


def _wines(
    fit: Fit, ranks: RankDistribution, letters: tuple[str, ...], responses: Floats
) -> tuple[WineFinding, ...]:
    """Every wine, the highest score first."""
    wine = fit.weighing.design.wine
    counts = _counts(fit.weighing.design, responses, fit.centre)
    se, df = (part[: wine.size] for part in fit.scores.each())
    reach = quantile(0.975, df) * se
    order = np.argsort(-fit.estimates, kind='stable')
    return tuple(
        WineFinding(
            wine.labels[i],
            *counts.of(i),
            adjusted=float(fit.estimates[i]),
            se=float(se[i]),
            df=_finite(df[i]),
            low=float(fit.estimates[i] - reach[i]),
            high=float(fit.estimates[i] + reach[i]),
            shrunken=float(fit.shrunken[i]),
            rank_low=int(ranks.low[i]),
            rank_high=int(ranks.high[i]),
            rank_probability=tuple(np.round(ranks.probability[i], 5).tolist()),
            p_best=float(ranks.best[i]),
            letters=letters[i],
        )
        for i in order.tolist()
    )


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _pairs(
    wine: Factor,
    first: Indices,
    second: Indices,
    difference: Floats,
    se: Floats,
    df: Floats,
    adjusted: Adjusted,
) -> tuple[PairFinding, ...]:
    single = two_sided(over(difference, se), df)
    reach = adjusted.critical * se
    return tuple(
        PairFinding(
            a=wine.labels[i],
            b=wine.labels[j],
            difference=float(difference[k]),
            se=float(se[k]),
            df=_finite(df[k]),
            p=float(single[k]),
            p_adjusted=float(adjusted.p[k]),
            low=float(difference[k] - reach[k]),
            high=float(difference[k] + reach[k]),
        )
        for k, (i, j) in enumerate(zip(first.tolist(), second.tolist(), strict=True))
    )


def _components(fit: Fit) -> dict[str, ComponentFinding]:
    intervals = component_intervals(fit.reml)
    return {
        name: ComponentFinding(variance, intervals[name].low, intervals[name].high)
        for name, variance in fit.reml.variances().items()
    }


def _covariates(fit: Fit) -> tuple[CovariateFinding, ...]:
    wines = fit.scores.wines
    se, df = (part[wines:] for part in fit.scores.each())
    estimates = fit.scores.estimates[wines:]
    t = over(estimates, se)
    p = two_sided(t, df)
    reach = quantile(0.975, df) * se
    return tuple(
        CovariateFinding(
            covariate=covariate.name,
            level=covariate.level,
            estimate=float(estimates[k]),
            se=float(se[k]),
            df=_finite(df[k]),
            t=float(t[k]),
            p=float(p[k]),
            low=float(estimates[k] - reach[k]),
            high=float(estimates[k] + reach[k]),
        )
        for k, covariate in enumerate(fit.weighing.design.covariates)
    )


def _wine_test(fit: Fit) -> WineTest | None:
    if fit.form == 'random' or fit.scores.wines < 2:
        return None
    test = all_alike(fit.scores)
    return WineTest(test.f, float(test.num_df), test.den_df, test.p)


def _severity(fit: Fit) -> Histogram | None:
    """Tasters' severity in bins of a round width; severe is to the right."""
    severity = fit.predictions.severity
    if severity is None or severity.size < 2:
        return None
    marked_below = -severity
    spread = float(marked_below.std())
    if spread == 0.0:
        return None
    width = _round_width(spread / 2.0)
    low = np.floor(marked_below.min() / width) * width
    count = int(np.floor((marked_below.max() - low) / width)) + 1
    edges = low + width * np.arange(count + 1)
    counts, _ = np.histogram(marked_below, edges)
    return Histogram(tuple(np.round(edges, 9).tolist()), tuple(counts.tolist()))


def _round_width(value: float) -> float:
    """The nearest of 1, 2 or 5 times a power of ten, half points among them."""
    power = 10.0 ** np.floor(np.log10(value))
    return float(min((1.0, 2.0, 5.0, 10.0), key=lambda m: abs(np.log(m * power / value))) * power)


def _bottles(fit: Fit) -> tuple[BottleFinding, ...]:
    """The most striking bottles, by effect over standard error."""
    bottles = fit.predictions.bottles
    design = fit.weighing.design
    if bottles is None or design.site is None:
        return ()
    striking = np.abs(bottles.effect) / np.maximum(bottles.se, 1e-12)
    order = np.argsort(-striking, kind='stable')[:MOST_BOTTLES]
    return tuple(
        BottleFinding(
            design.site.labels[bottles.site[i]],
            design.wine.labels[bottles.wine[i]],
            float(bottles.effect[i]),
            float(bottles.se[i]),
        )
        for i in order.tolist()
    )


def _notes(fit: Fit, *, every: bool) -> tuple[str, ...]:
    notes = []
    zero = [name for name, value in fit.reml.variances().items() if value == 0.0]
    if zero:
        notes.append(f"The marks show no variation from {' or '.join(zero)}.")
    if not every:
        notes.append(
            "With so many wines, pairs are given for the leader against each and for "
            "neighbours in the order; letters are left out."
        )
    return tuple(notes)


def say_raw(weighing: Weighing, mark: MarkToWeigh, notes: tuple[str, ...]) -> MarkFindings:
    """Counts and plain means only, where nothing more can be said, with the reason."""
    design = weighing.design
    index = design.names.index(mark.column)
    responses = design.responses[:, index]
    counts = _counts(design, responses, float(design.centres[index]))
    wines = tuple(WineFinding(label, *counts.of(i)) for i, label in enumerate(design.wine.labels))
    return MarkFindings(
        key=mark.column,
        label=mark.label,
        top=mark.top,
        marks=design.marks,
        mean=float(design.centres[index]),
        sd=float(responses.std(ddof=1)) if design.marks > 1 else 0.0,
        wines=wines,
        pairs=(),
        components={},
        criterion=None,
        covariates=(),
        wine_test=None,
        severity=None,
        bottles=(),
        notes=notes,
    )
