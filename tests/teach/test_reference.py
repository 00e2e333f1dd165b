"""The reference that a past result holds."""

from __future__ import annotations

import numpy as np
import pytest
from tests.teach.sample_practice import SHEET, WINES, result

from halfpoint.errors import InputError
from halfpoint.sheet.load import load_sheet
from halfpoint.teach.reference import TOTAL, own_prior, reference_of


def test_covariances_come_from_the_errors_of_differences() -> None:
    """By hand: se 0.2 each and 0.2 of a difference leave 0.02 shared (half of 0.04)."""
    found = reference_of(result(), SHEET, 'result.json')
    covariance = found.marks[TOTAL].covariance
    assert [0.04, 0.02] == pytest.approx([covariance[0, 0], covariance[0, 1]])
    assert WINES == found.wines


def test_wines_differ_by_what_their_errors_do_not_explain() -> None:
    """By hand: variance of the scores less that of errors of differences, 0.02."""
    found = reference_of(result(), SHEET, 'result.json').marks[TOTAL]
    expected = np.sqrt(np.var([16.6, 15.4, 14.2, 11.3], ddof=1) - 0.02)
    assert expected == pytest.approx(found.wine_sd)


def test_terms_that_few_ticked_or_that_are_withheld_are_left_out() -> None:
    """Terms ticked by one in five or more, most ticked first; none of a wine withheld."""
    terms = reference_of(result(), SHEET, 'result.json').terms
    assert [('lemon', 0.5), ('hay', 0.3)] == [(one.key, one.share) for one in terms[WINES[0]]]
    assert WINES[2] not in terms
    assert () == terms[WINES[3]]


def test_the_panel_says_how_learners_differ() -> None:
    """Severity, spread, noise and their likeness as the result has them; a category by its own."""
    priors = reference_of(result(), SHEET, 'result.json').priors
    total, aroma = priors[TOTAL], priors['aroma']
    assert (0.9, 0.25, 1.1, 8.0) == (
        total.severity_sd, total.spread_sd, total.noise, total.freedom,
    )  # fmt: skip
    assert (0.3, 0.6) == pytest.approx((aroma.severity_sd, aroma.noise))


def test_without_scale_use_the_components_or_the_usual_stand_in() -> None:
    """A result that could not fit scale use still gives a prior."""
    bare = result() | {'scale': None, 'aroma': None}
    del bare['components']['bottle']
    found = reference_of(bare, SHEET, 'result.json')
    assert (1.0, 2.0) == (found.priors[TOTAL].severity_sd, found.priors[TOTAL].noise)
    assert 0.4 == found.marks[TOTAL].bottle_sd


def test_another_sheet_is_refused_in_words() -> None:
    """A result on another sheet is named with its categories, and what to do."""
    with pytest.raises(InputError, match='its sheet is Twenty points') as refusal:
        reference_of(result(), load_sheet('hundred-point'), 'result.json')
    assert "practise on the sheet of that tasting" in refusal.value.remedy


def test_a_category_with_no_result_is_no_other_sheet() -> None:
    """Where all marked appearance alike there is no result for it, and the rest is used."""
    bare = result()
    del bare['categories']['appearance']
    assert 'appearance' not in reference_of(bare, SHEET, 'result.json').marks


@pytest.mark.parametrize('found', [None, [], {}, {'wines': [], 'categories': {}, 'pairs': []}, 3])
def test_what_is_no_result_is_refused(found: object) -> None:
    """Any other JSON is refused, never a traceback."""
    with pytest.raises(InputError):
        reference_of(found, SHEET, 'result.json')


def test_a_result_that_was_meddled_with_is_refused() -> None:
    """A missing or odd field is a refusal that says to write the result again."""
    broken = result()
    broken['categories']['aroma']['wines'][0]['adjusted'] = 'high'
    with pytest.raises(InputError, match='cannot be read') as refusal:
        reference_of(broken, SHEET, 'result.json')
    assert "write the result again" in refusal.value.remedy


def test_wines_that_cannot_be_compared_are_no_reference() -> None:
    """A tasting in unlinked parts has no joint scores to practise against."""
    apart = result()
    for wine in apart['wines']:
        wine['adjusted'] = None
    with pytest.raises(InputError, match='no wine of this result'):
        reference_of(apart, SHEET, 'result.json')


def test_last_years_record_is_a_prior() -> None:
    """By hand: 0.8 of a severity of 1.2; what is withheld or unknown is refused."""
    panel = reference_of(result(), SHEET, 'result.json').priors[TOTAL]
    assert 0.96 == pytest.approx(own_prior(result(), 'ANN', panel, 'result.json').severity)
    for taster in ('BOB', 'nobody'):
        with pytest.raises(InputError, match=f"no record of taster '{taster}'"):
            own_prior(result(), taster, panel, 'result.json')
