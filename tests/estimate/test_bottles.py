"""The spoiled bottle: its shift, the tests behind it, and what is suggested."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import combine_pvalues, fisher_exact
from statsmodels.stats.multitest import multipletests

from halfpoint.estimate.bottles import suspect_bottles
from halfpoint.estimate.chances import benjamini_hochberg, exact_more
from halfpoint.estimate.findings import SuspectBottle
from halfpoint.estimate.weigh import fit_mark

from .dense import dense
from .tastings import tasting


def spoiled(seed: int = 4, points: float = -3.0, **more: object) -> pl.DataFrame:
    """Site s01's bottle of w02 is off by `points`."""
    frame = tasting(sites=8, tasters=6, wines=5, seed=seed, sd=(1.0, 0.3, 0.3, 0.8), **more)
    here = (pl.col('site') == 's01') & (pl.col('wine') == 'w02')
    return frame.with_columns(total=pl.col('total') + pl.when(here).then(points).otherwise(0.0))


def ticked(frame: pl.DataFrame, here: int = 4) -> np.ndarray:
    """A fault ticked by the first `here` tasters of that bottle, and by nobody else."""
    made = np.zeros(frame.height, dtype=bool)
    rows = frame.with_row_index().filter((pl.col('site') == 's01') & (pl.col('wine') == 'w02'))
    made[rows['index'][:here].to_numpy()] = True
    return made


@pytest.fixture(scope='module')
def found() -> SuspectBottle:
    """The most suspect bottle."""
    return suspect_bottles(fit_mark(spoiled()), top=20.0)[0]


def test_found(found: SuspectBottle) -> None:
    """A bottle three points off is suggested, and no other is."""
    assert ('s01', 'w02', True) == (found.site, found.wine, found.suggested)
    suggested = [b for b in suspect_bottles(fit_mark(spoiled())) if b.suggested]
    assert 1 == len(suggested)
    assert found.low < -3.0 < found.high


def test_shift_is_generalised_least_squares(found: SuspectBottle) -> None:
    """Shift and standard error are those of the textbook, with matrices as large as the marks."""
    here = (pl.col('site') == 's01') & (pl.col('wine') == 'w02')
    frame = spoiled().with_columns(this=here.cast(pl.Float64))
    model = dense(frame, ['taster', 'site', 'bottle'], covariates=['this'])
    ratios, _ = model.fit(starts=(0.3,))
    _, _, information, beta, _ = model._solved(ratios)
    se = np.sqrt(np.linalg.inv(information)[-1, -1] * model.variance(ratios))
    assert pytest.approx(beta[-1], rel=1e-4) == found.shift
    assert pytest.approx(se, rel=1e-3) == found.se


def test_sound_bottles() -> None:
    """No bottle of a sound tasting is suggested."""
    for seed in range(5):
        assert not any(b.suggested for b in suspect_bottles(fit_mark(spoiled(seed, 0.0))))


def test_fault_ticks_strengthen() -> None:
    """A weaker shift counts for more where tasters ticked a fault, and is said with them."""
    frame = spoiled(6, -1.6)
    fit = fit_mark(frame)
    alone = next(b for b in suspect_bottles(fit) if (b.site, b.wine) == ('s01', 'w02'))
    joined = next(
        b for b in suspect_bottles(fit, ticked(frame)) if (b.site, b.wine) == ('s01', 'w02')
    )
    assert joined.p < alone.p / 10
    assert joined.faults is not None
    assert (4, 6, 0, 42) == (
        joined.faults.here,
        joined.faults.entries_here,
        joined.faults.elsewhere,
        joined.faults.entries_elsewhere,
    )


@pytest.mark.parametrize('here', [0, 1, 4])
def test_marks_alone_or_both_together(here: int) -> None:
    """The better counts, a quarter of the chance being for marks alone; Fisher's sum is SciPy's."""
    frame = spoiled(6, -1.6)
    faulty = ticked(frame, here)
    faulty[0] = True
    found = suspect_bottles(fit_mark(frame), faulty)
    bottle = next(b for b in found if (b.site, b.wine) == ('s01', 'w02'))
    assert bottle.faults is not None
    both = combine_pvalues([bottle.p_marks, bottle.faults.p], method='fisher').pvalue
    assert pytest.approx(min(1.0, bottle.p_marks / 0.25, both / 0.75)) == bottle.p


def test_least_size() -> None:
    """A shift below a twentieth of the top mark is never suggested, however sure it is."""
    frame = spoiled(4, -3.0)
    assert not any(b.suggested for b in suspect_bottles(fit_mark(frame), top=100.0))


def test_no_bottles_in_the_model() -> None:
    """Without sites, or with bottles left out, nothing is suggested."""
    assert () == suspect_bottles(fit_mark(spoiled().drop('site')))
    assert () == suspect_bottles(fit_mark(spoiled(), effects=['taster', 'site']))


@given(st.integers(1, 40), st.integers(1, 60), st.data())
def test_exact_test(drawn: int, others: int, data: st.DataObject) -> None:
    """The one-sided exact test is SciPy's."""
    here = data.draw(st.integers(0, drawn))
    there = data.draw(st.integers(0, others))
    table = [[here, drawn - here], [there, others - there]]
    expected = fisher_exact(table, alternative='greater').pvalue
    assert pytest.approx(expected, rel=1e-9) == exact_more(
        here, drawn, here + there, drawn + others
    )


@given(st.lists(st.floats(0, 1), min_size=1, max_size=50))
def test_false_discovery(p: list[float]) -> None:
    """Adjusted p values are those of statsmodels."""
    expected = multipletests(p, method='fdr_bh')[1]
    assert pytest.approx(expected, rel=1e-12, abs=1e-300) == benjamini_hochberg(np.array(p))
