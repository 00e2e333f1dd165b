"""Numbers and names as people write and say them."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.sheet.words import (
    TYPED,
    WRITTEN,
    did_you_mean,
    fold,
    join_words,
    say_number,
    say_step,
    split_words,
)


@pytest.mark.parametrize(
    ('value', 'said'),
    [
        (0, "0"), (-0.0, "0"), (0.5, "½"), (4.5, "4½"), (-1.5, "-1½"), (12, "12"),
        (0.25, "¼"), (2.75, "2¾"), (1 / 3, "⅓"), (5 + 2 / 3, "5⅔"), (3.7, "3.7"),
        (0.05, "0.05"), (100.0, "100"), (1e300, "1e+300"), (float('inf'), "inf"),
        (4.000000001, "4"),
    ],
)  # fmt: skip
def test_numbers_are_written_as_on_a_sheet(value: float, said: str) -> None:
    """Halves, thirds and quarters are fractions; whole numbers have no decimals."""
    assert said == say_number(value)


@given(st.integers(-2000, 2000), st.sampled_from([2, 3, 4]))
def test_a_fraction_says_its_value(numerator: int, denominator: int) -> None:
    """What is written reads back as the same rational number."""
    glyphs = {'½': (1, 2), '⅓': (1, 3), '⅔': (2, 3), '¼': (1, 4), '¾': (3, 4)}
    said = say_number(numerator / denominator)
    sign = -1 if said.startswith('-') else 1
    digits = said.strip('-' + ''.join(glyphs))
    part = Fraction(*glyphs[said[-1]]) if said[-1] in glyphs else Fraction(0)
    assert Fraction(numerator, denominator) == sign * (int(digits or 0) + part)


def test_steps_are_said_in_words() -> None:
    """Common steps have names; any other is a number."""
    expected = [
        "whole points",
        "half points",
        "thirds of a point",
        "tenths of a point",
        "steps of 5",
    ]
    assert expected == [say_step(step) for step in (1, 0.5, 0.333333333, 0.1, 5)]


def test_spelling_differences_that_do_not_matter_are_folded() -> None:
    """Case, spacing and the two ways of composing é make no difference."""
    assert fold("Château  Noir ") == fold("cha\u0302teau\tNOIR")


def test_the_nearest_known_name_is_suggested() -> None:
    """A near miss gets a suggestion as it is really spelled, a far one gets none."""
    assert "; did you mean 'Lemon'?" == did_you_mean("lemmon", ["Lemon", "Pear"])
    assert "" == did_you_mean("xyz", ["Lemon", "Pear"])


_WORDS = st.lists(st.text(min_size=1).map(lambda word: ' '.join(word.split())).filter(bool))


@given(_WORDS, st.sampled_from([WRITTEN, TYPED]))
def test_words_come_back_as_they_were(words: list[str], between: re.Pattern[str]) -> None:
    """Whatever letters they have, commas and quotes among them, words stay whole in one text."""
    assert words == split_words(join_words(words), between)


@pytest.mark.parametrize(
    ('text', 'words'),
    [
        ("lemon, hay;smoke", ['lemon', 'hay', 'smoke']),
        ('hay, "wet, warm slate" ,smoke', ['hay', 'wet, warm slate', 'smoke']),
        ('"say ""mint""", hay', ['say "mint"', 'hay']),
        ('5" plank, hay', ['5" plank', 'hay']),
        ('"open, hay', ['"open', 'hay']),
        (' , ;', []),
        ('', []),
    ],
)
def test_words_are_typed_with_commas_between(text: str, words: list[str]) -> None:
    """Quotes keep a word whole; a quote that is never closed is a letter like others."""
    assert words == split_words(text, TYPED)
