"""Power and least difference: R's noncentral t and its `power.t.test`.

R 4.2.2:
    show <- function(x) cat(format(x, digits = 12), sep = ', ', fill = 70)
    power <- function(df, ncp, alpha) {
      c <- qt(1 - alpha / 2, df)
      pt(c, df, ncp, lower.tail = FALSE) + pt(-c, df, ncp)
    }
    cases <- expand.grid(ncp = c(0, 0.5, 2, 3.5, 6), df = c(1, 3, 11, 77, 500))
    show(mapply(power, cases$df, cases$ncp, 0.05))
    show(mapply(power, cases$df, cases$ncp, 0.001))

Two wines at S sites are S paired differences, each with variance 2(0.16 + 2.25/N):
    paired <- function(tasters, ...) {
      power.t.test(sd = sqrt(2 * (0.16 + 2.25 / tasters)), type = 'paired', strict = TRUE, ...)
    }
    pair <- function(sites, tasters, d) paired(tasters, n = sites, delta = d)$power
    show(c(pair(4, 6, 1), pair(12, 10, 0.5), pair(12, 10, 1), pair(40, 5, 0.5)))
    least <- function(sites, tasters, p) paired(tasters, n = sites, power = p, tol = 1e-10)$delta
    show(c(least(4, 6, 0.8), least(12, 10, 0.8), least(12, 10, 0.95), least(40, 5, 0.5)))
    enough <- function(tasters, d, p) paired(tasters, delta = d, power = p)$n
    show(c(enough(10, 0.5, 0.8), enough(10, 1, 0.8), enough(5, 0.5, 0.9)))

    show(c(qtukey(0.95, 8, 77), qtukey(0.95, 3, 4), qtukey(0.99, 60, 500), qtukey(0.95, 8, 21)))
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from statsmodels.stats.power import TTestPower

from halfpoint.plan.power import (
    Question,
    critical_t,
    even_prospect,
    needed_sites,
    power_of,
    prospect_of,
)
from halfpoint.plan.precision import EvenSites, Variances

NONCENTRALITIES = (0.0, 0.5, 2.0, 3.5, 6.0)
FREEDOMS = (1.0, 3.0, 11.0, 77.0, 500.0)
POWERS = {
    0.05: (
        0.0500000000000, 0.0560962568326, 0.1257563177575, 0.2163890275775, 0.3621839929658,
        0.0500000000000, 0.0652942736094, 0.2887524164018, 0.6516496571583, 0.9670006399120,
        0.0500000000000, 0.0743386594565, 0.4464661578455, 0.8891303709571, 0.9997310932449,
        0.0500000000000, 0.0783692882450, 0.5060502744477, 0.9326807101333, 0.9999631264632,
        0.0500000000000, 0.0789843381004, 0.5144741639137, 0.9373997281455, 0.9999719305929,
    ),
    0.001: (
        0.00100000000000, 0.00112245929801, 0.00252790616839, 0.00438672216968, 0.00751977040666,
        0.00100000000000, 0.00137678808168, 0.00849953857794, 0.03093177402043, 0.11983450657655,
        0.00100000000000, 0.00200870607626, 0.04163607955647, 0.27296626207689, 0.88661968056152,
        0.00100000000000, 0.00257525785843, 0.08692017167151, 0.53454997566474, 0.99371094217576,
        0.00100000000000, 0.00268525874267, 0.09657206102827, 0.57555262050331, 0.99628475710463,
    ),
}  # fmt: skip
PAIRS = {
    (4, 6, 1.0): 0.273997044350,
    (12, 10, 0.5): 0.437104594922,
    (12, 10, 1.0): 0.947906914267,
    (40, 5, 0.5): 0.797265518762,
}
LEAST = {
    (4, 6, 0.8): 2.201167916357,
    (12, 10, 0.8): 0.779790953065,
    (12, 10, 0.95): 1.005625113071,
    (40, 5, 0.5): 0.350933228760,
}
ENOUGH = {
    (10, 0.5, 0.8): 26.16017228929,
    (10, 1.0, 0.8): 8.16668447126,
    (5, 0.5, 0.9): 53.23416859493,
}
TUKEY = {
    (0.05, 8, 77.0): 4.40643887120,
    (0.05, 3, 4.0): 5.04024125011,
    (0.01, 60, 500.0): 6.39729646705,
    (0.05, 8, 21.0): 4.74347739766,
}
VARIANCES = Variances(1.0, 0.1, 0.16, 2.25)


def _two_wines(sites: int, tasters: int) -> EvenSites:
    return EvenSites(sites, tasters, wines=2, each=2)


@pytest.mark.parametrize('alpha', POWERS)
def test_power_is_that_of_the_noncentral_t(alpha: float) -> None:
    """R's `pt` with a noncentrality gives the same power."""
    df, centre = (part.ravel() for part in np.meshgrid(FREEDOMS, NONCENTRALITIES, indexing='ij'))
    critical = critical_t(df, 2, Question(1.0, alpha))
    assert power_of(centre, df, critical) == pytest.approx(POWERS[alpha], abs=2e-9)


@pytest.mark.parametrize(('case', 'expected'), PAIRS.items())
def test_power_of_two_wines(case: tuple[int, int, float], expected: float) -> None:
    """Sites as pairs of means: R's `power.t.test`, paired."""
    sites, tasters, difference = case
    found = even_prospect(_two_wines(sites, tasters), VARIANCES, Question(difference))
    assert found.power == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(('case', 'expected'), LEAST.items())
def test_least_difference_of_two_wines(case: tuple[int, int, float], expected: float) -> None:
    """The difference that R's `power.t.test` solves for."""
    sites, tasters, power = case
    found = even_prospect(_two_wines(sites, tasters), VARIANCES, Question(1.0, power=power))
    assert found.detectable == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize(('case', 'expected'), ENOUGH.items())
def test_sites_needed_for_two_wines(case: tuple[int, float, float], expected: float) -> None:
    """The number of pairs that R's `power.t.test` solves for, rounded up."""
    tasters, difference, power = case
    question = Question(difference, power=power)
    assert math.ceil(expected) == needed_sites(_two_wines(2, tasters), VARIANCES, question)


@pytest.mark.parametrize(('case', 'expected'), TUKEY.items())
def test_all_pairs_at_once_by_the_studentised_range(
    case: tuple[float, int, float], expected: float
) -> None:
    """R's `qtukey` over the root of two."""
    alpha, wines, df = case
    found = critical_t(df, wines, Question(1.0, alpha, pairs='all'))
    assert float(found) * math.sqrt(2.0) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize('sites', [2, 5, 12, 60])
@pytest.mark.parametrize('difference', [0.2, 0.5, 0.8])
def test_statsmodels_agrees_on_two_wines(sites: int, difference: float) -> None:
    """statsmodels' power of the paired t test gives the same."""
    sd = math.sqrt(2 * (VARIANCES.bottle + VARIANCES.residual / 8))
    expected = TTestPower().power(difference / sd, sites, 0.05)
    found = even_prospect(_two_wines(sites, 8), VARIANCES, Question(difference))
    assert found.power == pytest.approx(expected, abs=1e-8)


def test_statsmodels_agrees_on_any_freedom() -> None:
    """The same prospect of a standard error of 0.3 on 77 degrees of freedom."""
    expected = TTestPower().power(0.7 / 0.3 / math.sqrt(78), 78, 0.05)
    assert prospect_of(0.3, 77.0, 8, Question(0.7)).power == pytest.approx(expected, abs=1e-8)
