"""Correspondence analysis.

1. Smoking data, Greenacre (1984), Theory and Applications of Correspondence Analysis: inertias,
   percentages, masses and row inertias printed on the page of ca's print method; further digits
   of ca 0.71.1.
2. Letters in 12 books (ca's `author`): ca 0.71.1.

Axes may point either way, so coordinates are compared up to sign. Chi square: SciPy.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from scipy.stats import chi2_contingency

from halfpoint.aroma.correspondence import correspond, wine_ellipses
from halfpoint.aroma.ticks import Ticks
from halfpoint.errors import TooFewMarks

from .sets import HERE

SMOKERS = np.array([[4, 2, 3, 2], [4, 3, 7, 4], [25, 10, 12, 4], [18, 24, 33, 13], [10, 6, 7, 2]])
INERTIAS = [0.07475910589, 0.01001718051, 0.0004135740799]
ROWS = [
    [-0.06576838388, -0.1937370036, 0.07098102841],
    [0.2589584214, -0.2433045749, -0.03370518974],
    [-0.3805948871, -0.0106599072, -0.005155757497],
    [0.2329519082, 0.05774390775, 0.003305370919],
    [-0.2010891219, 0.07891123093, -0.008081076232],
]
COLUMNS = [
    [-0.3933084486, -0.03049207111, -0.0008904826861],
    [0.09945592079, 0.1410642892, 0.02199803493],
    [0.1963209564, 0.007359108587, -0.0256590867],
    [0.2937759852, -0.1977656563, 0.02621084988],
]
PRINTED_INERTIAS = [0.074759, 0.010017, 0.000414]
PRINTED_SHARES = [87.76, 11.76, 0.49]
PRINTED_MASSES = [0.056995, 0.093264, 0.264249, 0.455959, 0.129534]
PRINTED_ROW_INERTIAS = [0.002673, 0.011881, 0.038314, 0.026269, 0.006053]
AUTHOR_INERTIAS = [
    0.00766386064,
    0.003688323686,
    0.002411201208,
    0.001382839157,
    0.001001659211,
    0.0007233324103,
    0.0006586001712,
    0.0004548485795,
    0.0003739136683,
    0.0002630572657,
    0.0001131865591,
]
AUTHOR_ROWS = [
    [-0.008350555148, -0.04828152422, 0.05050472478],
    [0.03551613835, -0.02463029418, -0.045686621],
    [0.101358095, -0.001403729426, 0.0174358419],
    [-0.01522393792, 0.02638440846, 0.1024833309],
    [-0.07282617555, -0.008288938712, -0.04633872391],
    [0.02644032269, 0.1644367141, -0.008911099936],
    [-0.08102783047, 0.05872405559, -0.07058495607],
    [0.1684389297, -0.01514100956, 0.01314886802],
    [-0.1371351667, -0.07198744787, 0.005143002445],
    [-0.06344784494, -0.006458725724, 0.03355842761],
    [0.1032617043, -0.07208438274, -0.06767215552],
    [-0.06696526883, -0.005537975492, 0.001265376319],
]
COORDINATE, INERTIA = 1e-8, 1e-10


def check(expected: list[list[float]], found: np.ndarray) -> None:
    """The same coordinates, up to the direction of each axis."""
    for axis, column in enumerate(np.array(expected).T):
        same = found[:, axis] * np.sign(found[:, axis] @ column)
        assert pytest.approx(column, abs=COORDINATE) == same


def test_smokers() -> None:
    """Inertias and coordinates are those of ca."""
    found = correspond(SMOKERS)
    assert pytest.approx(INERTIAS, abs=INERTIA) == found.inertias
    check(ROWS, found.rows)
    check(COLUMNS, found.columns)
    masses = [0.05699481865, 0.0932642487, 0.2642487047, 0.4559585492, 0.1295336788]
    assert pytest.approx(masses, abs=INERTIA) == found.row_mass
    masses = [0.3160621762, 0.2331606218, 0.3212435233, 0.1295336788]
    assert pytest.approx(masses, abs=INERTIA) == found.column_mass
    inertias = [0.002672932363, 0.011881177, 0.0383141288, 0.02626862736, 0.006052994961]
    assert pytest.approx(inertias, abs=INERTIA) == found.row_inertia
    assert pytest.approx([87.75587314, 11.7586535, 0.4854733621], rel=1e-8) == 100 * found.shares
    assert pytest.approx((0.08518986048, 16.44164307, 12), rel=1e-8) == (
        found.inertias.sum(), found.chi_square, found.df,
    )  # fmt: skip


def test_printed_figures() -> None:
    """What is printed of the smoking data, to the digits printed."""
    found = correspond(SMOKERS)
    assert pytest.approx(PRINTED_INERTIAS, abs=5e-7) == found.inertias
    assert pytest.approx(PRINTED_SHARES, abs=5e-3) == 100 * found.shares
    assert pytest.approx(PRINTED_MASSES, abs=5e-7) == found.row_mass
    assert pytest.approx(PRINTED_ROW_INERTIAS, abs=5e-7) == found.row_inertia
    assert pytest.approx(0.24053, abs=1e-5) == abs(found.rows[0, 0]) / np.sqrt(found.inertias[0])


def test_letters() -> None:
    """A larger table with little to tell."""
    table = pl.read_csv(HERE / 'author.csv').drop('row').to_numpy()
    found = correspond(table)
    assert pytest.approx(AUTHOR_INERTIAS, abs=INERTIA) == found.inertias
    check(AUTHOR_ROWS, found.rows)
    letters = pl.read_csv(HERE / 'author_columns.csv')
    check(letters.select('axis1', 'axis2', 'axis3').to_numpy().tolist(), found.columns)
    assert pytest.approx(letters['mass'].to_numpy(), abs=INERTIA) == found.column_mass
    masses = [
        0.08540652982,
        0.07972790417,
        0.08488050976,
        0.08941145528,
        0.08221454445,
        0.08231018447,
        0.08333831458,
        0.08972228532,
        0.08277642952,
        0.07950075914,
        0.07782705895,
        0.08288402453,
    ]
    assert pytest.approx(masses, abs=INERTIA) == found.row_mass
    inertias = [
        0.0008174117227,
        0.0007167444284,
        0.001400086416,
        0.001258824278,
        0.001241574995,
        0.002461119699,
        0.001678946875,
        0.003149511586,
        0.002268055962,
        0.001018282611,
        0.001872581187,
        0.0008516827958,
    ]
    assert pytest.approx(inertias, abs=INERTIA) == found.row_inertia
    assert (
        pytest.approx(
            [
                40.90703617,
                19.68699557,
                12.8701577,
                7.381116916,
                5.346510267,
                3.860898112,
                3.515379819,
                2.427824326,
                1.995821776,
                1.404108659,
                0.6041506867,
            ],
            rel=1e-8,
        )
        == 100 * found.shares
    )
    assert pytest.approx((0.01873482256, 1567.111702, 275), rel=1e-9) == (
        found.inertias.sum(), found.chi_square, found.df,
    )  # fmt: skip


def test_chi_square() -> None:
    """Chi square, freedom and p are SciPy's."""
    expected = chi2_contingency(SMOKERS)
    found = correspond(SMOKERS)
    told = (found.chi_square, found.df, found.p)
    assert pytest.approx((expected.statistic, expected.dof, expected.pvalue), rel=1e-9) == told


def simulated(seed: int, tasters: int) -> Ticks:
    """Four wines of six terms, ticked with chances that differ."""
    rng = np.random.default_rng(seed)
    chance = np.array(
        [
            [0.6, 0.3, 0.2, 0.1, 0.1, 0.2],
            [0.2, 0.6, 0.1, 0.3, 0.1, 0.2],
            [0.1, 0.1, 0.6, 0.4, 0.2, 0.2],
            [0.3, 0.3, 0.3, 0.2, 0.5, 0.2],
        ]
    )
    taster, wine = np.indices((tasters, 4)).reshape(2, -1)
    return Ticks(taster, wine, rng.random((len(wine), 6)) < chance[wine], 4, tasters)


def test_ellipses_cover() -> None:
    """A wine of many tastings stands within its ellipse about as often as said (95 %)."""
    # The map of the chances themselves is the truth, and its axes those of every tasting here.
    truth = simulated(0, 40_000)
    axes = correspond(truth.table())
    inside = []
    for seed in range(1, 121):
        ticks = simulated(seed, 80)
        counts = ticks.table()
        centre = (counts / counts.sum(axis=1, keepdims=True)) @ axes.standard[:, :2]
        for wine, ellipse in enumerate(
            wine_ellipses(ticks, list(range(6)), axes, draws=200, seed=seed)
        ):
            assert ellipse is not None
            away = centre[wine] - axes.rows[wine, :2]
            turn = np.array([np.cos(ellipse.turn), np.sin(ellipse.turn)])
            across = np.array([-turn[1], turn[0]])
            parts = np.array([away @ turn, away @ across]) / ellipse.half_axes
            inside.append(parts @ parts <= 1.0)
    # 480 of them: three standard errors are 3 points.
    assert pytest.approx(0.95, abs=0.03) == np.mean(inside)


def test_refusals() -> None:
    """A term without any tick, or one wine alone, has no place on a map."""
    with pytest.raises(TooFewMarks):
        correspond(np.array([[1, 0], [2, 0]]))
    with pytest.raises(TooFewMarks):
        correspond(np.array([[1, 2]]))
