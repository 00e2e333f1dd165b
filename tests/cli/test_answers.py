"""What a person types at a doubtful mark."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.cli._answers import Decided, Unclear, Wish, say_choice, understand
from halfpoint.sheet.load import load_sheet

SHEET = load_sheet('twenty-point')


def answer(
    typed: str, field: str = 'aroma', choices: tuple[float | str, ...] = (4.5, 5.0)
) -> object:
    return understand(typed, field=field, choices=choices, sheet=SHEET)


@pytest.mark.parametrize('typed', ['4.5', '4½', '4,5', ' 4 1/2 ', ''])
def test_a_mark_is_taken_as_people_write_it(typed: str) -> None:
    """Half points in any writing, and Enter for the first choice."""
    assert Decided(4.5) == answer(typed)


@pytest.mark.parametrize('typed', ['7', '4.25', '-1', 'four', '45'])
def test_what_is_no_mark_of_the_sheet_is_asked_again(typed: str) -> None:
    """The answer says which marks there are; nothing is decided."""
    assert Unclear('0 to 6 in half points, or - for nothing marked') == answer(typed)


def test_enter_without_choices_decides_nothing() -> None:
    """Where the reader has no idea, Enter is asked again."""
    assert isinstance(answer('', choices=()), Unclear)


@pytest.mark.parametrize(
    ('typed', 'meant'),
    [('-', Decided(None)), ('s', Wish('skip')), ('B', Wish('back')), ('w', Wish('whole')),
     ('q', Wish('quit'))],
)  # fmt: skip
def test_letters_are_wishes(typed: str, meant: object) -> None:
    """Nothing marked, skip, back, the whole pour, quit."""
    assert meant == answer(typed)


@pytest.mark.parametrize(
    ('typed', 'meant'), [('y', Decided(1.0)), ('N', Decided(0.0)), ('', Decided(1.0))]
)
@pytest.mark.parametrize('field', ['term', 'family', 'fault', 'band'])
def test_a_box_is_ticked_or_not(field: str, typed: str, meant: object) -> None:
    """Yes, no, or Enter for the likelier of the two."""
    assert meant == answer(typed, field, (1.0, 0.0))


@pytest.mark.parametrize(('field', 'typed'), [('code', '048'), ('seat', '12')])
def test_what_is_written_by_hand_is_taken_as_typed(field: str, typed: str) -> None:
    """Codes keep their leading zeros."""
    assert Decided(typed) == answer(typed, field, ())


def test_choices_are_said_as_people_do() -> None:
    """Halves as ½, boxes in words, codes as they are."""
    said = [(4.5, 'aroma'), (0.0, 'fault'), (1.0, 'term'), ('048', 'code'), (None, 'aroma')]
    assert ['4½', 'not ticked', 'ticked', '048', 'nothing marked'] == [
        say_choice(value, field) for value, field in said
    ]


@given(st.text(), st.sampled_from([*SHEET.categories_by_key, 'term', 'total', 'code']))
def test_whatever_is_typed_is_understood_or_asked_again(typed: str, field: str) -> None:
    """No line of text stops the review, and no mark that the sheet lacks is decided."""
    meant = answer(typed, field, ())
    assert isinstance(meant, Decided | Wish | Unclear)
    if isinstance(meant, Decided) and field in SHEET.categories_by_key and meant.value is not None:
        assert meant.value in [step / 2 for step in range(int(SHEET.category(field).top * 2) + 1)]
