"""The invented league: its towns, its wines, and what they are like.

Nothing here exists. Names of grapes are real words for real grapes; producers, towns and
people are made up, and any likeness is chance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from halfpoint.demo.simulate import Settings, SpoiledBottle

KEY = 'tallowmere-spring'
TITLE = "Tallowmere League, spring whites (invented)"
OPENS, CLOSES = '2026-03-06', '2026-03-22'
CATEGORIES = ('appearance', 'aroma', 'taste', 'aftertaste', 'overall')


@dataclass(frozen=True, slots=True)
class InventedWine:
    """A wine of the tasting. `quality` is its mean mark in each category, before the ceiling."""

    key: str
    name: str
    grape: str
    vintage: int
    alcohol: float
    price: float
    quality: tuple[float, float, float, float, float]
    aromas: tuple[str, ...]
    sweetness: str = 'dry'


@dataclass(frozen=True, slots=True)
class InventedSite:
    """A room of the tasting, and how many tasters sit in it."""

    key: str
    name: str
    tasters: int


WINES: tuple[InventedWine, ...] = (
    InventedWine(
        'riesling', "Ossilbury Riesling", "Riesling", 2024, 12.0, 14.5,
        (3.0, 4.7, 4.4, 2.2, 1.45), ('lime', 'peach', 'wet stone', 'green apple'), 'off-dry',
    ),
    InventedWine(
        'chenin', "Vellardine Chenin Blanc", "Chenin Blanc", 2023, 13.0, 16.0,
        (3.0, 4.3, 4.7, 2.15, 1.5), ('quince', 'honey', 'ripe apple', 'hay'),
    ),
    InventedWine(
        'albarino', "Brackwater Steps Albariño", "Albariño", 2024, 12.5, 15.0,
        (3.0, 4.4, 4.3, 2.05, 1.4), ('lemon', 'apricot', 'salt', 'melon'),
    ),
    InventedWine(
        'chardonnay', "Thimbleyard Chardonnay", "Chardonnay", 2023, 13.5, 18.0,
        (2.95, 4.3, 4.3, 2.1, 1.4), ('vanilla', 'toast', 'ripe apple', 'pineapple'),
    ),
    InventedWine(
        'veltliner', "Quorrel Yard Grüner Veltliner", "Grüner Veltliner", 2024, 12.5, 12.5,
        (3.0, 4.0, 4.2, 1.9, 1.4), ('black pepper', 'grapefruit', 'pear', 'hay'),
    ),
    InventedWine(
        'sauvignon', "Wendlemarsh Sauvignon Blanc", "Sauvignon Blanc", 2025, 12.5, 11.0,
        (3.0, 4.4, 3.7, 1.75, 1.3), ('cut grass', 'elderflower', 'passion fruit', 'tomato leaf'),
    ),
    InventedWine(
        'pinot-gris', "Ambrick Hollow Pinot Gris", "Pinot Gris", 2024, 13.0, 10.5,
        (2.85, 3.65, 4.1, 1.8, 1.3), ('pear', 'melon', 'nuts'),
    ),
    InventedWine(
        'marsanne', "Nine Kilns Marsanne", "Marsanne", 2022, 14.0, 13.0,
        (2.6, 3.6, 3.8, 1.7, 1.25), ('hay', 'nuts', 'apricot'),
    ),
)  # fmt: skip

SITES: tuple[InventedSite, ...] = (
    InventedSite('tallowmere', "Tallowmere", 15),
    InventedSite('brindlecote', "Brindlecote", 12),
    InventedSite('osterwick', "Osterwick", 11),
    InventedSite('quillhaven', "Quillhaven", 13),
    InventedSite('marrowby', "Marrowby", 12),
    InventedSite('thornelow', "Thornelow", 10),
    InventedSite('aldermire', "Aldermire", 14),
    InventedSite('harrowfen', "Harrowfen", 12),
    InventedSite('cindermoor', "Cindermoor", 9),
    InventedSite('lowlarch', "Lowlarch", 12),
    InventedSite('gullsedge', "Gullsedge", 13),
    InventedSite('saltbrae', "Saltbrae", 12),
    InventedSite('nettlebourne', "Nettlebourne", 11),
    InventedSite('ravelstow', "Ravelstow", 14),
    InventedSite('dunmarrow', "Dunmarrow", 12),
    InventedSite('fennelwick', "Fennelwick", 10),
    InventedSite('owlbridge', "Owlbridge", 13),
    InventedSite('kestermouth', "Kestermouth", 12),
    InventedSite('mossgarth', "Mossgarth", 11),
    InventedSite('hollinreach', "Hollinreach", 12),
)

FAULTS = {'corked': 0.55, 'oxidised': 0.15}
USUAL_FAULT = 0.015
USUAL_AROMA, TYPICAL_AROMA, AROMA_PER_POINT = 0.04, 0.42, 0.8


def settings() -> Settings:
    """How the tasters of the league behave: an amateur tasting as such tastings go.

    The sizes are chosen to look like amateur tastings (common practice, no source): one
    taster from another about a point, one bottle from another 0.4, one room from another 0.3.
    """
    sites = [site.key for site in SITES]
    wines = [wine.key for wine in WINES]
    return Settings(
        quality=np.array([wine.quality for wine in WINES]),
        top=np.array([3.0, 6.0, 6.0, 3.0, 2.0]),
        share=np.array([0.05, 0.32, 0.35, 0.17, 0.11]),
        category=np.array([0.2, 0.5, 0.5, 0.3, 0.2]),
        tasters_per_site=tuple(site.tasters for site in SITES),
        spoiled=SpoiledBottle(sites.index('cindermoor'), wines.index('albarino'), -3.0),
    )
