"""Krippendorff's alpha with missing marks, four metrics.

1. Reliability data C, 4 observers by 12 units: Krippendorff (2011), Computing Krippendorff's
   alpha-reliability; data read in the help page of irr's kripp.alpha, ten digits of irr 0.84.1,
   three digits of the publication from memory.
2. 3 coders by 15 units, as in the encyclopaedia article on the coefficient: krippendorff 0.9.0
   (PyPI); its documentation prints 0.691 (nominal) and 0.811 (interval), from memory.
3. irr's `anxiety`: krippendorff 0.9.0. There irr 0.84.1 itself gives -0.0324, 0.2218 and 0.1631:
   where no mark is missing it counts each of the 60 marks once for each other mark beside it,
   120 in all, and so takes 119/120 for the 59/60 of the definition. With that its figures come
   out to the last digit given (tested below).
"""

from __future__ import annotations

import numpy as np
import pytest

from halfpoint.errors import NoVariation, TooFewMarks
from halfpoint.panel.krippendorff import Metric, krippendorff

from .test_intraclass import ANXIETY

X = np.nan
OBSERVERS = np.array(
    [
        [1, 2, 3, 3, 2, 1, 4, 1, 2, X, X, X],
        [1, 2, 3, 3, 2, 2, 4, 1, 2, 5, X, X],
        [X, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, 3],
        [1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, X],
    ]
).T
CODERS = np.array(
    [
        [X, X, X, X, X, 3, 4, 1, 2, 1, 1, 3, 3, X, 3],
        [1, X, 2, 1, 3, 3, 4, 3, X, X, X, X, X, X, X],
        [X, X, 2, 1, 3, 4, 4, X, 2, 1, 1, 3, 3, X, 4],
    ]
).T


@pytest.mark.parametrize(
    ('marks', 'metric', 'expected'),
    [
        (OBSERVERS, 'nominal', 0.7434210526),
        (OBSERVERS, 'ordinal', 0.8153875038),
        (OBSERVERS, 'interval', 0.8491071429),
        (OBSERVERS, 'ratio', 0.7974027747),
        (CODERS, 'nominal', 0.691358024691358),
        (CODERS, 'ordinal', 0.8067214199413153),
        (CODERS, 'interval', 0.8108448928121059),
        (CODERS, 'ratio', 0.8089436707842471),
        (ANXIETY, 'nominal', -0.023725212464589474),
        (ANXIETY, 'ordinal', 0.22838694529232206),
        (ANXIETY, 'interval', 0.17009860788863107),
    ],
)
def test_alpha(marks: np.ndarray, metric: Metric, expected: float) -> None:
    """Alpha is that of irr or of the package krippendorff."""
    assert pytest.approx(expected, rel=2e-9) == krippendorff(marks, metric).alpha


def test_published_digits() -> None:
    """The three digits of the publication (from memory)."""
    found = [krippendorff(OBSERVERS, m).alpha for m in ('nominal', 'ordinal', 'interval', 'ratio')]
    assert pytest.approx([0.743, 0.815, 0.849, 0.797], abs=6e-4) == found


@pytest.mark.parametrize(
    ('metric', 'expected'),
    [('nominal', -0.03240084986), ('ordinal', 0.2218478516), ('interval', 0.1630655452)],
)
def test_what_irr_makes_of_complete_marks(metric: Metric, expected: float) -> None:
    """With irr's count of marks its own figures come out."""
    found = krippendorff(ANXIETY, metric)
    raters, marks = ANXIETY.shape[1], found.pairable
    counted = marks * (raters - 1)
    as_irr = 1.0 - (1.0 - found.alpha) * ((counted - 1) / counted) / ((marks - 1) / marks)
    assert pytest.approx(expected, rel=2e-9) == as_irr


def test_interval_metric_is_a_ratio_of_variances() -> None:
    """Complete interval marks: 1 less the variance within units over that of all marks."""
    within = ANXIETY.var(axis=1, ddof=1).mean()
    expected = 1.0 - within / ANXIETY.var(ddof=1)
    assert pytest.approx(expected, rel=1e-12) == krippendorff(ANXIETY, 'interval').alpha


def test_refusals() -> None:
    """Marks that stand alone, or are all the same, have no alpha."""
    with pytest.raises(TooFewMarks):
        krippendorff(np.array([[1.0, X], [X, 2.0]]))
    with pytest.raises(NoVariation):
        krippendorff(np.full((3, 3), 4.5))
