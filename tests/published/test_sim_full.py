"""A simulated tasting: 12 sites, 112 tasters, 8 wines, serving position, 3 % missing.

Our own data (data/sim_full.csv), simulated in R; not balanced, so nothing here has a closed
form.  Five models: taster and site; with bottle (a variance of zero); wines random; with
the position as a numeric covariate; and as a factor.  Adjusted means stand at the mean
position, or give its levels equal weights, as emmeans does.

R:
    d <- marks('sim_full')
    fit <- tight(total ~ wine + (1 | taster) + (1 | site), d)
    show(REMLcrit(fit), variances(fit), means_table(fit))
    bottle <- tight(total ~ wine + (1 | taster) + (1 | site) + (1 | site:wine), d)
    show(REMLcrit(bottle), variances(bottle), means_table(bottle), profile_intervals(bottle))
    random <- tight(total ~ 1 + (1 | taster) + (1 | site) + (1 | site:wine) + (1 | wine), d)
    show(REMLcrit(random), variances(random), profile_intervals(random), predictions(random))
    position <- tight(total ~ wine + position + (1 | taster) + (1 | site), d)
    show(REMLcrit(position), variances(position), means_table(position), pairs_table(position))
    show(summary(position)$coefficients['position', ], all_alike(position))
    d$order <- factor(d$position)
    order <- tight(total ~ wine + order + (1 | taster) + (1 | site), d)
    show(REMLcrit(order), variances(order), means_table(order), summary(order)$coefficients)
"""

from __future__ import annotations

import polars as pl
import pytest

from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.weigh import weigh_mark

from . import sets
from .record import (
    CHANCE,
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

PLAIN = Record(
    source='lmerTest 3.1-3 and emmeans 1.8.4-1 on the fit of tight()',
    criterion=3080.4362295,
    variances={'taster': 0.6673239716, 'site': 0.1941052492, 'residual': 1.6768347417},
    means={
        'W01': Mean(15.456144108, 0.1949431868, 26.765734),
        'W02': Mean(14.541352073, 0.1962546291, 27.467396),
        'W03': Mean(13.069813349, 0.195345955, 26.986416),
        'W04': Mean(14.229087342, 0.1936809743, 26.103263),
        'W05': Mean(12.691566122, 0.194476378, 26.531388),
        'W06': Mean(13.733131162, 0.1953601237, 26.993756),
        'W07': Mean(14.289067944, 0.1929238162, 25.692794),
        'W08': Mean(14.061389372, 0.1929238162, 25.692794),
    },
)
BOTTLE = Record(
    source='the same',
    criterion=3080.4362295,
    variances={
        'taster': 0.6673239708,
        'site': 0.1941052487,
        'bottle': 0.0,
        'residual': 1.676834742,
    },
    intervals={
        'taster': (0.4602058165, 0.9660757066),
        'site': (0.0387690239, 0.6716434631),
        'bottle': (0.0, 0.0325105077),
        'residual': (1.5176156917, 1.8591231556),
    },
    means={
        'W01': Mean(15.456144108, 0.1949431867, 26.765734),
        'W02': Mean(14.541352073, 0.196254629, 27.467396),
        'W03': Mean(13.069813349, 0.1953459548, 26.986416),
        'W04': Mean(14.229087342, 0.1936809742, 26.103263),
        'W05': Mean(12.691566122, 0.1944763779, 26.531388),
        'W06': Mean(13.733131162, 0.1953601236, 26.993756),
        'W07': Mean(14.289067944, 0.1929238161, 25.692794),
        'W08': Mean(14.061389372, 0.1929238161, 25.692794),
    },
)
RANDOM = Record(
    source="the same; predictions by Henderson's equations",
    criterion=3100.2999019,
    variances={
        'taster': 0.6667751549,
        'site': 0.1941237749,
        'bottle': 0.0,
        'wine': 0.7270950052,
        'residual': 1.6769763163,
    },
    intervals={
        'taster': (0.459777102, 0.9653489553),
        'site': (0.038806809, 0.6716124028),
        'bottle': (0.0, 0.0327042147),
        'wine': (0.2885251369, 2.6218635625),
        'residual': (1.5177319998, 1.8592966008),
    },
    means={
        'W01': Mean(15.42542058, 0.1941867437),
        'W02': Mean(14.52964674, 0.1954544877),
        'W03': Mean(13.089920031, 0.1945755037),
        'W04': Mean(14.224548709, 0.1929648361),
        'W05': Mean(12.719207172, 0.1937340783),
        'W06': Mean(13.738984584, 0.1945898202),
        'W07': Mean(14.283400353, 0.1922320302),
        'W08': Mean(14.060315743, 0.1922320302),
    },
)
POSITION = Record(
    source='the same, with position',
    criterion=3086.3778014,
    variances={'taster': 0.6669268561, 'site': 0.1940451111, 'residual': 1.6788624305},
    means={
        'W01': Mean(15.456236247, 0.1949701835, 26.792836),
        'W02': Mean(14.539767507, 0.1963368303, 27.525262),
        'W03': Mean(13.069697847, 0.1953734603, 27.013945),
        'W04': Mean(14.228860498, 0.1937075679, 26.129574),
        'W05': Mean(12.692876437, 0.194540255, 26.578469),
        'W06': Mean(13.73248357, 0.1953965366, 27.026059),
        'W07': Mean(14.289534852, 0.1929533546, 25.720417),
        'W08': Mean(14.061915187, 0.1929546539, 25.721112),
    },
    pairs={
        ('W01', 'W02'): Pair(0.9164687402, 0.1789924693, 748.23378, 3.8863e-07, 9.7994e-06, 3.0396),
        ('W01', 'W03'): Pair(2.3865384, 0.1780717353, 748.19677, 7.26755e-37, 0.0, 3.0396),
        ('W01', 'W04'): Pair(1.22737575, 0.1762580204, 747.27432, 7.27858e-12, 0.0, 3.0396),
        ('W01', 'W05'): Pair(2.76335981, 0.1771848991, 747.62646, 1.0982e-47, 0.0, 3.0396),
        ('W01', 'W06'): Pair(1.723752677, 0.1779859295, 747.82812, 5.61287e-21, 0.0, 3.0396),
        ('W01', 'W07'): Pair(1.166701395, 0.1753866588, 746.71192, 5.58394e-11, 0.0, 3.0396),
        ('W01', 'W08'): Pair(1.394321061, 0.1753877903, 746.71196, 6.89336e-15, 0.0, 3.0396),
        ('W02', 'W03'): Pair(1.47006966, 0.1795396214, 748.88061, 1.14273e-15, 0.0, 3.0396),
        ('W02', 'W04'): Pair(0.3109070094, 0.1777231664, 747.88839, 0.0806339, 0.65457, 3.0396),
        ('W02', 'W05'): Pair(1.84689107, 0.1787671984, 748.31054, 1.76308e-23, 0.0, 3.0396),
        ('W02', 'W06'): Pair(
            0.8072839373, 0.1795094178, 749.16331, 7.97832e-06, 0.00020374, 3.0396
        ),
        ('W02', 'W07'): Pair(0.2502326553, 0.1769064764, 747.36559, 0.157634, 0.85058, 3.0396),
        ('W02', 'W08'): Pair(0.4778523203, 0.1769123811, 747.36665, 0.00706828, 0.12372, 3.0396),
        ('W03', 'W04'): Pair(-1.159162651, 0.1767111188, 747.41611, 1.00685e-10, 0.0, 3.0396),
        ('W03', 'W05'): Pair(0.37682141, 0.1776519323, 747.76431, 0.03424, 0.40209, 3.0396),
        ('W03', 'W06'): Pair(
            -0.6627857229, 0.1785398679, 748.49776, 0.000220662, 0.0053976, 3.0396
        ),
        ('W03', 'W07'): Pair(-1.219837005, 0.1758499522, 746.80987, 8.69926e-12, 0.0, 3.0396),
        ('W03', 'W08'): Pair(
            -0.9922173398, 0.1758517244, 746.80892, 2.3817e-08, 3.3557e-07, 3.0396
        ),
        ('W04', 'W05'): Pair(1.535984061, 0.1758429392, 746.90362, 1.58698e-17, 0.0, 3.0396),
        ('W04', 'W06'): Pair(0.4963769278, 0.1766264059, 746.93404, 0.00507873, 0.093953, 3.0396),
        ('W04', 'W07'): Pair(-0.06067435413, 0.1740322907, 745.96802, 0.727459, 0.99997, 3.0396),
        ('W04', 'W08'): Pair(0.1669453109, 0.1740343863, 745.96788, 0.337735, 0.9798, 3.0396),
        ('W05', 'W06'): Pair(-1.039607133, 0.177702879, 747.92992, 7.33753e-09, 2.7343e-07, 3.0396),
        ('W05', 'W07'): Pair(-1.596658415, 0.1749309349, 746.35767, 6.44719e-19, 0.0, 3.0396),
        ('W05', 'W08'): Pair(-1.36903875, 0.1749286021, 746.35819, 1.72107e-14, 0.0, 3.0396),
        ('W06', 'W07'): Pair(-0.557051282, 0.1758771709, 746.99565, 0.00160134, 0.034183, 3.0396),
        ('W06', 'W08'): Pair(-0.3294316169, 0.1758804562, 746.99518, 0.0614528, 0.56994, 3.0396),
        ('W07', 'W08'): Pair(0.2276196651, 0.1731465158, 745.44116, 0.189046, 0.89332, 3.0396),
    },
    wine_test=(47.091547985, 7, 747.291219, 2.18215978e-55),
)
ORDER = Record(
    source='the same, with position as a factor',
    criterion=3093.063977,
    variances={'taster': 0.6663270465, 'site': 0.1939758742, 'residual': 1.6891844062},
    means={
        'W01': Mean(15.45448541, 0.1955189414, 27.086717),
        'W02': Mean(14.540606603, 0.1966598612, 27.699683),
        'W03': Mean(13.076691748, 0.1958274356, 27.258381),
        'W04': Mean(14.225056886, 0.1941596478, 26.36766),
        'W05': Mean(12.691767186, 0.1951582299, 26.908852),
        'W06': Mean(13.734907086, 0.1959945493, 27.349337),
        'W07': Mean(14.284602946, 0.1933673207, 25.934545),
        'W08': Mean(14.064311875, 0.1933603416, 25.93136),
    },
)

# Levels 2 to 8 of the position against level 1: estimate and standard error.
LEVELS = {
    '2': (-0.136285339, 0.1765729195),
    '3': (-0.1289225092, 0.1783203431),
    '4': (-0.0712231134, 0.1759815235),
    '5': (-0.0961879454, 0.1775149034),
    '6': (-0.0929202192, 0.1778549848),
    '7': (0.0244618417, 0.178274292),
    '8': (-0.0462267926, 0.1772686758),
}


@pytest.fixture(scope='module')
def plain() -> MarkFindings:
    """Tasters and sites."""
    return weigh_mark(sets.sim_full(), effects=['taster', 'site'])


@pytest.fixture(scope='module')
def bottle() -> MarkFindings:
    """Tasters, sites and bottles."""
    return weigh_mark(sets.sim_full(), effects=['taster', 'site', 'bottle'])


@pytest.fixture(scope='module')
def random() -> MarkFindings:
    """The same with random wines."""
    return weigh_mark(sets.sim_full(), effects=['taster', 'site', 'bottle'], wines='random')


@pytest.fixture(scope='module')
def position() -> MarkFindings:
    """Tasters, sites and the position as a number."""
    return weigh_mark(sets.sim_full(), effects=['taster', 'site'], covariates=['position'])


@pytest.fixture(scope='module')
def order() -> MarkFindings:
    """Tasters, sites and the position as a factor."""
    place = pl.col('position').cast(pl.Int64).cast(pl.String)
    marks = sets.sim_full().with_columns(place.alias('order'))
    return weigh_mark(marks, effects=['taster', 'site'], covariates=['order'])


def test_plain_criterion(plain: MarkFindings) -> None:
    """The REML criterion is that of lme4 (plain)."""
    check_criterion(PLAIN, plain)


def test_plain_variances(plain: MarkFindings) -> None:
    """The variance components are those of lme4 (plain)."""
    check_variances(PLAIN, plain)


def test_plain_means(plain: MarkFindings) -> None:
    """Wine scores, standard errors and degrees of freedom are those of emmeans (plain)."""
    check_means(PLAIN, plain)


def test_bottle_criterion(bottle: MarkFindings) -> None:
    """The REML criterion is that of lme4 (bottle)."""
    check_criterion(BOTTLE, bottle)


def test_bottle_variances(bottle: MarkFindings) -> None:
    """The variance components are those of lme4 (bottle)."""
    check_variances(BOTTLE, bottle)


def test_bottle_intervals(bottle: MarkFindings) -> None:
    """Component intervals are the REML profile's (bottle)."""
    check_intervals(BOTTLE, bottle)


def test_bottle_means(bottle: MarkFindings) -> None:
    """Wine scores, standard errors and degrees of freedom are those of emmeans (bottle)."""
    check_means(BOTTLE, bottle)


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


def test_position_criterion(position: MarkFindings) -> None:
    """The REML criterion is that of lme4 (position)."""
    check_criterion(POSITION, position)


def test_position_variances(position: MarkFindings) -> None:
    """The variance components are those of lme4 (position)."""
    check_variances(POSITION, position)


def test_position_means(position: MarkFindings) -> None:
    """Wine scores, standard errors and degrees of freedom are those of emmeans (position)."""
    check_means(POSITION, position)


def test_position_pairs(position: MarkFindings) -> None:
    """Pairs agree with emmeans alone and with the multivariate t together (position)."""
    check_pairs(POSITION, position)


def test_position_wine_test(position: MarkFindings) -> None:
    """The F test of all wines is that of lmerTest (position)."""
    check_wine_test(POSITION, position)


def test_order_criterion(order: MarkFindings) -> None:
    """The REML criterion is that of lme4 (order)."""
    check_criterion(ORDER, order)


def test_order_variances(order: MarkFindings) -> None:
    """The variance components are those of lme4 (order)."""
    check_variances(ORDER, order)


def test_order_means(order: MarkFindings) -> None:
    """Wine scores, standard errors and degrees of freedom are those of emmeans (order)."""
    check_means(ORDER, order)


def test_shrunken_is_the_random_form(bottle: MarkFindings) -> None:
    """Shrunken scores of the fixed form are the predictions of the random form."""
    expected = {name: mean.mean for name, mean in RANDOM.means.items()}
    actual = {wine.wine: wine.shrunken for wine in bottle.wines}
    assert pytest.approx(expected, rel=1e-6) == actual


def test_position_effect(position: MarkFindings) -> None:
    """One place later in the serving order: estimate, error, freedom, t, p of lmerTest."""
    (found,) = position.covariates
    assert pytest.approx(0.0065975125147, rel=MEAN) == found.estimate
    assert pytest.approx(0.019295009539, rel=ERROR) == found.se
    assert pytest.approx(747.36357, rel=FREEDOM) == found.df
    assert pytest.approx(0.34192844, rel=ERROR) == found.t
    assert pytest.approx(0.732500871, rel=CHANCE) == found.p


def test_position_levels(order: MarkFindings) -> None:
    """Every place against the first: estimate and error of lmerTest."""
    found = {covariate.level: covariate for covariate in order.covariates}
    assert list(LEVELS) == list(found)
    for level, (estimate, se) in LEVELS.items():
        assert pytest.approx(estimate, rel=MEAN, abs=1e-8) == found[level].estimate
        assert pytest.approx(se, rel=ERROR) == found[level].se
