"""Which column is what."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.collect.table.columns import Request
from halfpoint.collect.table.shape import Layout, find_layout
from halfpoint.collect.table.words import CATEGORY_WORDS, ROLE_WORDS, plain
from halfpoint.errors import ColumnsNotFound, UsageError
from halfpoint.sheet.form import Sheet

CATEGORIES = ['appearance', 'aroma', 'taste', 'aftertaste', 'overall']


def _layout(columns: Sequence[str], sheet: Sheet | None = None, mark: str | None = None, **told):
    frame = pl.DataFrame({column: ['1'] for column in columns})
    return find_layout(frame, Request(sheet, mark, **told), None, 'marks.csv')


def _roles(layout: Layout) -> dict[str, str]:
    return dict(layout.roles)


def test_plain_names_lose_case_accents_and_signs() -> None:
    """Names are compared without case, accents and punctuation."""
    assert 'degustateur no' == plain('  Dégustateur (No.)')
    assert 'groesse' != plain('Größe')
    assert 'w1 aroma' == plain('W1_Aroma')


@pytest.mark.parametrize('word', [w for w in ROLE_WORDS['taster'] if w != 'name'])
def test_words_for_a_taster(word: str) -> None:
    """Any of the words for a taster heads the tasters' column."""
    roles = _roles(_layout([word.upper(), 'wine', 'name', 'mark'], mark='mark'))
    assert word.upper() == roles['taster']


@pytest.mark.parametrize('word', ROLE_WORDS['wine'])
def test_words_for_a_wine(word: str) -> None:
    """Any of the words for a wine heads the wines' column."""
    assert f'{word} No.' == _roles(_layout(['taster', f'{word} No.', 'mark'], mark='mark'))['wine']


@pytest.mark.parametrize(
    ('key', 'word'), [(key, word) for key, words in CATEGORY_WORDS.items() for word in words]
)
def test_words_for_a_category(twenty: Sheet, key: str, word: str) -> None:
    """Common words in several languages head a category's column."""
    columns = [word if category == key else category for category in CATEGORIES]
    assert word == _roles(_layout(['taster', 'wine', *columns], twenty))[key]


@given(st.permutations(['taster', 'wine', 'site', 'position', 'remark', *CATEGORIES]))
def test_order_of_columns_is_of_no_account(twenty: Sheet, columns: list[str]) -> None:
    """However the columns are ordered, each is taken for what it is called."""
    assert {column: column for column in columns} == _roles(_layout(columns, twenty))


@given(st.lists(st.text(min_size=1, max_size=15), min_size=2, max_size=12, unique=True))
def test_no_column_has_two_roles(twenty: Sheet, columns: list[str]) -> None:
    """Whatever the names, no column is taken for two things, or the table is refused."""
    try:
        roles = _roles(_layout([*columns, 'taster', 'wine', *CATEGORIES], twenty))
    except (ColumnsNotFound, pl.exceptions.DuplicateError):
        return
    assert len(set(roles.values())) == len(roles)
    assert ('taster', 'wine') == (roles['taster'], roles['wine'])


@pytest.mark.parametrize(
    ('written', 'role'), [('tastr', 'taster'), ('panellst', 'taster'), ('prodcut', 'wine')]
)
def test_a_near_miss_is_taken_and_said(written: str, role: str) -> None:
    """A slip of the keyboard is understood, and the account says so."""
    other = 'wine' if role == 'taster' else 'taster'
    layout = _layout([written, other, 'mark'], mark='mark')

    assert written == layout.roles[role]
    assert f"a near miss of '{role}'" == next(u.how for u in layout.account if u.role == role)


def test_taste_is_never_the_taster() -> None:
    """A column of marks for taste is one letter from 'taster' and still not taken for one."""
    with pytest.raises(ColumnsNotFound) as refusal:
        _layout(['taste', 'wine', 'mark'], mark='mark')

    assert "no column for the taster" == refusal.value.found
    assert "--map taster=" in refusal.value.remedy


def test_two_columns_for_a_taster_are_refused() -> None:
    """When two columns fit as well, the refusal names them and the way to choose."""
    with pytest.raises(ColumnsNotFound) as refusal:
        _layout(['judge', 'rater', 'wine', 'mark'], mark='mark')

    assert "'judge', 'rater'" in refusal.value.found
    assert "say which with --map taster='judge'" == refusal.value.remedy


def test_a_map_settles_it_either_way_round() -> None:
    """`role=column` and `column=role` both say what a column is."""
    for mapping in ({'taster': 'rater'}, {'rater': 'taster'}):
        layout = _layout(['judge', 'rater', 'wine', 'mark'], mark='mark', mapping=mapping)
        assert 'rater' == layout.roles['taster']
        assert ("column 'judge' not used",) == layout.notes


def test_a_map_to_nothing_leaves_a_role_out() -> None:
    """`--map site=` says that the column that looks like a site is none."""
    layout = _layout(['taster', 'wine', 'room', 'mark'], mark='mark', mapping={'site': ''})
    assert 'site' not in layout.roles


def test_a_map_is_checked(twenty: Sheet) -> None:
    """A role nobody knows, a column not there, and a column used twice are refused."""
    columns = ['taster', 'wine', *CATEGORIES]
    with pytest.raises(UsageError, match="is no role"):
        _layout(columns, twenty, mapping={'colour': 'hue'})
    with pytest.raises(ColumnsNotFound, match="no column 'who'"):
        _layout(columns, twenty, mapping={'taster': 'who'})
    with pytest.raises(UsageError, match="two roles"):
        _layout(columns, twenty, mapping={'taster': 'wine', 'site': 'wine'})


def test_without_sheet_or_mark_the_mark_is_asked_for() -> None:
    """A table with no score sheet needs to be told which column holds the mark."""
    with pytest.raises(ColumnsNotFound) as refusal:
        _layout(['taster', 'wine', 'liking'])

    assert "--mark COLUMN" in refusal.value.remedy


def test_missing_categories_are_listed(twenty: Sheet) -> None:
    """A sheet whose categories are not all there says which are missing, and of --mark."""
    with pytest.raises(ColumnsNotFound) as refusal:
        _layout(['taster', 'wine', 'aroma', 'taste', 'overall'], twenty)

    assert "no column for appearance, aftertaste" == refusal.value.found
    assert "--mark COLUMN" in refusal.value.remedy


def test_place_is_a_position_only_when_it_counts() -> None:
    """'place' with numbers is a place in the order, with words a site."""
    frame = pl.DataFrame({'taster': ['a'], 'wine': ['w'], 'mark': ['1'], 'place': ['Mill Hall']})
    request = Request(None, 'mark')

    assert 'place' == find_layout(frame, request, None, 'x').roles['site']
    counted = frame.with_columns(place=pl.lit('3'))
    assert 'place' == find_layout(counted, request, None, 'x').roles['position']


def test_a_code_stands_in_for_a_wine() -> None:
    """With blind codes and no wines, the code is what is judged, and the account says so."""
    layout = _layout(['taster', 'code', 'mark'], mark='mark')

    assert 'code' == layout.roles['wine']
    assert "for want of a wine column" in next(u.how for u in layout.account if u.role == 'wine')


def test_an_unknown_covariate_is_refused() -> None:
    """A covariate that is no column is refused with the columns there are."""
    with pytest.raises(ColumnsNotFound, match="no column 'price'"):
        _layout(['taster', 'wine', 'mark'], mark='mark', covariates=['price'])
