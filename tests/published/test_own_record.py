"""Each taster alone, with repeats missing.

reshape2::french_fries (Iowa State experiment, MIT): 12 subjects, potato flavour of 30 cells
(week by oil) with two repeats, some missing. Base R 4.2.2: lm(potato ~ cell) and
lm(potato ~ treatment) for each subject.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from scipy.stats import f_oneway

from halfpoint.panel.own_record import with_the_others, within_taster

from .sets import french_fries

RELATIVE = 1e-8
# subject: marks, repeat sd, F and p of cells, F and p of oils
EXPECTED = {
    '3': (54, 3.556761948, 2.818149265, 0.004709481526, 0.3930985441, 0.6769895806),
    '10': (60, 1.071136468, 1.35478571, 0.2064606126, 0.02020996715, 0.9799999044),
    '15': (59, 2.076303081, 3.291039535, 0.0009891197711, 0.5863671035, 0.5597238508),
    '16': (60, 2.525107258, 2.514562582, 0.007159074887, 0.08809855899, 0.9157950583),
    '19': (60, 2.334773365, 1.145890946, 0.3561579314, 0.5512470371, 0.5792716807),
    '31': (54, 2.409510477, 1.462002194, 0.166278462, 0.6998740263, 0.5013545036),
    '51': (60, 2.428236672, 0.7718843388, 0.7560204835, 0.4615370696, 0.6326488174),
    '52': (60, 1.383353414, 9.058976869, 2.009865763e-08, 0.1297705748, 0.8785556533),
    '63': (60, 1.98275902, 2.744615906, 0.003753628918, 2.116087925, 0.1298709931),
    '78': (60, 2.475412424, 0.9443320009, 0.560440977, 0.1184977041, 0.8884720947),
    '79': (54, 1.810872513, 0.9117130893, 0.5921440445, 0.1523928286, 0.8590404482),
    '86': (54, 1.649466805, 3.580870804, 0.0007733905297, 0.07150261364, 0.9310870047),
}


def coded(frame: pl.DataFrame, column: str) -> np.ndarray:
    """Numbers from 0 in the order of EXPECTED for tasters, of appearance otherwise."""
    names = list(EXPECTED) if column == 'taster' else frame[column].unique(maintain_order=True)
    return frame[column].replace_strict(list(names), range(len(names))).to_numpy().astype(np.int64)


@pytest.mark.parametrize(('by', 'at'), [('cell', 2), ('wine', 4)])
def test_each_subject(by: str, at: int) -> None:
    """F and p of cells and of oils, and the repeat standard deviation, are those of lm."""
    frame = french_fries().with_columns(cell=pl.format('{}.{}', 'time', 'wine'))
    found = within_taster(frame['total'].to_numpy(), coded(frame, 'taster'), coded(frame, by))
    for index, expected in enumerate(EXPECTED.values()):
        assert expected[0] == found.marks[index]
        told = (found.f[index], found.p[index])
        assert pytest.approx(expected[at : at + 2], rel=RELATIVE) == told
        if by == 'cell':
            assert pytest.approx(expected[1], rel=RELATIVE) == found.repeatability[index]


def test_one_way() -> None:
    """F and p are those of SciPy's one-way analysis."""
    rng = np.random.default_rng(2)
    marks = rng.normal(15, 1, (4, 3))
    found = within_taster(marks.ravel(), np.zeros(12, dtype=int), np.repeat(np.arange(4), 3))
    expected = f_oneway(*marks)
    assert pytest.approx((expected.statistic, expected.pvalue)) == (found.f[0], found.p[0])


def test_nothing_repeated() -> None:
    """Without second pours there is no repeatability, and one mark says nothing."""
    found = within_taster(np.array([14.0, 15.0, 16.0]), np.array([0, 0, 1]), np.array([0, 1, 0]))
    assert np.isnan(found.repeatability).all()
    assert np.isnan(found.f).all()
    assert [2, 1] == list(found.wines)


def test_agreement_is_a_correlation() -> None:
    """Complete marks: each taster's correlation with the mean of the others, by NumPy."""
    marks = np.random.default_rng(4).normal(0, 1, (5, 6)) + np.arange(6) / 3
    taster, wine = np.indices(marks.shape).reshape(2, -1)
    found = with_the_others(marks.ravel(), taster, wine)
    for index, own in enumerate(marks):
        rest = np.delete(marks, index, axis=0)
        rest = (rest - rest.mean(axis=1, keepdims=True)).mean(axis=0)
        assert pytest.approx(np.corrcoef(own, rest)[0, 1]) == found.r[index]


def test_little_is_drawn_together() -> None:
    """Tasters who differ no more than chance would have it all stand at the panel's mean."""
    rng = np.random.default_rng(5)
    marks = rng.normal(0, 1, (200, 5)) + np.arange(5)
    taster, wine = np.indices(marks.shape).reshape(2, -1)
    found = with_the_others(marks.ravel(), taster, wine)
    assert np.std(found.shrunken) < 0.2 * np.std(found.r)
    assert (found.low <= found.shrunken).all()
    assert (found.shrunken <= found.high).all()


def test_always_the_same_mark() -> None:
    """A taster who gives every wine the same mark has no correlation and spoils no other's."""
    marks = np.vstack(
        [np.full(5, 15.0), np.random.default_rng(6).normal(0, 1, (6, 5)) + np.arange(5)]
    )
    taster, wine = np.indices(marks.shape).reshape(2, -1)
    found = with_the_others(marks.ravel(), taster, wine)
    assert np.isnan(found.r[0])
    assert not np.isnan(found.shrunken[1:]).any()
