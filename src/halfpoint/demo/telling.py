"""Tastings simulated from a plan and weighed, to hold the foreseen power against."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from halfpoint.errors import EstimateError
from halfpoint.estimate.scores import Scores
from halfpoint.estimate.simultaneous import adjust, draw, over, two_sided
from halfpoint.estimate.weigh import fit_one, prepare
from halfpoint.plan.outlook import Simulation
from halfpoint.plan.power import Question
from halfpoint.plan.precision import PlannedSite, Variances

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Progress = Callable[[int], None]

# Marks held at once; tastings are simulated in batches of so many.
MOST_MARKS = 2_000_000
LARGEST_BATCH = 50
# Draws for the joint distribution of all pairs, in each tasting.
DRAWS = 10_000


@dataclass(frozen=True, slots=True)
class Marked:
    """Who marks what, mark by mark: codes (n,) of taster, site, site's wine, and wine."""

    taster: Indices
    site: Indices
    bottle: Indices
    wine: Indices

    @classmethod
    def of_plan(cls, sites: Sequence[PlannedSite]) -> Marked:
        """All marks of a plan; a wine poured twice is marked twice by every taster there."""
        taster, site, wine = [], [], []
        seated = 0
        for number, planned in enumerate(sites):
            people = seated + np.arange(planned.tasters)
            taster.append(np.repeat(people, len(planned.pours)))
            site.append(np.full(taster[-1].size, number))
            wine.append(np.tile(planned.pours, planned.tasters))
            seated += planned.tasters
        home, poured = np.concatenate(site), np.concatenate(wine)
        return cls(np.concatenate(taster), home, home * (int(poured.max()) + 1) + poured, poured)

    def frame(self) -> pl.DataFrame:
        """Columns taster, site and wine, wines in the order of their numbers."""
        width = len(str(int(self.wine.max())))
        return pl.DataFrame(
            {
                'taster': [f't{code}' for code in self.taster.tolist()],
                'site': [f's{code}' for code in self.site.tolist()],
                'wine': [f'w{code:0{width}d}' for code in self.wine.tolist()],
            }
        )

    def draw(self, rng: np.random.Generator, variances: Variances) -> Floats:
        """One tasting's marks (n,) of wines that are all alike."""

        def effect(codes: Indices, variance: float) -> Floats:
            return rng.normal(0.0, math.sqrt(variance), int(codes.max()) + 1)[codes]

        return (
            effect(self.taster, variances.taster)
            + effect(self.site, variances.site)
            + effect(self.bottle, variances.bottle)
            + rng.normal(0.0, math.sqrt(variances.residual), self.wine.size)
        )


def simulate_telling(
    sites: Sequence[PlannedSite],
    variances: Variances,
    question: Question,
    *,
    tastings: int,
    foreseen: float,
    seed: int,
    progress: Progress = lambda _: None,
) -> Simulation:
    """Simulate tastings of a plan, weigh each, and count how often the difference is told.

    In each tasting one pair of wines, drawn anew, differs; the others are alike.  Each is
    weighed as `halfpoint results` would, with tasters, sites and bottles as random effects.

    Args:
        sites: the plan.
        variances: what the marks are drawn with.
        question: the difference, and how it is judged.
        tastings: how many to simulate, at least 1.
        foreseen: the power by the formula, carried along.
        seed: the same seed draws the same marks.
        progress: told how many tastings are done.
    """
    rng = np.random.default_rng(seed)
    marked = Marked.of_plan(sites)
    frame = marked.frame()
    wines = int(marked.wine.max()) + 1
    batch = max(1, min(LARGEST_BATCH, MOST_MARKS // marked.wine.size))
    verdicts: list[tuple[bool, bool]] = []
    for start in range(0, tastings, batch):
        count = min(batch, tastings - start)
        pairs = [rng.permutation(wines)[:4] for _ in range(count)]
        verdicts += _weighed(marked, frame, variances, question, pairs, rng)
        progress(start + count)
    told = sum(one for one, _ in verdicts)
    alike = sum(other for _, other in verdicts)
    share, error = _share(told, len(verdicts))
    alike_share, alike_error = _share(alike, len(verdicts)) if wines >= 4 else (None, None)
    return Simulation(
        tastings, len(verdicts), told, share, error, foreseen, alike_share, alike_error
    )


def _share(count: int, of: int) -> tuple[float, float]:
    share = count / of if of else math.nan
    return share, math.sqrt(share * (1.0 - share) / of) if of else math.nan


def _weighed(
    marked: Marked,
    frame: pl.DataFrame,
    variances: Variances,
    question: Question,
    pairs: Sequence[Indices],
    rng: np.random.Generator,
) -> list[tuple[bool, bool]]:
    """Whether the pair that differs, and a pair that is alike, were told apart."""
    columns = {}
    for number, pair in enumerate(pairs):
        marks = marked.draw(rng, variances)
        columns[f'tasting {number}'] = marks + question.difference * (marked.wine == pair[0])
    weighing = prepare(frame.with_columns(**columns), list(columns))
    verdicts = []
    for column, pair in zip(columns, pairs, strict=True):
        try:
            scores = fit_one(weighing, column).scores
        except EstimateError:
            continue
        told = _told(scores, question)
        alike = bool(told[pair[2], pair[3]]) if pair.size == 4 else False
        verdicts.append((bool(told[pair[0], pair[1]]), alike))
    return verdicts


def _told(scores: Scores, question: Question) -> NDArray[np.bool_]:
    """Which wines are told from which, (v, v)."""
    first, second = np.triu_indices(scores.wines, 1)
    se, df = scores.pairs(first, second)
    t = over(scores.estimates[first] - scores.estimates[second], se)
    if question.pairs == 'one':
        p = two_sided(t, df)
    else:
        draws = draw(scores.covariance[: scores.wines, : scores.wines], 0, DRAWS)
        p = adjust(draws, first, second, se, df, t).p
    told = np.zeros((scores.wines, scores.wines), dtype=bool)
    told[first, second] = told[second, first] = p < question.alpha
    return told
