"""Letters: two wines share one exactly when they are not told apart (Piepho 2004)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from halfpoint.estimate.letters import letter_groups


@st.composite
def tables(draw):
    """Scores and any symmetric table of who is told apart, up to eight wines."""
    wines = draw(st.integers(1, 8))
    drawn = draw(arrays(bool, (wines, wines)))
    apart = np.triu(drawn, 1)
    scores = draw(arrays(float, wines, elements=st.floats(-5, 5)))
    return scores, apart | apart.T


@given(tables())
def test_share_a_letter_exactly_if_not_told_apart(table) -> None:
    """Holds for every table, however odd."""
    scores, differ = table
    letters = letter_groups(scores, differ)
    for i in range(scores.size):
        for j in range(scores.size):
            if i != j:
                assert differ[i, j] != bool(set(letters[i]) & set(letters[j]))


@given(tables())
def test_every_wine_has_a_letter_and_none_is_idle(table) -> None:
    """No wine goes without; no letter says only what another says already."""
    scores, differ = table
    letters = letter_groups(scores, differ)
    assert all(letters)
    names = sorted(set(''.join(letters)))
    held = [{i for i, own in enumerate(letters) if name in own} for name in names]
    assert not any(a < b for a in held for b in held)
    assert len(held) == len({frozenset(h) for h in held})


@given(tables())
def test_the_highest_score_has_the_letter_a(table) -> None:
    """The letters run in the order of the scores."""
    scores, differ = table
    assert 'a' in letter_groups(scores, differ)[int(np.argsort(-scores, kind='stable')[0])]


@pytest.mark.parametrize(
    ('apart', 'expected'),
    [
        ([], ('a', 'a', 'a')),
        ([(0, 1), (0, 2), (1, 2)], ('a', 'b', 'c')),
        ([(0, 2)], ('a', 'ab', 'b')),
        ([(0, 1), (0, 2)], ('a', 'b', 'b')),
    ],
)
def test_worked_cases(apart, expected) -> None:
    """Small tables worked by hand."""
    differ = np.zeros((3, 3), dtype=bool)
    for i, j in apart:
        differ[i, j] = differ[j, i] = True
    assert expected == letter_groups(np.array([3.0, 2.0, 1.0]), differ)


def test_more_groups_than_letters() -> None:
    """After z comes a1, so that letters never run out."""
    letters = letter_groups(-np.arange(30.0), ~np.eye(30, dtype=bool))
    assert ('z', 'a1', 'd1') == (letters[25], letters[26], letters[29])
