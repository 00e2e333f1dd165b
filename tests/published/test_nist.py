"""NIST StRD: one-way analysis of variance, certified to 15 digits.

NIST Statistical Reference Datasets (public domain): 11 sets, two of measured data and nine
made by Simon and Lesage (1989), Comput. Statist. Data Anal. 8, 325, whose marks are offset
by 1, 1e6 and 1e12 against a spread of 0.1.  Certified values and data are read from the
files that SciPy's wheel ships.

Groups stand for wines, without any other effect: fixed (F, residual mean square), and random,
where the REML components of a balanced set are (between - within) / marks and within.

An offset of 1e12 leaves 16 - 13 = 3 to 4 digits of the differences in a double: that is
what can be asked (SciPy's f_oneway has 4.2 to 4.4).
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from halfpoint.estimate.weigh import fit_mark, weigh_mark

from . import sets


@dataclass(frozen=True, slots=True)
class Certified:
    """Certified F, its degrees of freedom, mean squares, and the relative tolerance."""

    f: float
    between_df: int
    within_df: int
    between: float
    within: float
    tolerance: float


CERTIFIED = {
    'AtmWtAg': Certified(15.9467335677930, 1, 46, 3.63834187500000e-09, 2.28155932971014e-10, 1e-9),
    'SiRstv': Certified(1.18046237440255, 4, 20, 1.27865654e-02, 1.08318280e-02, 1e-12),
    'SmLs01': Certified(21.0, 8, 180, 0.21, 0.01, 1e-13),
    'SmLs02': Certified(201.0, 8, 1800, 2.01, 0.01, 1e-12),
    'SmLs03': Certified(2001.0, 8, 18000, 20.01, 0.01, 1e-12),
    'SmLs04': Certified(21.0, 8, 180, 0.21, 0.01, 1e-9),
    'SmLs05': Certified(201.0, 8, 1800, 2.01, 0.01, 1e-9),
    'SmLs06': Certified(2001.0, 8, 18000, 20.01, 0.01, 1e-9),
    'SmLs07': Certified(21.0, 8, 180, 0.21, 0.01, 1e-3),
    'SmLs08': Certified(201.0, 8, 1800, 2.01, 0.01, 1e-3),
    'SmLs09': Certified(2001.0, 8, 18000, 20.01, 0.01, 1e-3),
}


@pytest.mark.parametrize(('name', 'expected'), CERTIFIED.items())
def test_one_way(name: str, expected: Certified) -> None:
    """F and the residual mean square are the certified ones."""
    found = weigh_mark(sets.nist(name), effects=[])
    assert found.wine_test is not None
    assert pytest.approx(expected.f, rel=expected.tolerance) == found.wine_test.f
    assert expected.between_df == found.wine_test.num_df
    assert pytest.approx(expected.within_df, rel=1e-9) == found.wine_test.den_df
    within = found.components['residual'].variance
    assert pytest.approx(expected.within, rel=expected.tolerance) == within


@pytest.mark.parametrize(('name', 'expected'), CERTIFIED.items())
def test_random_groups(name: str, expected: Certified) -> None:
    """Groups as random wines: components follow from the certified mean squares."""
    marks = sets.nist(name)
    each = marks.height / (expected.between_df + 1)
    fitted = fit_mark(marks, effects=[], wines='random').reml.variances()
    between = (expected.between - expected.within) / each
    tolerance = max(1e-6, expected.tolerance)
    assert pytest.approx(between, rel=tolerance) == fitted['wine']
    assert pytest.approx(expected.within, rel=tolerance) == fitted['residual']
