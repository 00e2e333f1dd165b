"""Generalizability and decision studies of Brennan (2001), Generalizability Theory, Springer.

Data and printed lines by way of the tests of GeneralizIT (MIT): synthetic data sets 1 (p x i),
3 (p x i x o) and 4 (p x (r:t)). Further digits: base R aov and lme4 1.1-31 (balanced, so that
REML equals analysis of variance). Persons are wines, items or raters tasters, occasions or
tasks sites.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest

from halfpoint.errors import TooFewMarks
from halfpoint.estimate.weigh import weigh_mark
from halfpoint.panel.generalizability import Component, crossed, decide, from_fit, nested

from .sets import HERE

PRINTED = 6e-5  # four digits are printed
COEFFICIENT = 1e-9
LINES = tuple[float, float, float, float]


def persons_by_items() -> np.ndarray:
    """Data set 1."""
    return pl.read_csv(HERE / 'brennan1.csv').drop('person').to_numpy().astype(float)


def persons_by_items_by_occasions() -> np.ndarray:
    """Data set 3."""
    table = pl.read_csv(HERE / 'brennan3.csv')
    marks = np.full((10, 4, 2), np.nan)
    marks[table['p'] - 1, table['i'] - 1, table['o'] - 1] = table['score']
    return marks


def raters_in_tasks() -> np.ndarray:
    """Data set 4."""
    table = pl.read_csv(HERE / 'brennan4.csv')
    marks = np.full((10, 3, 4), np.nan)
    marks[table['Person'] - 1, table['Task'] - 1, (table['Rater'] - 1) % 4] = table['Score']
    return marks


def by_name(components: tuple[Component, ...]) -> dict[str, Component]:
    """With facets in one word."""
    return {' '.join(sorted(each.facets)): each for each in components}


def test_persons_by_items() -> None:
    """Sums of squares, components and coefficients of data set 1 as printed."""
    found = by_name(crossed(persons_by_items(), ('wine', 'taster')))
    squares = {'wine': 7.3417, 'taster': 9.6917, 'taster wine': 12.5583}
    estimates = {'wine': 0.0574, 'taster': 0.0754, 'taster wine': 0.1269}
    for name, component in found.items():
        assert pytest.approx(squares[name], abs=PRINTED) == component.sum_of_squares
        assert pytest.approx(estimates[name], abs=PRINTED) == component.estimate
    reached = decide(found.values(), {'taster': 12})
    assert pytest.approx((0.8444948922, 0.7730235194), rel=COEFFICIENT) == (
        reached.relative,
        reached.absolute,
    )


def test_fully_crossed() -> None:
    """Every component of data set 3, and its decision study."""
    components = crossed(persons_by_items_by_occasions(), ('wine', 'taster', 'site'))
    expected = {
        'wine': 0.5527777778, 'taster': 0.4416666667, 'site': 0.007407407407,
        'taster wine': 0.575, 'site wine': 0.1009259259, 'site taster': 0.1564814815,
        'site taster wine': 0.9351851852,
    }  # fmt: skip
    sums = {
        'wine': 62.2, 'taster': 37.45, 'site': 3.2, 'taster wine': 56.3, 'site wine': 12.05,
        'site taster': 7.5, 'site taster wine': 25.25,
    }  # fmt: skip
    means = {
        'wine': 6.911111111, 'taster': 12.48333333, 'site': 3.2, 'taster wine': 2.085185185,
        'site wine': 1.338888889, 'site taster': 2.5, 'site taster wine': 0.9351851852,
    }  # fmt: skip
    for name, component in by_name(components).items():
        assert pytest.approx(expected[name], rel=1e-8) == component.estimate
        assert pytest.approx(sums[name], rel=1e-8) == component.sum_of_squares
        assert pytest.approx(means[name], rel=1e-8) == component.mean_square
    studies: dict[tuple[int, int], LINES] = {
        (4, 2): (0.6398713826, 0.5541246084, 0.3111111111, 0.4447916667),
        (1, 1): (0.2554557125, 0.1995987964, 1.611111111, 2.216666667),
        (8, 1): (0.6561340844, 0.5978220053, 0.2896990741, 0.371875),
        (8, 2): (0.7535500158, 0.6890283488, 0.180787037, 0.2494791667),
        (4, 4): (0.7085002225, 0.6126611507, 0.2274305556, 0.3494791667),
    }
    check(components, studies)


NESTED_STUDIES: dict[tuple[int, int], LINES] = {
    # tasters at each site, sites
    (1, 1): (0.1386326594, 0.1078855614, 2.939814794, 3.912500146),
    (4, 3): (0.5514388366, 0.4637023329, 0.3848765443, 0.5472222549),
    (2, 3): (0.4478963662, 0.3717715313, 0.5832304511, 0.799537075),
    (4, 6): (0.7108740914, 0.6336019592, 0.1924382722, 0.2736111274),
    (1, 10): (0.616777299, 0.5473729105, 0.2939814794, 0.3912500146),
    (12, 24): (0.9374315212, 0.9089830909, 0.03158007581, 0.04737654685),
}


def test_tasters_within_sites() -> None:
    """Mean squares, components and decision study of data set 4."""
    components = nested(raters_in_tasks())
    squares = {
        'wine': 10.2963, 'site': 24.1, 'site taster': 8.8556, 'site wine': 4.6185,
        'site taster wine': 2.3802,
    }  # fmt: skip
    expected = {
        'wine': 0.4731, 'site': 0.3252, 'site taster': 0.6475, 'site wine': 0.5596,
        'site taster wine': 2.3802,
    }  # fmt: skip
    sums = {
        'wine': 92.6667, 'site': 48.2, 'site taster': 79.7, 'site wine': 83.1333,
        'site taster wine': 192.8,
    }  # fmt: skip
    by_lme4 = {
        'wine': 0.473148126, 'site': 0.3251543918, 'site taster': 0.6475309595,
        'site wine': 0.5595679125, 'site taster wine': 2.380246882,
    }  # fmt: skip
    for name, component in by_name(components).items():
        assert pytest.approx(sums[name], abs=PRINTED) == component.sum_of_squares
        assert pytest.approx(squares[name], abs=PRINTED) == component.mean_square
        assert pytest.approx(expected[name], abs=PRINTED) == component.estimate
        assert pytest.approx(by_lme4[name], abs=5e-6) == component.estimate
    check(components, NESTED_STUDIES, relative=1e-6)


def check(
    components: tuple[Component, ...],
    studies: dict[tuple[int, int], LINES],
    relative: float = COEFFICIENT,
) -> None:
    """Coefficients and errors of each study. lme4's optimum has six digits."""
    for (tasters, sites), lines in studies.items():
        found = decide(components, {'taster': tasters, 'site': sites})
        told = (found.relative, found.absolute, found.relative_error, found.absolute_error)
        assert pytest.approx(lines, rel=relative) == told


def test_the_main_estimate() -> None:
    """The components of the main estimate, wines at random, are those of the nested design."""
    wines, sites, tasters = np.indices((10, 3, 4)).reshape(3, -1)
    frame = pl.DataFrame(
        {
            'taster': [f't{site}-{taster}' for site, taster in zip(sites, tasters, strict=True)],
            'site': [f's{site}' for site in sites],
            'wine': [f'w{wine}' for wine in wines],
            'total': raters_in_tasks().ravel(),
        }
    )
    parts = weigh_mark(frame, effects=['taster', 'site', 'bottle'], wines='random').components
    names = {'wine': 'wine', 'taster': 'taster', 'site': 'site', 'bottle': 'bottle'}
    found = from_fit(
        left=parts['residual'].variance, **{to: parts[name].variance for to, name in names.items()}
    )
    check(found, NESTED_STUDIES, relative=1e-4)


def test_below_nothing() -> None:
    """A component that comes out below zero is told and used as zero."""
    rng = np.random.default_rng(3)
    components = crossed(rng.normal(size=(6, 5)) + np.arange(5), ('wine', 'taster'))
    wine = by_name(components)['wine']
    assert wine.estimate < 0.0
    assert 0.0 == wine.variance
    assert 0.0 == decide(components, {'taster': 5}).relative


def test_refusals() -> None:
    """A missing mark or a facet of one level is refused."""
    with pytest.raises(TooFewMarks):
        crossed(np.ones((3, 1)), ('wine', 'taster'))
    with pytest.raises(TooFewMarks):
        crossed(np.array([[1.0, 2.0], [3.0, np.nan]]), ('wine', 'taster'))
