"""Contradictions worth a second look."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Category, Fault, FinishBand, Sheet
from halfpoint.sheet.hints import hints
from halfpoint.sheet.load import builtin_sheets, load_sheet
from halfpoint.sheet.validity import check_entry

TWENTY = load_sheet('twenty-point')
GOOD = {'appearance': 3.0, 'aroma': 4.5, 'taste': 4.5, 'aftertaste': 2.0, 'overall': 1.5}


def about(sheet: Sheet = TWENTY, marks: dict[str, float] = GOOD, **rest: object) -> list[str]:
    """The messages raised for an accepted entry."""
    entry = check_entry(sheet, taster="t", wine="w", marks=marks, **rest)  # type: ignore[arg-type]
    assert isinstance(entry, Entry)
    return [hint.message for hint in hints(sheet, entry)]


def test_an_ordinary_sheet_raises_none() -> None:
    """Common marks with a short finish and one term contradict nothing."""
    assert [] == about(finish_seconds=12.0, terms=["lemon"])


def test_a_short_finish_with_the_top_mark_needs_a_look() -> None:
    """Twelve seconds are short; three points usually go with a long finish."""
    expected = (
        "The finish was timed at 12 s, which is short, and aftertaste has 3, "
        "which usually goes with a long one."
    )
    assert [expected] == about(marks=GOOD | {'aftertaste': 3.0}, finish_seconds=12.0)


def test_a_long_finish_with_a_short_one_s_mark_needs_a_look() -> None:
    """Fifty seconds are long; two points usually go with a short or medium finish."""
    expected = (
        "The finish was timed at 50 s, which is long, and aftertaste has 2, "
        "which usually goes with a short or medium one."
    )
    assert [expected] == about(finish_seconds=50.0)


@pytest.mark.parametrize('seconds', [5.0, 35.0, 90.0])
def test_an_unpleasant_finish_contradicts_nothing(seconds: float) -> None:
    """A mark below every band says only that the finish did not please."""
    assert [] == about(marks=GOOD | {'aftertaste': 0.5}, finish_seconds=seconds)


def test_between_two_bands_nothing_is_said() -> None:
    """Twenty seconds belong to no band, so any mark may go with them."""
    assert [] == about(marks=GOOD | {'aftertaste': 3.0}, finish_seconds=20.0)


def test_a_fault_with_a_full_mark_needs_a_look() -> None:
    """A brown tint is ticked, and appearance has all its points."""
    expected = "Brown tint is ticked, and appearance has 3; with it, 2½ or less is usual."
    assert [expected] == about(faults=["brown-tint"])


def test_a_fault_with_a_lowered_mark_raises_none() -> None:
    """A brown tint with half a point less is what the sheet asks for."""
    assert [] == about(marks=GOOD | {'appearance': 2.5}, faults=["brown-tint"])


def test_a_fault_without_a_category_looks_at_the_total() -> None:
    """A ceiling with no category is one for the whole sheet."""
    sheet = Sheet(
        key='s',
        label="S",
        categories=(Category(key='taste', label="Taste", top=10, step=1),),
        faults=(Fault(key='off', label="Off", ceiling=4),),
    )
    expected = "Off is ticked, and the total has 5; with it, 4 or less is usual."
    assert [expected] == about(sheet, {'taste': 5.0}, faults=["off"])
    assert [] == about(sheet, {'taste': 4.0}, faults=["off"])


def test_one_aroma_with_a_top_mark_needs_a_look() -> None:
    """Top marks are for several aromas; with none ticked nothing can be said."""
    marks = GOOD | {'aroma': 6.0}
    assert 1 == len(about(marks=marks, terms=["lemon"]))
    assert [] == about(marks=marks, terms=["lemon", "pear"])
    assert [] == about(marks=marks)


def test_a_family_ticked_as_a_whole_counts_as_a_word() -> None:
    """At least one of its words is meant; one of them ticked besides says no more."""
    marks = GOOD | {'aroma': 6.0}
    assert 1 == len(about(marks=marks, families=["citrus"]))
    assert 1 == len(about(marks=marks, families=["citrus"], terms=["lemon"]))
    assert [] == about(marks=marks, families=["orchard"], terms=["lemon"])
    assert [] == about(marks=marks, families=["orchard", "citrus"])


def test_a_ticked_finish_is_held_against_the_mark() -> None:
    """As a timed one is; where both are told, the clock counts."""
    top = GOOD | {'aftertaste': 3.0}
    expected = (
        "The finish was ticked as short, and aftertaste has 3, which usually goes with a long one."
    )
    assert [expected] == about(marks=top, finish_band='short')
    assert [] == about(marks=top, finish_band='long')
    assert [] == about(marks=top, finish_band='short', finish_seconds=50.0)


def test_both_ends_of_the_scale_need_a_look() -> None:
    """Every category at its top, and every one at its lowest."""
    top = {category.key: category.top for category in TWENTY.categories}
    assert ["20, the highest the sheet allows, in every category."] == about(marks=top)
    lowest = dict.fromkeys(top, 0.0)
    assert ["0, the lowest the sheet allows: was this pour tasted?"] == about(marks=lowest)


def test_the_end_of_a_single_question_is_an_ordinary_mark() -> None:
    """On a sheet with one category its top and lowest marks are what they are for."""
    assert [] == about(load_sheet('liking'), {'liking': 9.0})


def test_a_band_without_usual_marks_says_nothing() -> None:
    """Finish bands may be only names."""
    sheet = Sheet(
        key='s',
        label="S",
        categories=(Category(key='taste', label="Taste", top=10, step=1),),
        finish=(FinishBand(label="short", from_seconds=0),),
    )
    assert [] == about(sheet, {'taste': 5.0}, finish_seconds=5.0)


@given(st.data())
def test_hints_never_fail_and_never_scold(data: st.DataObject) -> None:
    """Any accepted entry of any built-in sheet gets calm hints about fields it has."""
    sheet = load_sheet(data.draw(st.sampled_from(builtin_sheets())))
    marks = {
        c.key: c.lowest + c.step * data.draw(st.integers(0, c.steps)) for c in sheet.categories
    }
    ticked = (
        st.lists(st.sampled_from(sorted(sheet.terms_by_key))) if sheet.families else st.just([])
    )
    wrong = st.lists(st.sampled_from(sorted(sheet.faults_by_key))) if sheet.faults else st.just([])
    entry = check_entry(
        sheet,
        taster="t",
        wine="w",
        marks=marks,
        terms=data.draw(ticked),
        faults=data.draw(wrong),
        finish_seconds=data.draw(st.none() | st.floats(0, 600)),
    )
    assert isinstance(entry, Entry)
    for hint in hints(sheet, entry):
        assert hint.field in {*marks, 'total'}
        assert '!' not in hint.message
