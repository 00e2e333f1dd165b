"""What a score sheet must be."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import load_sheet


def refused(**changes: Any) -> dict[str, Any]:
    """What is said about a small sheet so changed."""
    raw: dict[str, Any] = {
        'key': 's',
        'label': "S",
        'category': [{'key': 'taste', 'label': "Taste", 'top': 6, 'step': 0.5}],
    }
    for key, value in changes.items():
        if key == 'category':
            raw['category'][0] |= value
        else:
            raw[key] = value
    with pytest.raises(ValidationError) as caught:
        Sheet.model_validate(raw)
    detail, *rest = caught.value.errors()
    assert {'too_short'} >= {follower['type'] for follower in rest}
    return detail.get('ctx', {}) | {'type': detail['type'], 'loc': detail['loc']}


def guidance(*spans: tuple[float, float]) -> dict[str, Any]:
    """A category with guidance for these ranges."""
    return {'guidance': [{'low': low, 'high': high, 'text': "x"} for low, high in spans]}


class TestCategory:
    """Marks form a grid, and guidance covers it."""

    @pytest.mark.parametrize('step', [0.7, 0.51, 12, 4])
    def test_the_step_divides_the_range(self, step: float) -> None:
        """A step that does not lead from lowest to top is refused."""
        actual = refused(category={'step': step})
        assert (
            actual['key'],
            actual['expected'],
        ) == ('step', "a step that divides 6, the distance from lowest to top")

    @pytest.mark.parametrize('lowest', [6, 7.0])
    def test_the_top_is_above_the_lowest(self, lowest: float) -> None:
        """A category with no room for marks is refused."""
        assert 'top' == refused(category={'lowest': lowest})['key']

    def test_a_category_has_a_bounded_number_of_marks(self) -> None:
        """A step so small that no one could use it is refused."""
        assert "at most 10,000 steps in all" == refused(category={'step': 1e-9})['expected']

    @pytest.mark.parametrize('key', ['taster', 'wine', 'total', 'position', 'faults'])
    def test_a_category_does_not_take_the_name_of_another_column(self, key: str) -> None:
        """In a table of marks each column has one meaning."""
        assert f"'{key}'" == refused(category={'key': key})['found']

    @pytest.mark.parametrize(
        ('spans', 'found'),
        [
            ([(0, 3)], "no guidance for 3½"),
            ([(1, 6)], "no guidance for 0"),
            ([(0, 2), (3, 6)], "no guidance for 2½"),
            ([(0, 6.5)], "0 to 6½"),
            ([(-1, 6)], "-1 to 6"),
            ([(0, 6), (4, 3)], "4 to 3"),
        ],
    )
    def test_guidance_covers_every_mark_and_no_other(
        self, spans: list[tuple[float, float]], found: str
    ) -> None:
        """A gap in the guidance, or guidance outside the range, is refused."""
        assert found == refused(category=guidance(*spans))['found']

    def test_guidance_may_meet_in_a_mark(self) -> None:
        """Where two ranges meet, the upper one is shown."""
        part = load_sheet('twenty-point').category('aftertaste').guidance_for(2.0)
        assert part is not None
        assert (2, 2.5) == (part.low, part.high)

    def test_a_step_may_be_a_fraction_in_quotes(self) -> None:
        """Thirds cannot be written as decimals."""
        category = {'key': 'a', 'label': "A", 'top': 2, 'step': "1/3"}
        sheet = Sheet.model_validate({'key': 's', 'label': "S", 'category': [category]})
        assert (1 / 3, 6) == (sheet.categories[0].step, sheet.categories[0].steps)

    @pytest.mark.parametrize('step', [True, "0,5", "1/0", 0, -1, float('nan')])
    def test_a_step_is_a_number_above_zero(self, step: object) -> None:
        """Text, switches, zero and NaN are not steps."""
        assert ('category', 0, 'step') == refused(category={'step': step})['loc']


class TestSheet:
    """Keys are unique, references resolve, bands are in order."""

    def test_category_keys_are_unique(self) -> None:
        """Two categories of one key are refused."""
        twice = [{'key': 'a', 'label': "A", 'top': 1, 'step': 1}] * 2
        with pytest.raises(ValidationError, match="'a' more than once"):
            Sheet.model_validate({'key': 's', 'label': "S", 'category': twice})

    def test_terms_are_unique_over_all_families(self) -> None:
        """A ticked term belongs to one family."""
        families = [{'key': k, 'label': k, 'terms': ["Lemon"]} for k in ('a', 'b')]
        assert "term 'lemon' more than once" == refused(family=families)['found']

    def test_a_term_may_be_its_label_alone(self) -> None:
        """The key is made of plain small letters."""
        sheet = Sheet.model_validate(
            {
                'key': 's',
                'label': "S",
                'category': [{'key': 'a', 'label': "A", 'top': 1, 'step': 1}],
                'family': [{'key': 'f', 'label': "F", 'terms': ["Crème brûlée"]}],
            }
        )
        assert {'creme-brulee': 'creme-brulee', 'crème brûlée': 'creme-brulee'} == sheet.term_keys

    def test_a_fault_refers_to_a_category_there_is(self) -> None:
        """A misspelt category is refused with a suggestion."""
        fault = {'key': 'f', 'label': "F", 'category': 'tast'}
        assert "one of taste; did you mean 'taste'?" == refused(fault=[fault])['expected']

    @pytest.mark.parametrize('ceiling', [-1, 7])
    def test_a_ceiling_lies_within_the_marks(self, ceiling: float) -> None:
        """A ceiling that no mark could pass or meet is refused."""
        fault = {'key': 'f', 'label': "F", 'category': 'taste', 'ceiling': ceiling}
        assert "a ceiling from 0 to 6" == refused(fault=[fault])['expected']

    @pytest.mark.parametrize(
        ('bands', 'found'),
        [
            ([(0, 10, {}), (5, 20, {})], "'b1' from 5 s"),
            ([(0, None, {}), (50, None, {})], "'b1' from 50 s"),
            ([(10, 10, {})], "'b0' to 10 s"),
            ([(0, 9, {'usual_low': 1})], "'b0' with usual marks"),
            ([(0, 9, {'category': 'x'})], "'b0' refers to 'x'"),
            (
                [(0, 9, {'category': 'taste', 'usual_low': 3, 'usual_high': 2})],
                "'b0' with usual_low above usual_high",
            ),
            (
                [(0, 9, {'category': 'taste', 'usual_high': 9})],
                "'b0' with usual marks outside the category",
            ),
        ],
    )
    def test_finish_bands_run_from_short_to_long(self, bands: list[Any], found: str) -> None:
        """Bands that overlap, end before they begin or refer to nothing are refused."""
        tables = [
            {'label': f'b{n}', 'from_seconds': start} | ({'to_seconds': end} if end else {}) | more
            for n, (start, end, more) in enumerate(bands)
        ]
        assert found == refused(finish=tables)['found']

    @pytest.mark.parametrize(
        ('seconds', 'label'),
        [(0, 'short'), (15, 'short'), (20, None), (40, 'medium'), (41, 'long'), (500, 'long')],
    )
    def test_a_finish_has_the_name_of_its_band(self, seconds: float, label: str | None) -> None:
        """Common practice, no source: to 15 s short, 30 to 40 s medium, longer long."""
        band = load_sheet('twenty-point').finish_band(seconds)
        assert label == (band.label if band else None)

    def test_a_sheet_survives_being_stored(self) -> None:
        """A sheet written as JSON reads back the same, under either set of names."""
        sheet = load_sheet('twenty-point')
        assert sheet == Sheet.model_validate_json(sheet.model_dump_json())
        assert sheet == Sheet.model_validate_json(sheet.model_dump_json(by_alias=True))
