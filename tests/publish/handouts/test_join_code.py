"""Table codes and the square patterns on the cards."""

from __future__ import annotations

import hashlib
from contextlib import closing

import pypdfium2
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from tests.publish.handouts.sample import KIND, planned, printed, tasting, whole

from halfpoint.publish.handouts import join_code
from halfpoint.publish.handouts.join_code import ALPHABET, LONGEST_PART, join_codes
from halfpoint.tasting.model import Site

TABLES = st.lists(st.tuples(st.text(max_size=20), st.integers(1, 99)), max_size=30, unique=True)


def read(pdf: bytes) -> list[str]:
    """What a decoder of its own (zxing-cpp) reads off the pages at 150 dots to the inch."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        pictures = [page.render(scale=150 / 72, grayscale=True).to_numpy() for page in document]
    return [found.text for picture in pictures for found in zxingcpp.read_barcodes(picture)]


@pytest.mark.parametrize('paper', ['a4', 'us-letter'])
def test_cards_scan(paper: str) -> None:
    """Every card of a site of three tables scans, and says tasting, site, table and code."""
    evening = planned(tasting(seats=20))[1][0]
    codes = [join.code for join in evening.joins.values()]
    expected = [f'halfpoint:autumn:north:{n}:{code}' for n, code in enumerate(codes, start=1)]
    assert expected == sorted(read(printed(KIND['table-cards'], evening, paper)))


def test_hostile_keys_scan() -> None:
    """Colons, letters of every kind and 200 letters in a key neither break nor blur a pattern."""
    sites = [Site(key='a:b/é 東', name="One"), Site(key='k' * 200, name="Two")]
    first, second = planned(tasting(seats=2, sites=sites))[1]
    code, other = first.joins[1].code, second.joins[1].code
    assert [f'halfpoint:autumn:a%3Ab%2F%C3%A9%20%E6%9D%B1:1:{code}'] == read(
        printed(KIND['table-cards'], first)
    )
    assert [f'halfpoint:autumn::1:{other}'] == read(printed(KIND['table-cards'], second))


def test_the_code_is_also_in_letters() -> None:
    """A card has its code in two groups of three."""
    evening = planned(tasting(seats=4))[1][0]
    code = evening.joins[1].code
    assert f'{code[:3]} {code[3:]}' in whole(printed(KIND['table-cards'], evening))


def test_the_code_is_derived_as_documented() -> None:
    """Six digits to the base 22 of a SHA-256 hash (FIPS 180-4, by Python's hashlib)."""
    number = int(hashlib.sha256(b'autumn\nnorth\n2').hexdigest(), 16)
    expected = ''.join(ALPHABET[number // 22**place % 22] for place in range(6))
    assert expected == join_codes('autumn', [('north', 2)])['north', 2].code


@given(st.text(max_size=20), TABLES)
def test_codes_are_distinct_and_readable(key: str, tables: list[tuple[str, int]]) -> None:
    """Each table has a code of its own, of six letters that are not mistaken for each other."""
    made = join_codes(key, tables)
    codes = [join.code for join in made.values()]
    assert len(tables) == len(set(codes))
    assert all(len(code) == 6 and set(code) <= set(ALPHABET) for code in codes)
    assert not set('AEIOU0125S8BZL') & set(ALPHABET)
    assert all(len(join.payload) <= 2 * LONGEST_PART + 24 for join in made.values())


def test_other_tables_do_not_change_a_code() -> None:
    """A table keeps its code when sites are added or left out."""
    few = join_codes('autumn', [('north', 1)])
    many = join_codes('autumn', [('east', 1), ('north', 1), ('north', 2)])
    assert few['north', 1] == many['north', 1]


def test_tables_that_come_to_the_same_code_are_parted(monkeypatch: pytest.MonkeyPatch) -> None:
    """With codes of one letter there are 22; 22 tables have them all."""
    monkeypatch.setattr(join_code, 'LENGTH', 1)
    made = join_codes('autumn', [('north', table) for table in range(22)])
    assert set(ALPHABET) == {join.code for join in made.values()}
