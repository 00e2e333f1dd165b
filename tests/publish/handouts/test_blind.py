"""What a paper for tasters, stewards and hosts gives away: nothing."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.publish.handouts.sample import BLIND, KIND, planned, printed, renamed, tasting, whole

from halfpoint.publish.handouts.evening import evenings_of
from halfpoint.publish.handouts.kinds import Kind
from halfpoint.tasting.model import Wine

TASTING = tasting(wines=5, seats=9, second_pours=1)
PLAN, EVENINGS = planned(TASTING)
WORDS = st.text(st.characters(exclude_categories=['C', 'Z']), min_size=1, max_size=60)


@pytest.mark.parametrize('kind', BLIND, ids=lambda kind: kind.name)
def test_no_wine_is_named(kind: Kind) -> None:
    """No name, key, grape, vintage or price of any wine stands on a blind paper."""
    text = whole(printed(kind, EVENINGS[0])).lower()
    assert 100 < len(text)
    for word in ('zq', '1987', '4321', '4,321', '432'):
        assert word not in text.replace('-', '')


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(WORDS, WORDS, st.floats(0, 9999), st.integers(1800, 2200)),
                min_size=5, max_size=5))  # fmt: skip
def test_blind_papers_do_not_depend_on_the_wines(
    told: list[tuple[str, str, float, int]],
) -> None:
    """Other names, keys, grapes, prices and vintages give the same blind papers to the letter."""
    wines = [
        Wine(key=f'{place}{name}', name=name.strip(), grape=grape, price=price, vintage=vintage)
        for place, (name, grape, price, vintage) in enumerate(told)
    ]
    others = evenings_of(*renamed(TASTING, PLAN, wines))
    for kind in BLIND:
        expected = [kind.compose(evening) for evening in EVENINGS]
        assert expected == [kind.compose(evening) for evening in others]


@pytest.mark.parametrize('name', ['pour-sheet', 'bag-tags', 'table-cards', 'run-sheet', 'bag-list'])
def test_codes_stand_on_seat_labels_alone(name: str) -> None:
    """No paper joins a bag or a table to a blind code."""
    text = whole(printed(KIND[name], EVENINGS[0]))
    assert not any(pour.code in text.split() for pour in EVENINGS[0].pours)


def test_seat_labels_have_no_bags() -> None:
    """A label has the seat and its codes; no bag letter is in its data."""
    labels = KIND['seat-labels'].compose(EVENINGS[0])['labels']
    codes = {code['code'] for label in labels for f in label['flights'] for code in f['codes']}
    assert {pour.code for pour in EVENINGS[0].pours} == codes
    assert {'seat', 'table', 'taster', 'across', 'flights'} == set(labels[0])


def test_two_bags_of_one_wine_look_like_any_other() -> None:
    """On tags and bag list nothing joins the two bags of a wine that is poured twice."""
    twins = [bag for bag in EVENINGS[0].bags if bag.twin]
    assert 2 == len(twins)
    rows = KIND['bag-list'].compose(EVENINGS[0])['list']['rows']
    assert 1 == len({tuple(row[2:]) for row in rows})
    assert 'shared' not in whole(printed(KIND['bag-list'], EVENINGS[0]))
