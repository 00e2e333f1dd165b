"""Cochran's Q and McNemar's exact test with Holm's correction.

Q and p as printed in: Conover p. 253 (by way of NIST Dataplot's page on the test); the tests of
statsmodels; SAS PROC FREQ's drug example; two waves of Igor Pro's help; the documentation of
pingouin. Further digits: statsmodels 0.15.0, cochrans_q. McNemar: statsmodels' mcnemar(exact),
Holm: its multipletests.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.contingency_tables import mcnemar
from statsmodels.stats.multitest import multipletests

from halfpoint.aroma.cochran import cochran_q, mcnemar_exact, tick_pairs
from halfpoint.errors import TooFewMarks
from halfpoint.estimate.chances import holm

from .sets import HERE

# set: Q, df, p; Q and p as printed
EXPECTED = {
    'conover_dataplot': (2.8, 2, 0.24659696394160646, '2.8', '0.246597'),
    'statsmodels_web': (13.285714285714286, 3, 0.004057759938163714, '13.2857143', '0.00405776'),
    'sas_drug': (8.470588235294118, 2, 0.014475552056282441, '8.4706', '0.0145'),
    'igor_wave1': (5.565217391304348, 4, 0.23405601944770044, '5.56522', '0.234056'),
    'igor_wave2': (10.363636363636363, 4, 0.03472811291981748, '10.3636', '0.0347281'),
    'pingouin_energetic': (6.705882352941177, 2, 0.034981316424350116, '6.705882', '0.034981'),
}


def example(name: str) -> np.ndarray:
    """People by treatments."""
    table = pl.read_csv(HERE / 'cochran.csv').filter(pl.col('set') == name)
    columns = [column for column in table.columns[2:] if table[column].null_count() == 0]
    return table.select(columns).to_numpy().astype(bool)


@pytest.mark.parametrize('name', EXPECTED)
def test_q(name: str) -> None:
    """Q, freedom and p are those of statsmodels, and round to what is printed."""
    q, df, p, printed_q, printed_p = EXPECTED[name]
    found = cochran_q(example(name))
    assert pytest.approx((q, df, p), rel=1e-12) == (found.q, found.df, found.p)
    for printed, value in ((printed_q, found.q), (printed_p, found.p)):
        digits = len(printed.partition('.')[2])
        assert float(printed) == round(value or 0.0, digits)


@pytest.mark.parametrize('name', EXPECTED)
def test_all_or_nothing_changes_nothing(name: str) -> None:
    """People who ticked everything, or nothing, leave Q and p as they are (Cochran 1950)."""
    given_ticks = example(name)
    ends = np.repeat([[True], [False]], 3, axis=0) & np.ones(given_ticks.shape[1], dtype=bool)
    before, after = cochran_q(given_ticks), cochran_q(np.concatenate([given_ticks, ends]))
    assert (before.q, before.df, before.p) == (after.q, after.df, after.p)


@given(st.integers(0, 2**32 - 1), st.integers(2, 6), st.integers(1, 30))
def test_pairs(seed: int, wines: int, tasters: int) -> None:
    """Every pair's exact p is statsmodels', and Holm's correction its multipletests."""
    ticked = np.random.default_rng(seed).random((tasters, wines)) < 0.4
    pairs = tick_pairs(ticked)
    for pair in pairs:
        table = [[0, pair.only_a], [pair.only_b, 0]]
        expected = 1.0 if pair.only_a == pair.only_b == 0 else mcnemar(table, exact=True).pvalue
        assert pytest.approx(expected, rel=1e-9) == pair.p
    adjusted = multipletests([pair.p for pair in pairs], method='holm')[1]
    assert pytest.approx(adjusted, rel=1e-12) == [pair.p_adjusted for pair in pairs]


def test_nobody_and_everybody() -> None:
    """A term nobody ticked, or everybody everywhere, has no Q and no difference."""
    for ticked in (np.zeros((9, 3), dtype=bool), np.ones((9, 3), dtype=bool)):
        found = cochran_q(ticked)
        assert (None, None, 0) == (found.q, found.p, found.telling)
        assert {1.0} == {pair.p_adjusted for pair in tick_pairs(ticked)}


def test_one_wine() -> None:
    """One wine has nothing to be told apart from."""
    with pytest.raises(TooFewMarks):
        cochran_q(np.ones((9, 1), dtype=bool))


def test_two_sided_never_above_one() -> None:
    """Five against five is p = 1, and adjusted values are never above 1."""
    assert [1.0] == list(mcnemar_exact(np.array([5]), np.array([5])))
    assert 1.0 == holm(np.array([0.9, 0.8])).max()
