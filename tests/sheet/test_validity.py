"""The one validity check."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.sheet.sheets import exact_categories, sheets_with_marks

from halfpoint.sheet.entry import Complaint, Entry
from halfpoint.sheet.form import Category, Sheet
from halfpoint.sheet.load import load_sheet
from halfpoint.sheet.validity import (
    MarkFault,
    check_entry,
    expected_mark,
    mark_fault,
    mark_faults,
    total_faults,
    total_of,
)

TWENTY = load_sheet('twenty-point')
GOOD = {'appearance': 3.0, 'aroma': 4.5, 'taste': 4.5, 'aftertaste': 2.0, 'overall': 1.5}


def complaints(**changes: object) -> list[tuple[str, str, str]]:
    """Field, found and expected of every complaint about a good entry so changed."""
    entry = {'taster': "t", 'wine': "w", 'marks': GOOD} | changes
    result = check_entry(TWENTY, **entry)  # type: ignore[arg-type]
    assert not isinstance(result, Entry)
    return [(c.field, c.found, c.expected) for c in result]


class TestMarks:
    """`mark_faults` and `mark_fault`."""

    @given(exact_categories(), st.data())
    def test_every_mark_on_the_grid_stands(
        self, made: tuple[Category, Fraction, Fraction], data: st.DataObject
    ) -> None:
        """Lowest plus a whole number of steps is accepted, however the step is rounded."""
        category, lowest, step = made
        exact = lowest + step * data.draw(st.integers(0, category.steps))
        sums = float(lowest) + category.step * round((exact - lowest) / step)
        assert [0, 0] == mark_faults(np.array([float(exact), sums]), category).tolist()

    @given(exact_categories(), st.data())
    def test_every_mark_between_two_steps_is_off_step(
        self, made: tuple[Category, Fraction, Fraction], data: st.DataObject
    ) -> None:
        """A mark at least a thousandth of a step off the grid is off step."""
        category, lowest, step = made
        off = data.draw(st.fractions(Fraction(1, 1000), Fraction(999, 1000)))
        mark = float(lowest + step * (data.draw(st.integers(0, category.steps - 1)) + off))
        assert [MarkFault.OFF_STEP] == mark_faults(np.array([mark]), category).tolist()

    @given(exact_categories(), st.lists(st.floats(), min_size=1, max_size=20))
    def test_one_mark_and_a_column_are_judged_alike(
        self, made: tuple[Category, Fraction, Fraction], values: list[float]
    ) -> None:
        """The rule for one mark and the rule for a column give the same answer."""
        category = made[0]
        assert [mark_fault(value, category) for value in values] == mark_faults(
            np.array(values), category
        ).tolist()

    @pytest.mark.parametrize(
        ('mark', 'fault'),
        [
            (math.nan, MarkFault.MISSING),
            (math.inf, MarkFault.NOT_FINITE),
            (-math.inf, MarkFault.NOT_FINITE),
            (-0.5, MarkFault.OUT_OF_RANGE),
            (6.5, MarkFault.OUT_OF_RANGE),
            (1e300, MarkFault.OUT_OF_RANGE),
            (4.4, MarkFault.OFF_STEP),
            (4.25, MarkFault.OFF_STEP),
            (0.0, MarkFault.NONE),
            (4.5, MarkFault.NONE),
            (6.0, MarkFault.NONE),
        ],
    )
    def test_each_fault_has_its_code(self, mark: float, fault: MarkFault) -> None:
        """Aroma of the twenty-point sheet takes 0 to 6 in half points and nothing else."""
        aroma = TWENTY.category('aroma')
        assert [[fault]] == mark_faults(np.array([[mark]]), aroma).tolist()

    def test_single_precision_tenths_stand(self) -> None:
        """Tenths that went through 32-bit floats, as in many Parquet files, are accepted."""
        category = Category(key='a', label="A", top=100, step=0.1)
        marks = np.linspace(0, 100, 1001).astype(np.float32)
        assert not mark_faults(marks.astype(np.float64), category).any()

    @pytest.mark.parametrize(
        ('category', 'words'),
        [
            (TWENTY.category('aroma'), "0 to 6 in half points"),
            (load_sheet('liking').category('liking'), "1 to 9 in whole points"),
            (Category(key='a', label="A", top=3.5, step=0.25), "0 to 3½ in quarter points"),
            (Category(key='a', label="A", top=1, step=1 / 3), "0 to 1 in thirds of a point"),
            (Category(key='a', label="A", top=1, step=0.05), "0 to 1 in steps of 0.05"),
        ],
    )
    def test_expected_marks_are_said_in_words(self, category: Category, words: str) -> None:
        """The marks a category takes can be read aloud."""
        assert words == expected_mark(category)


class TestTotals:
    """`total_of` and `total_faults`."""

    @given(sheets_with_marks())
    def test_total_is_the_weighted_sum(
        self, made: tuple[Sheet, dict[str, float], Fraction]
    ) -> None:
        """The total of a column equals exact rational arithmetic to rounding."""
        sheet, marks, total = made
        columns = {key: np.array([mark, np.nan]) for key, mark in marks.items()}
        actual = total_of(sheet, columns)
        assert pytest.approx(float(total), abs=1e-9) == actual[0]
        assert math.isnan(actual[1])

    def test_a_category_without_a_column_is_refused(self) -> None:
        """A total is never made from part of the categories."""
        with pytest.raises(KeyError, match='overall'):
            total_of(TWENTY, {key: np.zeros(1) for key in list(GOOD)[:4]})

    def test_only_a_written_total_can_be_wrong(self) -> None:
        """A total nobody wrote is no fault; rounding to two decimals is none either."""
        total = np.array([15.5, 15.5, 15.5, np.nan, 43 / 3])
        written = np.array([15.5, 16.0, np.nan, 3.0, 14.33])
        expected = [False, True, False, False, False]
        assert expected == total_faults(total, written).tolist()


class TestEntries:
    """`check_entry`."""

    @given(sheets_with_marks())
    def test_marks_on_the_grid_make_an_entry(
        self, made: tuple[Sheet, dict[str, float], Fraction]
    ) -> None:
        """Any marks on the grid are accepted unchanged, with the right total."""
        sheet, marks, total = made
        entry = check_entry(sheet, taster="t", wine="w", marks=marks, written_total=float(total))
        assert isinstance(entry, Entry)
        assert marks == entry.marks
        assert pytest.approx(float(total), abs=1e-9) == entry.total

    @given(sheets_with_marks(), st.data())
    def test_a_mark_off_the_grid_is_complained_about_alone(
        self, made: tuple[Sheet, dict[str, float], Fraction], data: st.DataObject
    ) -> None:
        """One mark off the grid gives one complaint, about its category."""
        sheet, marks, _ = made
        key = data.draw(st.sampled_from(sorted(marks)))
        wrong = marks | {
            key: marks[key] + sheet.category(key).step * data.draw(st.floats(0.01, 0.99))
        }
        result = check_entry(sheet, taster="t", wine="w", marks=wrong)
        assert isinstance(result, tuple)
        assert [key] == [complaint.field for complaint in result]

    def test_an_entry_keeps_all_that_was_written(self) -> None:
        """Terms and faults become keys, once each; names lose only their outer spaces."""
        entry = check_entry(
            TWENTY,
            taster=" Ada ",
            wine="W01",
            marks=GOOD,
            written_total=15.5,
            site="north",
            position=3,
            code="417",
            terms=["Orange  Peel", "lemon", "orange-peel"],
            faults=["HAZE"],
            finish_seconds=12.0,
            remark=" fine ",
            families=["Oak and  Toast", "citrus", "oak"],
            finish_band="LONG",
        )
        assert (
            Entry(
                taster="Ada",
                wine="W01",
                marks=GOOD,
                total=15.5,
                site="north",
                position=3,
                code="417",
                terms=('orange-peel', 'lemon'),
                faults=('haze',),
                finish_seconds=12.0,
                remark=" fine ",
                families=('oak', 'citrus'),
                finish_band='long',
            )
            == entry
        )

    @pytest.mark.parametrize(
        ('changes', 'expected'),
        [
            ({'taster': " "}, [("taster", "nothing", "which taster this is")]),
            ({'wine': ""}, [("wine", "nothing", "which wine this is")]),
            (
                {'marks': GOOD | {'aroma': 7.0}},
                [("aroma", "7", "0 to 6 in half points")],
            ),
            (
                {'marks': GOOD | {'aroma': 4.3}},
                [("aroma", "4.3", "0 to 6 in half points")],
            ),
            (
                {'marks': GOOD | {'overall': None}},
                [("overall", "nothing", "0 to 2 in half points")],
            ),
            (
                {'marks': GOOD | {'tast': 4.0}},
                [
                    (
                        "tast",
                        "a category this sheet does not have",
                        (
                            "one of appearance, aroma, taste, aftertaste, overall; "
                            "did you mean 'taste'?"
                        ),
                    )
                ],
            ),
            (
                {'terms': ["lemmon"]},
                [("terms", "'lemmon'", "one of this sheet's terms; did you mean 'lemon'?")],
            ),
            ({'faults': ["zzz"]}, [("faults", "'zzz'", "one of this sheet's faults")]),
            (
                {'families': ["citrsu"]},
                [
                    (
                        "families",
                        "'citrsu'",
                        "one of this sheet's aroma families; did you mean 'citrus'?",
                    )
                ],
            ),
            (
                {'finish_band': "longish"},
                [
                    (
                        "finish_band",
                        "'longish'",
                        "one of this sheet's finish bands; did you mean 'long'?",
                    )
                ],
            ),
            ({'written_total': 16.0}, [("total", "16", "15½, the sum of the marks")]),
            ({'written_total': math.inf}, [("total", "inf", "15½, the sum of the marks")]),
            ({'finish_seconds': -1.0}, [("finish_seconds", "-1", "0 to 600 seconds")]),
            ({'finish_seconds': math.nan}, [("finish_seconds", "nothing", "0 to 600 seconds")]),
            ({'finish_seconds': 4000.0}, [("finish_seconds", "4000", "0 to 600 seconds")]),
            (
                {'position': 0},
                [("position", "0", "1 for the first pour, then 2, 3 and so on")],
            ),
        ],
    )
    def test_each_wrong_thing_is_named(
        self, changes: dict[str, object], expected: list[tuple[str, str, str]]
    ) -> None:
        """A complaint says the field, what was found and what was expected."""
        assert expected == complaints(**changes)

    def test_all_complaints_come_together(self) -> None:
        """Nothing hides behind the first thing that is wrong."""
        marks = GOOD | {'aroma': 9.0, 'taste': math.nan}
        fields = [c[0] for c in complaints(marks=marks, taster="", terms=["x"], position=-2)]
        assert ["taster", "aroma", "taste", "terms", "position"] == fields

    def test_a_written_total_is_not_compared_with_marks_that_are_wrong(self) -> None:
        """With a mark missing there is no sum, so the written total is not called wrong."""
        found = complaints(marks=GOOD | {'aroma': None}, written_total=15.5)
        assert ["aroma"] == [field for field, _, _ in found]

    def test_a_total_not_written_is_not_wrong(self) -> None:
        """NaN, as a table has it for an empty cell, counts as no total written."""
        entry = check_entry(TWENTY, taster="t", wine="w", marks=GOOD, written_total=math.nan)
        assert isinstance(entry, Entry)

    def test_a_complaint_is_plain_data(self) -> None:
        """Complaints can be compared and stored."""
        result = check_entry(TWENTY, taster="t", wine="", marks=GOOD)
        assert (Complaint('wine', "nothing", "which wine this is"),) == result
