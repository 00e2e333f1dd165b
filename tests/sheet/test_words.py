"""Numbers and names as people write and say them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.sheet.words import did_you_mean, fold, say_number, say_step


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
