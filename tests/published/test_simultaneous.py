"""All pairs at once: Tukey's studentised range where it is exact, the multivariate t elsewhere.

Tukey (1953) and Kramer (1956): with equal variances and independent means the largest |t|
of all pairs times the square root of 2 is a studentised range.  SciPy's
`stats.studentized_range` and R's ptukey give it; both are checked.

For dependent or unequal means the reference is the multivariate t of mvtnorm 1.1-3 (Genz and
Bretz 2009), as multcomp's single-step method uses it (Hothorn, Bretz and Westfall 2008,
Biometrical Journal 50, 346).

R:
    show(qtukey(0.95, 3, 10) / sqrt(2), qtukey(0.95, 6, 115) / sqrt(2),
         qtukey(0.95, 8, 748) / sqrt(2), qtukey(0.95, 20, 60) / sqrt(2))
    covariance <- matrix(c(1, .5, .2, .1, .5, 2, -.3, 0, .2, -.3, 1.5, .4, .1, 0, .4, .8), 4)
    pairs <- t(combn(4, 2))
    to <- matrix(0, 6, 4); to[cbind(1:6, pairs[, 1])] <- 1; to[cbind(1:6, pairs[, 2])] <- -1
    correlation <- cov2cor(to %*% covariance %*% t(to))
    set.seed(1)
    t <- c(0.5, 1.0, 1.5, 2.0, 2.5, 3.0)
    for (df in c(5, 30)) show(sapply(t, beyond, df = df, correlation = correlation),
      uniroot(function(t) beyond(t, df, correlation) - 0.05, c(2, 5), tol = 1e-6)$root)
    d <- marks('appletaste')
    fit <- tight(total ~ wine + (1 | taster), d)
    show(summary(glht(fit, mcp(wine = 'Tukey'), df = 40))$test$pvalues)
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import studentized_range

from halfpoint.estimate.simultaneous import MOST_DRAWS, Adjusted, adjust, draw
from halfpoint.estimate.weigh import weigh_mark

from . import sets
from .record import CRITICAL, drawn

Floats = NDArray[np.float64]

# Means, degrees of freedom, and R's qtukey(0.95, …) / sqrt(2).
TUKEY = [(3, 10, 2.7412951285), (6, 115, 2.8983457092), (8, 748, 3.0395156609)]

COVARIANCE = np.array(
    [[1.0, 0.5, 0.2, 0.1], [0.5, 2.0, -0.3, 0.0], [0.2, -0.3, 1.5, 0.4], [0.1, 0.0, 0.4, 0.8]]
)
STATISTICS = np.array([0.5, 1.0, 1.5, 2.0, 2.5, 3.0])
# Chance that the largest |t| of the 6 pairs is beyond each statistic, and the critical |t|.
DEPENDENT = {
    5: ((0.952224, 0.744367, 0.486073, 0.288890, 0.166672, 0.096719), 3.637409),
    30: ((0.955095, 0.736385, 0.432334, 0.198738, 0.075053, 0.024398), 2.687506),
}

# multcomp's single-step p values of appletaste with 40 degrees of freedom; halfpoint's have
# 40.47, which moves them by up to 2 % of themselves.
SINGLE_STEP = {
    ('298', '493'): 0.12724832,
    ('298', '649'): 0.47409022,
    ('298', '937'): 0.00057605621,
    ('493', '649'): 0.0033513939,
    ('493', '937'): 2.5567671e-07,
    ('649', '937'): 0.033262976,
}


def _adjusted(covariance: Floats, df: float, t: Floats) -> Adjusted:
    """All pairs of scores with this covariance, at given statistics."""
    first, second = np.triu_indices(covariance.shape[0], 1)
    variance = np.diagonal(covariance)
    se = np.sqrt(variance[first] + variance[second] - 2.0 * covariance[first, second])
    draws = draw(covariance, 5, MOST_DRAWS)
    return adjust(draws, first, second, se, np.full(t.size, float(df)), t)


@pytest.mark.parametrize(('means', 'df', 'critical'), TUKEY)
def test_balanced_is_tukey(means: int, df: int, critical: float) -> None:
    """Equal and independent scores: p values and critical |t| are the studentised range's."""
    t = np.linspace(0.3, 4.0, means * (means - 1) // 2)
    found = _adjusted(np.eye(means), df, t)
    expected = studentized_range.sf(t * np.sqrt(2.0), means, df)
    for p, actual in zip(expected.tolist(), found.p.tolist(), strict=True):
        assert pytest.approx(p, abs=drawn(p)) == actual
    assert pytest.approx(np.full(t.size, critical), abs=CRITICAL) == found.critical


@pytest.mark.parametrize(('df', 'expected'), DEPENDENT.items())
def test_dependent_is_multivariate_t(df: int, expected: tuple[tuple[float, ...], float]) -> None:
    """Unequal, correlated scores: p values and critical |t| are mvtnorm's."""
    found = _adjusted(COVARIANCE, df, STATISTICS)
    chances, critical = expected
    for p, actual in zip(chances, found.p.tolist(), strict=True):
        assert pytest.approx(p, abs=drawn(p)) == actual
    # The tail of 5 degrees of freedom is flatter: its quantile is twice as uncertain.
    assert pytest.approx(np.full(6, critical), abs=2.0 * CRITICAL) == found.critical


def test_single_step_of_multcomp() -> None:
    """The adjusted p values of an incomplete block design are multcomp's single-step ones."""
    found = weigh_mark(sets.appletaste(), effects=['taster'])
    pairs = {(pair.a, pair.b): pair.p_adjusted for pair in found.pairs}
    for names, p in SINGLE_STEP.items():
        assert pytest.approx(p, rel=0.02, abs=drawn(p)) == pairs[names]
