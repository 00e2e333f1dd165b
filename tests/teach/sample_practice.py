"""A small reference, and a result to take one from."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np

from halfpoint.sheet.entry import Entry
from halfpoint.sheet.load import load_sheet
from halfpoint.sheet.validity import check_entry
from halfpoint.teach.calibration import Known

SHEET = load_sheet('twenty-point')
WINES = ('Amber Lane', 'Birch Hollow', 'Cold Spring', 'Dun Ridge')


def known(scores: list[float], se: float = 0.2, bottle: float = 0.0, wine_sd: float = 1.0) -> Known:
    """A reference with independent errors."""
    score = np.array(scores)
    return Known(score, np.eye(score.size) * se**2, float(score.mean()), wine_sd, bottle)


def part(label: str, top: float, scores: list[float], se: float) -> dict[str, Any]:
    """What a result says of one kind of mark; errors of differences share a level of half."""
    wines = [
        {'wine': name, 'adjusted': score, 'se': se}
        for name, score in zip(WINES, scores, strict=True)
    ]
    pairs = [{'a': a, 'b': b, 'se': se} for at, a in enumerate(WINES) for b in WINES[at + 1 :]]
    return {
        'label': label,
        'top': top,
        'wines': wines,
        'pairs': pairs,
        'components': {
            'taster': {'variance': (0.05 * top) ** 2},
            'bottle': {'variance': (0.02 * top) ** 2},
            'residual': {'variance': (0.1 * top) ** 2},
        },
    }


def result() -> dict[str, Any]:
    """The result of an invented tasting of four wines, as far as practice reads it."""
    categories = {
        'appearance': part('Appearance', 3.0, [2.9, 2.9, 2.9, 2.5], 0.02),
        'aroma': part('Aroma', 6.0, [5.0, 4.5, 4.0, 3.0], 0.1),
        'taste': part('Taste', 6.0, [4.8, 4.4, 4.0, 3.2], 0.1),
        'aftertaste': part('Aftertaste', 3.0, [2.3, 2.1, 1.9, 1.5], 0.05),
        'overall': part('Overall impression', 2.0, [1.6, 1.5, 1.4, 1.1], 0.04),
    }
    whole = part('Total', 20.0, [16.6, 15.4, 14.2, 11.3], 0.2)
    scale = {'severity_sd': 0.9, 'spread_sd': 0.25, 'noise_sd': 1.1, 'freedom': 8.0}
    aroma = {
        'terms': [
            {'key': 'lemon', 'counts': [50, 10, None, 2]},
            {'key': 'hay', 'counts': [30, 60, None, 1]},
            {'key': 'pear', 'counts': [5, 5, None, 1]},
        ],
        'wines': [
            {'wine': name, 'entries': 100, 'withheld': at == 2} for at, name in enumerate(WINES)
        ],
    }
    figure = {'value': 1.2, 'low': 0.4, 'high': 2.0}
    taster = {
        'taster': 'ANN',
        'severity': figure,
        'spread': {'value': 0.8, 'low': 0.4, 'high': 1.2},
        'noise': {'value': 1.0, 'low': 0.8, 'high': 1.3},
    }
    whole |= {
        'title': 'Harrow League, whites (invented)',
        'invented': True,
        'sheet': 'Twenty points',
        'taster_count': 100,
        'categories': categories,
        'scale': scale,
        'aroma': aroma,
        'tasters': [taster, {**taster, 'taster': 'BOB', 'spread': None}],
    }
    return copy.deepcopy(whole)


def entry(wine: str, marks: list[float], **more: Any) -> Entry:
    """An entry with marks in the order of the sheet."""
    given = dict(zip(SHEET.categories_by_key, marks, strict=True))
    made = check_entry(SHEET, taster='learner', wine=wine, marks=given, **more)
    assert isinstance(made, Entry)
    return made
