"""The shipped typeface and what it can print."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.typeface import font_directory, is_covered, is_printable, printable


def test_the_typeface_ships_with_its_licence_and_stays_small() -> None:
    """Four styles, the licence and a note on the source, under 1.5 MB."""
    files = {path.name: path.stat().st_size for path in font_directory().iterdir()}
    assert {'OFL.txt', 'README.md', 'coverage.json'} <= set(files)
    assert 4 == sum(name.endswith('.otf') for name in files)
    assert sum(files.values()) < 1_500_000


@pytest.mark.parametrize('text', ["Grüner Veltliner", "Ξινόμαυρο", "Мукузани", "4½ − → “Ł”"])
def test_usual_letters_print_as_they_are(text: str) -> None:
    """Latin, Greek, Cyrillic, fractions, minus and arrows are covered."""
    assert text == printable(text)


def test_letters_without_a_shape_are_written_as_their_number() -> None:
    """What would be an empty box is written as its Unicode number instead."""
    assert 'Koshu [U+7532]' == printable('Koshu 甲')
    assert 'ABC' == printable('ＡＢＣ')
    assert not is_printable('Koshu 甲')
    assert is_printable('Koshu')


@given(st.text())
def test_nothing_left_would_print_as_a_box(text: str) -> None:
    """Every character of the printable text is in the typeface."""
    assert all(is_covered(character) for character in printable(text))
