"""Profile intervals, against the brute-force criterion minimised over the rest by scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import chi2
from tests.estimate.dense import Dense, dense
from tests.estimate.tastings import tasting

from halfpoint.estimate.profile import component_intervals
from halfpoint.estimate.weigh import fit_mark


def rise(brute: Dense, best: float, which: int, variance: float, start: np.ndarray) -> float:
    """The least criterion with one component held, less the optimum (several starts)."""
    others = [i for i in range(start.size) if i != which]

    def height(free):
        variances = np.empty(start.size)
        variances[which] = variance
        variances[others] = free
        residual = variances[-1]
        return brute.criterion(variances[:-1] / residual, residual)

    bounds = [(1e-5 if i == start.size - 1 else 0.0, None) for i in others]
    lowest = min(
        minimize(
            height, start[others] * factor + shift, bounds=bounds, method='L-BFGS-B',
            options={'ftol': 1e-13, 'gtol': 1e-8, 'maxiter': 300},
        ).fun
        for factor, shift in ((1.0, 0.0), (0.6, 0.2), (1.5, 0.05))
    )  # fmt: skip
    return lowest - best


CASES = [
    ({'seed': 1}, 'fixed'),
    ({'seed': 2, 'missing': 0.2}, 'fixed'),
    ({'seed': 3, 'sites': 4, 'tasters': 3}, 'random'),
    ({'seed': 4, 'missing': 0.2, 'crossing': True}, 'fixed'),
    ({'seed': 5, 'sd': (1.0, 0.0, 0.0, 0.7)}, 'fixed'),
    ({'seed': 6, 'sd': (0.0, 0.0, 0.6, 0.5)}, 'fixed'),
    ({'seed': 830211, 'sites': 2, 'tasters': 3, 'wines': 5, 'sd': (0.3, 0.0, 0.6, 1.0)}, 'fixed'),
]


@pytest.mark.parametrize(('options', 'form'), CASES)
def test_ends_are_where_the_criterion_has_risen(options, form) -> None:
    """At each end above zero the rise is the 95 % point of chi-square; at zero, no more."""
    frame = tasting(**options)
    fit = fit_mark(frame, wines=form)
    names = tuple(name for name in fit.reml.layout.effects if name != 'wine')
    brute = dense(frame, names, wines=form)
    best = np.array(list(fit.reml.variances().values()))
    goal = chi2.ppf(0.95, 1)
    for which, (name, found) in enumerate(component_intervals(fit.reml).items()):
        assert found.low <= best[which] <= found.high, name
        high = rise(brute, fit.reml.value, which, found.high, best)
        assert goal == pytest.approx(high, abs=1e-3), name
        low = rise(brute, fit.reml.value, which, max(found.low, 0.0), best)
        if found.low > 0.0:
            assert goal == pytest.approx(low, abs=1e-3), name
        else:
            assert low <= goal + 1e-3, name


def test_the_residual_alone_is_known_in_closed_form() -> None:
    """Without random effects the ends solve n(v/s − 1 − log(v/s)) = χ² for v the estimate."""
    fit = fit_mark(tasting(seed=7), effects=[])
    found = component_intervals(fit.reml)['residual']
    for end in (found.low, found.high):
        ratio = fit.reml.residual / end
        expected = fit.reml.at.freedom * (ratio - 1 - np.log(ratio))
        assert chi2.ppf(0.95, 1) == pytest.approx(expected, abs=1e-3)
