"""A name as it is set, and which of its letters need another font."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.typeface import is_covered
from halfpoint.typeface.letters import (
    END,
    ISOLATE,
    Run,
    as_set,
    clusters,
    is_unseen,
    one_line,
    runs,
)


@pytest.mark.parametrize('name', ["Zoë Grüner", "Ξινόμαυρο", "Мукузани ½"])
def test_names_in_letters_of_the_typeface_need_nothing(name: str) -> None:
    """Latin, Greek and Cyrillic are set as they are."""
    assert name == one_line(name, 90)
    assert [] == runs(name)


@pytest.mark.parametrize(
    ('name', 'expected'),
    [
        ("Nino ნინო", [Run("ნინო", 'Geor')]),
        ("山田はなこ", [Run("山田はなこ", 'Hani')]),
        ("ნinoნ", [Run("ნ", 'Geor'), Run("ნ", 'Geor')]),
        ("שרהსა", [Run("שרה", 'Hebr'), Run("სა", 'Geor')]),
        ("x\u1dc4y", [Run("x\u1dc4", 'Latn')]),
        ("क\u094d\u200dष", [Run("क\u094d\u200dष", 'Deva')]),
    ],
)
def test_letters_beyond_it_are_found_by_script(name: str, expected: list[Run]) -> None:
    """Script codes are those of ISO 15924, by Unicode Standard Annex 24."""
    assert expected == runs(name)


def test_joiners_stay_where_a_shape_hangs_on_them_and_go_elsewhere() -> None:
    """A Persian word keeps its non-joiner (Unicode Standard, 23.2); a Latin word has no use."""
    assert "می\u200cخواهم" in one_line("می\u200cخواهم", 90)
    assert "Anna" == one_line("An\u200dna", 90)
    assert "葛\U000e0100" == one_line("葛\U000e0100", 90)


def test_control_characters_and_turned_lines_are_taken_out() -> None:
    """Line breaks become spaces; overrides of direction are dropped; full width becomes plain."""
    assert "An na" == one_line("An\n\t na", 90)
    assert "Ana" == one_line("\u202eA\u2067n\u200fa", 90)
    assert "ABC fi" == one_line("ＡＢＣ　ﬁ", 90)


def test_a_name_from_right_to_left_is_set_apart() -> None:
    """Unicode Standard Annex 9: a first strong isolate keeps what stands beside it in place."""
    assert f"{ISOLATE}שרה (2){END}" == one_line("שרה (2)", 90)
    assert "ნინო" == one_line("ნინო", 90)


def test_a_long_name_is_cut_between_letters() -> None:
    """No mark is parted from its letter, and the cut is shown."""
    assert "Anna…" == one_line("Annabella", 5)
    assert "कि…" == one_line("किकिकि", 4)


@given(st.text(), st.integers(2, 30))
def test_any_text_comes_out_on_one_line(text: str, most: int) -> None:
    """Nothing breaks the line; setting it again changes nothing; runs hold what is not covered."""
    line = one_line(text, most)
    plain = line.strip(ISOLATE + END)
    assert len(plain) <= most
    assert not {unicodedata.category(c) for c in line} & {'Cc', 'Zl', 'Zp'}
    assert line == as_set(line)
    beyond = {c for c in plain if not is_covered(c)}
    assert beyond <= {c for run in runs(line) for c in run.text}


@given(st.text())
def test_letters_with_their_marks_make_up_the_text(text: str) -> None:
    """Parting a text into letters loses nothing."""
    assert text == ''.join(clusters(text))
    assert not any(is_unseen(part[0]) for part in list(clusters(text))[1:])
