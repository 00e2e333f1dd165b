"""The simulator: what tasters write when wines, rooms, bottles and habits are known.

Pure functions over arrays; documented in docs/explanation/the-invented-tasting.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.demo.orders import balanced_orders, positions

Floats = NDArray[np.float64]
Numbers = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class SpoiledBottle:
    """One room's bottle of one wine that has gone wrong, and by how many points."""

    site: int
    wine: int
    points: float


@dataclass(frozen=True, slots=True)
class Settings:
    """How the invented tasters, rooms and bottles behave. Standard deviations are in points.

    Attributes:
        quality: mean mark before ceiling and rounding, shape (wines, categories).
        top: highest mark of each category, shape (categories,).
        share: how much of an effect on the total each category takes up; sums to 1.
        tasters_per_site: one number per site.
        step: marks are rounded to this.
        severity: between tasters, on the total.
        spread: between tasters, of the factor by which they stretch differences of wines.
        taste: one taster's liking of one wine, on the total.
        category: what is left in each category, shape (categories,).
        steadiness: between tasters, of the logarithm of the factor on their own noise.
        room: between rooms. `bottle`: between bottles of one wine.
        order_slope: points on the total per place later in the serving order.
        spoiled: the bottle that has gone wrong, if any.
        lost_sheets: share of tasters none of whose sheets come home.
        lost_pours: share of single pours that are not marked.
    """

    quality: Floats
    top: Floats
    share: Floats
    tasters_per_site: tuple[int, ...]
    category: Floats
    step: float = 0.5
    severity: float = 1.0
    spread: float = 0.2
    taste: float = 0.85
    steadiness: float = 0.2
    room: float = 0.3
    bottle: float = 0.4
    order_slope: float = -0.06
    spoiled: SpoiledBottle | None = None
    lost_sheets: float = 0.02
    lost_pours: float = 0.01


@dataclass(frozen=True, slots=True)
class Truth:
    """What was drawn, and what an estimate may be held against.

    Attributes:
        site: room of each taster, from 0, shape (tasters,).
        position: place of each wine in each taster's order, from 1, shape (tasters, wines).
        severity: points added to every total, shape (tasters,); below 0 is severe.
        spread: factor on differences of wines, shape (tasters,).
        steadiness: factor on own noise, shape (tasters,).
        room: points, shape (sites,).
        bottle: points, shape (sites, wines), the spoiled one included.
    """

    site: Numbers
    position: Numbers
    severity: Floats
    spread: Floats
    steadiness: Floats
    room: Floats
    bottle: Floats


def draw_truth(rng: np.random.Generator, settings: Settings) -> Truth:
    """Tasters, rooms and bottles, and who tastes in which order."""
    wines = len(settings.quality)
    site = np.repeat(np.arange(len(settings.tasters_per_site)), settings.tasters_per_site)
    order = positions(balanced_orders(wines))
    bottle = rng.normal(0, settings.bottle, (len(settings.tasters_per_site), wines))
    if settings.spoiled is not None:
        bottle[settings.spoiled.site, settings.spoiled.wine] = settings.spoiled.points
    return Truth(
        site=site,
        position=order[np.arange(len(site)) % len(order)],
        severity=rng.normal(0, settings.severity, len(site)),
        spread=np.maximum(rng.normal(1, settings.spread, len(site)), 0),
        steadiness=np.exp(rng.normal(0, settings.steadiness, len(site))),
        room=rng.normal(0, settings.room, len(settings.tasters_per_site)),
        bottle=bottle,
    )


def draw_marks(rng: np.random.Generator, settings: Settings, truth: Truth) -> Floats:
    """What each taster writes for each wine in each category.

    Returns:
        Marks on the step and within the sheet, shape (tasters, wines, categories);
        NaN where no sheet came home.
    """
    tasters, wines = truth.position.shape
    middle = settings.quality.mean(axis=0)
    wine = middle + truth.spread[:, None, None] * (settings.quality - middle)
    on_total = (
        truth.severity[:, None]
        + truth.room[truth.site, None]
        + truth.bottle[truth.site]
        + settings.order_slope * (truth.position - (wines + 1) / 2)
        + truth.steadiness[:, None] * rng.normal(0, settings.taste, (tasters, wines))
    )
    own = rng.normal(0, settings.category, (tasters, wines, len(settings.top)))
    felt = wine + on_total[:, :, None] * settings.share + truth.steadiness[:, None, None] * own
    marks = np.clip(np.round(felt / settings.step) * settings.step, 0, settings.top)
    return np.where(_lost(rng, settings, truth)[:, :, None], np.nan, marks)


def _lost(rng: np.random.Generator, settings: Settings, truth: Truth) -> NDArray[np.bool_]:
    tasters, wines = truth.position.shape
    sheet = rng.random((tasters, 1)) < settings.lost_sheets
    pour = rng.random((tasters, wines)) < settings.lost_pours
    return sheet | pour


def draw_finish(rng: np.random.Generator, aftertaste: Floats, *, timed: float = 0.85) -> Floats:
    """Seconds that pleasant flavour lasted, to go with the marks for aftertaste.

    About 12 s goes with 1½ and about 33 s with 2½ (common practice, no source), and one
    taster's seconds differ from another's by about a third.

    Args:
        rng: where the chance comes from.
        aftertaste: marks out of 3, shape (tasters, wines); NaN where no sheet came home.
        timed: share of tasters who use a watch at all.

    Returns:
        Whole seconds, shape (tasters, wines); NaN where nothing was timed.
    """
    usual = np.exp(0.97 + 1.01 * aftertaste)
    seconds = np.round(usual * np.exp(rng.normal(0, 0.3, aftertaste.shape)))
    has_watch = rng.random((len(aftertaste), 1)) < timed
    return np.where(has_watch, seconds, np.nan)


def draw_ticks(
    rng: np.random.Generator, chance: Floats, tasters: int, *, eagerness: float = 0.6
) -> NDArray[np.bool_]:
    """Which words each taster ticks for each wine.

    Args:
        rng: where the chance comes from.
        chance: of a tick by the middling taster, above 0 and below 1, shape (wines, words)
            or (tasters, wines, words).
        tasters: how many tasters.
        eagerness: between tasters, on the logit of the chance.

    Returns:
        Shape (tasters, wines, words).
    """
    logit = np.log(chance / (1 - chance)) + rng.normal(0, eagerness, (tasters, 1, 1))
    return rng.random(logit.shape) < 1 / (1 + np.exp(-logit))
