"""Ham: consumers' liking of 4 products with and without information, 8 cells as wines.

Data lmerTest::ham (GPL-2 or later), in data/ham.csv; Kuznetsova, Brockhoff and Christensen
(2017), J. Stat. Softw. 82(13), analyse it with the random effects used here, consumer
(taster) and consumer by product (taster:product).  The two-way structure of the cells is
recovered by contrasts: means of products and of information, and the single-degree F test
of information (t squared).  F tests with several degrees are given by halfpoint for all
wines at once only, so those of product and interaction are not checked.

The denominator of an F test over unequal pieces depends on the contrasts it is split into
(Fai and Cornelius 1996): 279.958 for orthonormal contrasts (used here, because the order of
the wines then does not matter), 303.57 for differences from the first cell, 282.82 for those
of lmerTest's anova.

R:
    d <- marks('ham')
    fit <- tight(total ~ wine + (1 | taster) + (1 | taster:product), d)
    show(REMLcrit(fit), variances(fit), profile_intervals(fit), means_table(fit), all_alike(fit))
    show(pairs_table(fit))
    two <- tight(total ~ product * information + (1 | taster) + (1 | taster:product), d)
    show(REMLcrit(two), means_table(two, ~product), means_table(two, ~information))
    show(plain(pairs(emmeans(two, ~information))))
    show(plain(pairs(emmeans(two, ~product), adjust = 'none')))
    show(anova(two))
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.weigh import Fit, fit_mark, weigh_mark

from . import sets
from .record import (
    ERROR,
    FREEDOM,
    MEAN,
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
    criterion=2705.5304895,
    variances={'taster': 0.3735660981, 'taster:product': 3.162236365, 'residual': 1.6674768536},
    intervals={
        'taster': (0.0, 0.9267421797),
        'taster:product': (2.5097463782, 3.9803422114),
        'residual': (1.4337066497, 1.9549554151),
    },
    means={
        '1.1': Mean(5.7283950617, 0.2534521972, 428.75547),
        '1.2': Mean(5.8888888889, 0.2534521972, 428.75547),
        '2.1': Mean(4.9012345679, 0.2534521972, 428.75547),
        '2.2': Mean(5.3086419753, 0.2534521972, 428.75547),
        '3.1': Mean(5.8765432099, 0.2534521972, 428.75547),
        '3.2': Mean(6.3086419753, 0.2534521972, 428.75547),
        '4.1': Mean(6.024691358, 0.2534521972, 428.75547),
        '4.2': Mean(5.8271604938, 0.2534521972, 428.75547),
    },
    pairs={
        ('1.1', '1.2'): Pair(-0.1604938272, 0.2029095069, 320.0, 0.429552, 0.99183, 3.0006),
        ('1.1', '2.1'): Pair(0.8271604938, 0.3453290869, 339.51233, 0.0171488, 0.22056, 2.9994),
        ('1.1', '2.2'): Pair(0.4197530864, 0.3453290869, 339.51233, 0.225014, 0.91318, 2.9994),
        ('1.1', '3.1'): Pair(-0.1481481481, 0.3453290869, 339.51233, 0.668191, 0.99984, 2.9994),
        ('1.1', '3.2'): Pair(-0.5802469136, 0.3453290869, 339.51233, 0.0938241, 0.66587, 2.9994),
        ('1.1', '4.1'): Pair(-0.2962962963, 0.3453290869, 339.51233, 0.391491, 0.98676, 2.9994),
        ('1.1', '4.2'): Pair(-0.0987654321, 0.3453290869, 339.51233, 0.77505, 0.99999, 2.9994),
        ('1.2', '2.1'): Pair(0.987654321, 0.3453290869, 339.51233, 0.00449802, 0.073329, 2.9994),
        ('1.2', '2.2'): Pair(0.5802469136, 0.3453290869, 339.51233, 0.0938241, 0.66587, 2.9994),
        ('1.2', '3.1'): Pair(0.01234567901, 0.3453290869, 339.51233, 0.971502, 1, 2.9994),
        ('1.2', '3.2'): Pair(-0.4197530864, 0.3453290869, 339.51233, 0.225014, 0.91318, 2.9994),
        ('1.2', '4.1'): Pair(-0.1358024691, 0.3453290869, 339.51233, 0.694378, 0.99991, 2.9994),
        ('1.2', '4.2'): Pair(0.06172839506, 0.3453290869, 339.51233, 0.858239, 1, 2.9994),
        ('2.1', '2.2'): Pair(-0.4074074074, 0.2029095069, 320.0, 0.0455018, 0.44116, 3.0006),
        ('2.1', '3.1'): Pair(-0.975308642, 0.3453290869, 339.51233, 0.0050185, 0.08058, 2.9994),
        ('2.1', '3.2'): Pair(-1.407407407, 0.3453290869, 339.51233, 5.72098e-05, 0.0012799, 2.9994),
        ('2.1', '4.1'): Pair(-1.12345679, 0.3453290869, 339.51233, 0.00125539, 0.02351, 2.9994),
        ('2.1', '4.2'): Pair(-0.9259259259, 0.3453290869, 339.51233, 0.00769215, 0.11573, 2.9994),
        ('2.2', '3.1'): Pair(-0.5679012346, 0.3453290869, 339.51233, 0.100994, 0.68969, 2.9994),
        ('2.2', '3.2'): Pair(-1.0, 0.3453290869, 339.51233, 0.00402713, 0.066629, 2.9994),
        ('2.2', '4.1'): Pair(-0.7160493827, 0.3453290869, 339.51233, 0.0388769, 0.39821, 2.9994),
        ('2.2', '4.2'): Pair(-0.5185185185, 0.3453290869, 339.51233, 0.134151, 0.77892, 2.9994),
        ('3.1', '3.2'): Pair(-0.4320987654, 0.2029095069, 320.0, 0.0339747, 0.36336, 3.0006),
        ('3.1', '4.1'): Pair(-0.1481481481, 0.3453290869, 339.51233, 0.668191, 0.99984, 2.9994),
        ('3.1', '4.2'): Pair(0.04938271605, 0.3453290869, 339.51233, 0.886374, 1, 2.9994),
        ('3.2', '4.1'): Pair(0.2839506173, 0.3453290869, 339.51233, 0.411505, 0.9897, 2.9994),
        ('3.2', '4.2'): Pair(0.4814814815, 0.3453290869, 339.51233, 0.164148, 0.83717, 2.9994),
        ('4.1', '4.2'): Pair(0.1975308642, 0.2029095069, 320.0, 0.331044, 0.97276, 3.0006),
    },
    wine_test=(3.0895660985, 7, 279.958027, 0.00374555676),
)
PRODUCTS = {
    '1': Mean(5.8086419753, 0.2322605204, 313.13383),
    '2': Mean(5.1049382716, 0.2322605204, 313.13383),
    '3': Mean(6.0925925926, 0.2322605204, 313.13383),
    '4': Mean(5.9259259259, 0.2322605204, 313.13383),
}
EFFECTS = ('taster', 'taster:product')


@pytest.fixture(scope='module')
def found() -> MarkFindings:
    """Consumers, and consumers by product, as random effects."""
    return weigh_mark(sets.ham(), effects=EFFECTS)


@pytest.fixture(scope='module')
def fit() -> Fit:
    """The same, for contrasts."""
    return fit_mark(sets.ham(), effects=EFFECTS)


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


def _weights(fit: Fit, worth: Callable[[str], float]) -> NDArray[np.float64]:
    return np.array([worth(cell) for cell in fit.weighing.design.wine.labels])


@pytest.mark.parametrize('product', sorted(PRODUCTS))
def test_product_means(fit: Fit, product: str) -> None:
    """A product's mean over both cells has the estimate, error and freedom of emmeans."""
    found = fit.contrast(_weights(fit, lambda cell: 0.5 * (cell[0] == product)))
    expected = PRODUCTS[product]
    assert pytest.approx(expected.mean, rel=MEAN) == found.estimate
    assert pytest.approx(expected.se, rel=ERROR) == found.se
    assert pytest.approx(expected.df, rel=FREEDOM) == found.df


def test_information(fit: Fit) -> None:
    """Information: F = 3.910136 on 1 and 320 (lmerTest's anova), as the square of t."""
    found = fit.contrast(_weights(fit, lambda cell: 0.25 if cell[2] == '1' else -0.25))
    assert pytest.approx(-0.20061728395, rel=MEAN) == found.estimate
    assert pytest.approx(0.1014547534, rel=ERROR) == found.se
    assert pytest.approx(320.0, rel=FREEDOM) == found.df
    assert pytest.approx(3.9101362, rel=1e-6) == (found.estimate / found.se) ** 2


def test_product_differences(fit: Fit) -> None:
    """Between products, freedom is that of their consumers: 240 (lmerTest, emmeans)."""
    worth = {'1': 0.5, '2': -0.5}
    found = fit.contrast(_weights(fit, lambda cell: worth.get(cell[0], 0.0)))
    assert pytest.approx(0.7037037037, rel=MEAN) == found.estimate
    assert pytest.approx(0.3141115157, rel=ERROR) == found.se
    assert pytest.approx(240.0, rel=FREEDOM) == found.df
