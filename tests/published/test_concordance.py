"""Kendall's W with and without correction for ties.

1. Zar (2010), Biostatistical Analysis, 5th edition, Example 20.5: 12 birds ranked by three
   measurements. The rank sums were read in a guide that reproduces them; the measurements are
   from memory and give all twelve sums. W, chi square and p: irr 0.84.1.
2. Shrout and Fleiss (1979), Table 2, and irr's `anxiety`: irr 0.84.1.
3. 8 wines, 4 judges: scipy.stats.friedmanchisquare.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import friedmanchisquare, spearmanr

from halfpoint.errors import NoVariation, TooFewMarks
from halfpoint.panel.concordance import concordance, correlations

from .test_intraclass import ANXIETY, JUDGES, eight_wines

WING = [10.4, 10.8, 11.1, 10.2, 10.3, 10.2, 10.7, 10.5, 10.8, 11.2, 10.6, 11.4]
TAIL = [7.4, 7.6, 7.9, 7.2, 7.4, 7.1, 7.4, 7.2, 7.8, 7.7, 7.8, 8.3]
BILL = [17, 17, 20, 14.5, 15.5, 13, 19.5, 16, 21, 20, 18, 22]
BIRDS = np.column_stack([WING, TAIL, BILL])
RANK_SUMS = (14.5, 21, 30.5, 6, 11, 3.5, 20, 11.5, 29, 28.5, 22.5, 36)
RELATIVE = 1e-8


@pytest.mark.parametrize(
    ('marks', 'ties', 'expected'),
    [
        (BIRDS, True, (0.9241352201, 30.49646226, 11, 0.001323545917)),
        (BIRDS, False, (0.9133644134, 30.14102564, 11, 0.001505759438)),
        (JUDGES, True, (0.887037037, 17.74074074, 5, 0.003289509244)),
        (ANXIETY, True, (0.539656876, 30.76044193, 19, 0.04288347313)),
        (ANXIETY, False, (0.5019214703, 28.60952381, 19, 0.07238035469)),
    ],
)
def test_w(marks: np.ndarray, ties: bool, expected: tuple[float, ...]) -> None:
    """W, chi square, freedom and p are those of irr."""
    found = concordance(marks, ties=ties)
    told = (found.w, found.chi_square, found.df, found.p)
    assert pytest.approx(expected, rel=RELATIVE) == told


def test_published_rank_sums() -> None:
    """The twelve rank sums of the textbook come out."""
    assert RANK_SUMS == concordance(BIRDS).rank_sums


def test_friedman() -> None:
    """Chi square and p are those of Friedman's test in SciPy."""
    statistic, p = friedmanchisquare(*eight_wines())
    found = concordance(eight_wines())
    assert pytest.approx((statistic, p), rel=1e-12) == (found.chi_square, found.p)
    assert pytest.approx(0.8134441087613292, rel=1e-12) == found.w


def test_correlations_of_pairs() -> None:
    """Spearman's correlations are SciPy's; their mean by Fisher's z is the meanrho of irr."""
    pairs = spearmanr(BIRDS).statistic[np.triu_indices(3, 1)]
    assert pytest.approx(pairs, rel=1e-12) == correlations(BIRDS)
    assert pytest.approx(pairs.mean(), rel=1e-12) == concordance(BIRDS).mean_correlation
    by_z = np.tanh(np.arctanh(correlations(ANXIETY)).mean())
    assert pytest.approx(0.3137504867, rel=RELATIVE) == by_z


def test_missing_marks() -> None:
    """A taster with a mark missing is left out, and said to be."""
    marks = np.column_stack([BIRDS, np.where(np.arange(12) == 3, np.nan, WING)])
    assert concordance(BIRDS) == concordance(marks)
    assert 3 == concordance(marks).tasters


def test_refusals() -> None:
    """One taster has no order in common with anybody; equal marks have no order."""
    with pytest.raises(TooFewMarks):
        concordance(BIRDS[:, :1])
    with pytest.raises(NoVariation):
        concordance(np.full((5, 3), 2.5))
