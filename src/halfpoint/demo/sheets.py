"""The invented tasting as score sheets: who wrote what for which wine."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from halfpoint.demo.names import invent_names
from halfpoint.demo.scenario import (
    AROMA_PER_POINT,
    CATEGORIES,
    FAULTS,
    SITES,
    TYPICAL_AROMA,
    USUAL_AROMA,
    USUAL_FAULT,
    WINES,
    settings,
)
from halfpoint.demo.simulate import (
    Floats,
    Settings,
    Truth,
    draw_finish,
    draw_marks,
    draw_ticks,
    draw_truth,
)

Ticks = NDArray[np.bool_]

LIKED = ("would buy this", "more please", "lovely with food", "good to the last drop")
NOT_LIKED = ("not for me", "a bit thin", "rather sharp", "soon forgotten")


@dataclass(frozen=True, slots=True)
class InventedTaster:
    """One who marks, whether the name may be published, and whether a letter is wanted."""

    key: str
    name: str
    site: str
    consent: bool
    letter: bool


@dataclass(frozen=True, slots=True)
class InventedTasting:
    """Everything the simulator made.

    Attributes:
        tasters: in the order of `truth`.
        sheets: a row per taster and wine marked: taster, site, wine (keys), position, the
            categories, total, aromas, faults (words parted by "; "), finish (s), remark;
            empty fields are null.
        settings: what went into the simulator.
        truth: what it drew.
    """

    tasters: tuple[InventedTaster, ...]
    sheets: pl.DataFrame
    settings: Settings
    truth: Truth


def invent_tasting(seed: int) -> InventedTasting:
    """The whole tasting; the same `seed` gives the same tasting."""
    rng = np.random.default_rng(seed)
    plan = settings()
    truth = draw_truth(rng, plan)
    marks = draw_marks(rng, plan, truth)
    tasters = _tasters(rng, truth, np.random.default_rng([seed, 2]))
    return InventedTasting(tasters, _sheets(rng, tasters, plan, truth, marks), plan, truth)


def _tasters(
    rng: np.random.Generator, truth: Truth, apart: np.random.Generator
) -> tuple[InventedTaster, ...]:
    """Who tastes; who wants a letter is drawn apart, as it says nothing of other consent."""
    names = invent_names(rng, len(truth.site))
    consents = rng.random(len(names)) < 0.7
    letters = apart.random(len(names)) < 0.75
    first = np.searchsorted(truth.site, truth.site)
    return tuple(
        InventedTaster(
            key=f'{SITES[site].key[:3].upper()}-{number - first[number] + 1:02}',
            name=names[number],
            site=SITES[site].key,
            consent=bool(consents[number]),
            letter=bool(letters[number]),
        )
        for number, site in enumerate(truth.site)
    )


def _sheets(
    rng: np.random.Generator,
    tasters: tuple[InventedTaster, ...],
    plan: Settings,
    truth: Truth,
    marks: Floats,
) -> pl.DataFrame:
    count, wines = truth.position.shape
    aroma = marks[:, :, CATEGORIES.index('aroma')]
    aromas = _aromas(rng, aroma)
    faults = _faults(rng, plan, truth, aroma)
    total = marks.sum(axis=2)
    frame = pl.DataFrame(
        {
            'taster': np.repeat([taster.key for taster in tasters], wines),
            'site': np.repeat([taster.site for taster in tasters], wines),
            'wine': np.tile([wine.key for wine in WINES], count),
            'position': truth.position.ravel(),
            **{key: marks[:, :, k].ravel() for k, key in enumerate(CATEGORIES)},
            'total': total.ravel(),
            'aromas': aromas,
            'faults': faults,
            'finish': draw_finish(rng, marks[:, :, CATEGORIES.index('aftertaste')]).ravel(),
            'remark': _remarks(rng, total).ravel(),
        }
    )
    return frame.filter(pl.col('total').is_not_nan()).with_columns(
        pl.col('finish').fill_nan(None).cast(pl.Int64),
        pl.col('aromas', 'faults', 'remark').replace('', None),
    )


def _joined(ticks: Ticks, words: tuple[str, ...]) -> list[str]:
    flat = ticks.reshape(-1, len(words))
    return ['; '.join(words[place] for place in np.flatnonzero(row)) for row in flat]


def _aromas(rng: np.random.Generator, aroma: Floats) -> list[str]:
    """Words ticked: those typical of the wine more often, and more of them at high marks."""
    words = tuple(sorted({word for wine in WINES for word in wine.aromas}))
    typical = np.array([[word in wine.aromas for word in words] for wine in WINES])
    odds = np.where(typical, TYPICAL_AROMA / (1 - TYPICAL_AROMA), USUAL_AROMA)
    odds = odds * np.exp(AROMA_PER_POINT * (np.nan_to_num(aroma, nan=4.0) - 4))[:, :, None]
    return _joined(draw_ticks(rng, odds / (1 + odds), len(aroma)), words)


def _faults(rng: np.random.Generator, plan: Settings, truth: Truth, aroma: Floats) -> list[str]:
    """Faults ticked: often at the spoiled bottle, elsewhere seldom and only at low marks."""
    words = tuple(FAULTS)
    chance = np.full((*aroma.shape, len(words)), USUAL_FAULT)
    found = np.broadcast_to((aroma < 4)[:, :, None], chance.shape).copy()
    if plan.spoiled is not None:
        there = truth.site == plan.spoiled.site
        chance[there, plan.spoiled.wine] = list(FAULTS.values())
        found[there, plan.spoiled.wine] = True
    return _joined(draw_ticks(rng, chance, len(aroma)) & found, words)


def _remarks(rng: np.random.Generator, total: Floats) -> NDArray[np.str_]:
    """A remark on one sheet in eight, of a kind with the total."""
    pick = rng.integers(len(LIKED), size=total.shape)
    said = np.where(total >= np.nanmedian(total), np.array(LIKED)[pick], np.array(NOT_LIKED)[pick])
    return np.where(rng.random(total.shape) < 1 / 8, said, '')
