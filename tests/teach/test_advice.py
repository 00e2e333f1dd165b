"""What to practise next."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from tests.teach.sample_practice import SHEET, WINES, known, result

from halfpoint.teach.advice import _above, points
from halfpoint.teach.advice_words import advise
from halfpoint.teach.calibration import Calibration, Known, calibrate
from halfpoint.teach.prior import panel_prior
from halfpoint.teach.reference import Reference, reference_of

REFERENCE = reference_of(result(), SHEET, 'result.json')
CENTRES = {'appearance': 2.5, 'aroma': 4.0, 'taste': 4.0, 'aftertaste': 2.0, 'overall': 1.4}
PANEL = {key: panel_prior(0.06 * top, 0.25, 0.1 * top) for key, top in
         {category.key: category.top for category in SHEET.categories}.items()}  # fmt: skip


def found(
    off: str, *, below: float = 0.0, times: float = 1.0, noise: float = 1.0
) -> tuple[dict[str, Calibration], dict[str, Known]]:
    """Twenty wines marked as the panel does, but for one category."""
    rng = np.random.default_rng(4)
    made, reference = {}, {}
    for key, centre in CENTRES.items():
        top = SHEET.category(key).top
        sd = 0.12 * top
        quality = np.linspace(-1.5, 1.5, 20)
        here = known((centre + sd * quality).tolist(), se=0.02, wine_sd=sd)
        usual = 0.08 * top * stats.norm.ppf((rng.permutation(20) + 0.5) / 20)
        mark = here.score + usual
        if key == off:
            mark = centre + times * sd * quality - below + noise * usual
        made[key] = calibrate(mark, np.arange(20), here, PANEL[key])
        reference[key] = here
    return made, reference


@pytest.mark.parametrize(
    ('off', 'how', 'aspect'),
    [
        ('taste', {'below': 1.0}, 'severity'),
        ('aftertaste', {'below': -0.8}, 'severity'),
        ('aroma', {'times': 0.0}, 'spread'),
        ('aroma', {'times': 2.2}, 'spread'),
        ('taste', {'noise': 2.6}, 'steadiness'),
    ],
)
def test_what_is_off_comes_first(off: str, how: dict[str, float], aspect: str) -> None:
    """The category and the aspect in which a learner is plainly off are named first, and sure."""
    made, reference = found(off, **how)
    first = points(made, reference, PANEL, SHEET)[0]
    assert (off, aspect, True) == (first.category, first.aspect, first.sure)


def test_what_is_unknown_counts_where_nothing_is_off() -> None:
    """After one wine where the panel is, a level is worth what a flight would make known of it."""
    here = {key: known([centre], wine_sd=0.5) for key, centre in CENTRES.items()}
    made = {
        key: calibrate(np.array([CENTRES[key]]), np.array([0]), here[key], PANEL[key])
        for key in CENTRES
    }
    ranked = points(made, here, PANEL, SHEET)
    assert 15 == len(ranked)
    assert not any(point.sure for point in ranked)
    levels = [point for point in ranked if point.aspect == 'severity']
    assert all(point.unknown > point.off for point in levels)


def test_what_a_normal_figure_has_above_zero() -> None:
    """Against SciPy's expectation of max(0, x)."""
    for mean, sd in ((0.3, 0.5), (-0.4, 0.2), (1.0, 0.0)):
        expected = max(0.0, mean)
        if sd:
            expected = stats.norm(mean, sd).expect(lambda x: x, lb=0.0)
        assert expected == pytest.approx(_above(mean, sd), abs=1e-9)


@pytest.mark.parametrize(
    ('off', 'how', 'why', 'wines'),
    [
        ('taste', {'below': 1.0}, "below the panel", (WINES[1], WINES[2])),
        ('aroma', {'times': 0.0}, "closer together", (WINES[0], WINES[3])),
        ('aroma', {'times': 2.2}, "further apart", (WINES[0], WINES[3])),
        ('taste', {'noise': 2.6}, "from wine to wine", (WINES[2], WINES[1])),
    ],
)
def test_advice_says_why_and_what_to_pour(
    off: str, how: dict[str, float], why: str, wines: tuple[str, ...]
) -> None:
    """The reason names category and size; the wines are of the reference and serve the point."""
    made, reference = found(off, **how)
    advice = advise(points(made, reference, PANEL, SHEET), made, REFERENCE, SHEET)
    assert advice is not None
    assert why in advice.why
    assert f"For {off}" in advice.why
    assert set(wines) == set(advice.wines)
    assert all(wine in advice.exercise for wine in wines)


def test_unsure_advice_does_not_claim_a_habit() -> None:
    """Where the interval holds the panel's way it says only that little is known."""
    one = REFERENCE.marks
    made = {
        key: calibrate(one[key].score[:1], np.array([0]), one[key], REFERENCE.priors[key])
        for key in CENTRES
    }
    advice = advise(points(made, one, REFERENCE.priors, SHEET), made, REFERENCE, SHEET)
    assert advice is not None
    assert advice.why.startswith("After 1 wine it is least certain, for ")


def test_without_marks_there_is_no_advice() -> None:
    """Nothing marked, nothing advised."""
    reference: Reference = REFERENCE
    assert advise((), {}, reference, SHEET) is None


def test_two_wines_far_off_are_still_called_unsure() -> None:
    """However far two marks lie from the panel's, no habit is claimed from them."""
    here = {key: known([centre, centre + 0.5]) for key, centre in CENTRES.items()}
    made = {key: calibrate(np.zeros(2), np.arange(2), here[key], PANEL[key]) for key in CENTRES}
    assert not any(point.sure for point in points(made, here, PANEL, SHEET))


def test_own_marks_choose_the_wines_to_pour() -> None:
    """The two that the panel puts furthest apart beyond what the learner does, with both gaps."""
    made, _ = found('aroma', times=0.0)
    ranked = points(made, REFERENCE.marks, REFERENCE.priors, SHEET)
    first = next(p for p in ranked if (p.category, p.aspect) == ('aroma', 'spread'))
    own = {'aroma': {WINES[0]: 4.5, WINES[1]: 2.0, WINES[2]: 4.5, WINES[3]: 3.0}}
    advice = advise([first], made, REFERENCE, SHEET, own=own, others="the group")
    assert advice is not None
    # Panel: 5, 4.5, 4, 3. Gaps less the learner's: first and third 1 - 0, first and last 2 - 1.5.
    assert (WINES[0], WINES[2]) == advice.wines
    assert "the group sees 1.0 points between them, and you gave 0.0" in advice.exercise
