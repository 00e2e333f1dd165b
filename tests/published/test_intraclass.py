"""Intraclass correlations of three tables.

1. Shrout and Fleiss (1979), Psychological Bulletin 86, 420-428, Table 2: 6 targets, 4 judges.
   Two digits of each form are printed there; ten are of psych 2.2.9, ICC(x, lmer = FALSE).
2. 8 wines, 4 judges: pingouin 0.7.0, intraclass_corr, which prints two digits of intervals.
3. 20 people, 3 raters (irr's `anxiety`): psych 2.2.9.

Where marks are missing the components of REML stand in; on complete tables both agree.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest

from halfpoint.errors import NoVariation, TooFewMarks
from halfpoint.estimate.weigh import weigh_mark
from halfpoint.panel.intraclass import Intraclass, from_components, intraclass
from halfpoint.panel.two_way import two_way

from .sets import HERE

JUDGES = np.array(
    [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]], float
)
PRINTED = {
    'ICC(1)': 0.17, 'ICC(A,1)': 0.29, 'ICC(C,1)': 0.71,
    'ICC(k)': 0.44, 'ICC(A,k)': 0.62, 'ICC(C,k)': 0.91,
}  # fmt: skip
# form: value, F, df1, df2, p, lower, upper
PSYCH_JUDGES = {
    'ICC(1)': (0.1657417684, 1.794678492, 5, 18, 0.1647688083, -0.1329323249, 0.7225600623),
    'ICC(A,1)': (0.2897637795, 11.02724796, 5, 15, 0.0001345665165, 0.01878651337, 0.7610843696),
    'ICC(C,1)': (0.7148407148, 11.02724796, 5, 15, 0.0001345665165, 0.342464765, 0.94585826),
    'ICC(k)': (0.4427971337, 1.794678492, 5, 18, 0.1647688083, -0.8844421552, 0.9124154203),
    'ICC(A,k)': (0.6200505476, 11.02724796, 5, 15, 0.0001345665165, 0.0711368153, 0.9272320402),
    'ICC(C,k)': (0.9093155424, 11.02724796, 5, 15, 0.0001345665165, 0.6756747138, 0.9858916782),
}
PSYCH_ANXIETY = {
    'ICC(1)': (0.1750223814, 1.63646229, 19, 40, 0.09393072713, -0.07744657487, 0.4843360938),
    'ICC(A,1)': (0.1979982594, 1.826771654, 19, 38, 0.05620127355, -0.03891062609, 0.493573946),
    'ICC(C,1)': (0.2160493827, 1.826771654, 19, 38, 0.05620127355, -0.04625788532, 0.5222590784),
    'ICC(k)': (0.3889257294, 1.63646229, 19, 40, 0.09393072713, -0.2749234899, 0.7380651236),
    'ICC(A,k)': (0.4254987531, 1.826771654, 19, 38, 0.05620127355, -0.1265827027, 0.7451492885),
    'ICC(C,k)': (0.4525862069, 1.826771654, 19, 38, 0.05620127355, -0.1529212867, 0.7663308002),
}
PINGOUIN_WINES = {
    'ICC(1)': (0.727520915896081, 11.680025856496444, 7, 24, 2.1813509548618443e-06, 0.43, 0.93),
    'ICC(A,1)': (0.7276887871853546, 11.7866927592955, 7, 21, 5.0257154640603615e-06, 0.43, 0.93),
    'ICC(C,1)': (0.7294865007940708, 11.7866927592955, 7, 21, 5.0257154640603615e-06, 0.43, 0.93),
    'ICC(k)': (0.9143837511760474, 11.680025856496444, 7, 24, 2.1813509548618443e-06, 0.75, 0.98),
    'ICC(A,k)': (0.9144500359453631, 11.7866927592955, 7, 21, 5.0257154640603615e-06, 0.75, 0.98),
    'ICC(C,k)': (0.9151585588577121, 11.7866927592955, 7, 21, 5.0257154640603615e-06, 0.75, 0.98),
}
RELATIVE = 1e-8  # ten digits are given
ANXIETY = pl.read_csv(HERE / 'anxiety.csv').drop('target').to_numpy().astype(float)


def eight_wines() -> np.ndarray:
    """Wines by judges."""
    long = pl.read_csv(HERE / 'eight_wines.csv')
    return (
        long.pivot(on='Judge', index='Wine', values='Scores').drop('Wine').to_numpy().astype(float)
    )


def told(form: Intraclass) -> tuple[float | None, ...]:
    """As the tables above have it."""
    return form.value, form.f, form.num_df, form.den_df, form.p, form.low, form.high


@pytest.mark.parametrize(
    ('marks', 'expected'), [(JUDGES, PSYCH_JUDGES), (ANXIETY, PSYCH_ANXIETY)], ids=['1979', 'irr']
)
def test_all_six_forms(marks: np.ndarray, expected: dict[str, tuple[float, ...]]) -> None:
    """Value, F, freedom, p and interval of each form are those of psych."""
    for form in intraclass(marks):
        assert pytest.approx(expected[form.form], rel=RELATIVE) == told(form)


@pytest.mark.parametrize(
    ('marks', 'squares'),
    [
        (JUDGES, (11.24166667, 32.48611111, 1.019444444)),
        (ANXIETY, (2.645614035, 4.816666667, 1.448245614)),
    ],
    ids=['1979', 'irr'],
)
def test_mean_squares(marks: np.ndarray, squares: tuple[float, ...]) -> None:
    """Wines, tasters and what is left, as in the analysis of variance that psych prints."""
    found = two_way(marks)
    told = (found.between, found.tasters_mean_square, found.left)
    assert pytest.approx(squares, rel=RELATIVE) == told


def test_the_printed_table() -> None:
    """The six values printed in 1979, to the two digits printed."""
    assert PRINTED == {form.form: round(form.value, 2) for form in intraclass(JUDGES)}


def test_wines() -> None:
    """Eight wines and four judges give what pingouin gives."""
    for form in intraclass(eight_wines()):
        *exact, low, high = PINGOUIN_WINES[form.form]
        assert pytest.approx(exact, rel=1e-10) == told(form)[:5]
        assert (low, high) == (round(form.low or 0, 2), round(form.high or 0, 2))


def test_components_stand_in() -> None:
    """On a complete table the forms from REML components are those from mean squares."""
    wines, tasters = np.indices(JUDGES.shape)
    frame = pl.DataFrame(
        {
            'taster': [f't{k}' for k in tasters.ravel()],
            'wine': [f'w{k}' for k in wines.ravel()],
            'total': JUDGES.ravel(),
        }
    )
    parts = weigh_mark(frame, effects=['taster'], wines='random').components
    made = from_components(
        wine=parts['wine'].variance,
        taster=parts['taster'].variance,
        left=parts['residual'].variance,
        tasters=4,
    )
    for form in made:
        assert pytest.approx(PSYCH_JUDGES[form.form][0], rel=1e-5) == form.value


def test_perfect_agreement() -> None:
    """Tasters who agree to the last digit are told to agree perfectly, with no F."""
    marks = np.array([[10.0, 10.0], [12.5, 12.5], [15.0, 15.0]])
    for form in intraclass(marks):
        assert pytest.approx(1.0) == form.value
        assert form.f is None or form.f > 1e12


@pytest.mark.parametrize(
    'marks', [np.ones((4, 1)), np.ones((1, 4)), np.array([[1, 2], [3, np.nan]])]
)
def test_too_few(marks: np.ndarray) -> None:
    """One wine, one taster or a missing mark is refused, not guessed at."""
    with pytest.raises(TooFewMarks):
        intraclass(marks)


def test_no_variation() -> None:
    """The same mark throughout tells nothing about the panel."""
    with pytest.raises(NoVariation):
        intraclass(np.full((4, 3), 15.5))
