"""The practice set that an organiser makes for learners."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as some
from tests.teach.sample_practice import SHEET, WINES, result

from halfpoint.errors import InputError
from halfpoint.teach.practice_set import PracticeSet, is_set, only, set_in, set_out, write_set
from halfpoint.teach.reference import TOTAL, reference_of

REFERENCE = reference_of(result(), SHEET, 'result.json')


def test_a_set_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    """Sheet, wines, figures, priors and terms come back."""
    path = tmp_path / 'set.json'
    write_set(path, PracticeSet(SHEET, REFERENCE))
    read = json.loads(path.read_text(encoding='utf-8'))
    assert is_set(read)
    made = set_in(read, 'set.json')
    assert (SHEET, REFERENCE.wines, REFERENCE.priors, REFERENCE.terms) == (
        made.sheet, made.reference.wines, made.reference.priors, made.reference.terms,
    )  # fmt: skip
    for key, known in REFERENCE.marks.items():
        np.testing.assert_allclose(known.score, made.reference.marks[key].score, atol=1e-6)


def test_a_choice_of_wines_keeps_their_figures_and_the_level_of_all() -> None:
    """Scores and covariances of the wines chosen; the centre stays that of the whole panel."""
    chosen = only(REFERENCE, (WINES[3], WINES[0]))
    before, after = REFERENCE.marks[TOTAL], chosen.marks[TOTAL]
    assert (WINES[3], WINES[0]) == chosen.wines
    assert [11.3, 16.6] == after.score.tolist()
    assert before.covariance[3, 0] == after.covariance[0, 1]
    assert (before.centre, before.wine_sd) == (after.centre, after.wine_sd)
    assert {WINES[0], WINES[3]} == set(chosen.terms)


JSON = some.recursive(
    some.none() | some.booleans() | some.floats() | some.integers() | some.text(max_size=5),
    lambda inner: (
        some.lists(inner, max_size=3) | some.dictionaries(some.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=8,
)


@given(some.sampled_from(['sheet', 'title', 'wines', 'marks', 'priors', 'terms', TOTAL]), JSON)
def test_whatever_stands_in_a_set_is_read_or_refused(place: str, value: object) -> None:
    """Any JSON in the place of any part gives a set or a refusal in words."""
    raw = json.loads(json.dumps(set_out(PracticeSet(SHEET, REFERENCE))))
    holder = raw if place == 'sheet' else raw['reference']
    holder = holder['marks'] if place == TOTAL else holder
    holder[place] = value
    try:
        said: object = set_in(raw, 'set.json').reference.wines
    except InputError as refusal:
        said = refusal.expected
    assert said
