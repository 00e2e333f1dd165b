"""The steward's pour sheets against the plan."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.publish.handouts.sample import KIND, pages, planned, printed, tasting

from halfpoint.publish.handouts.evening import Evening
from halfpoint.publish.handouts.pour_sheet import LEAST_ROW, SEATS_ACROSS, pour_sheet
from halfpoint.publish.handouts.wording import ordinal


def told(evening: Evening) -> Counter[tuple[int, str, str, str]]:
    """Table, seat, place and bag of every cell of the sheets."""
    cells: Counter[tuple[int, str, str, str]] = Counter()
    tables = pour_sheet(evening)['tables']
    for number, sheet in zip((table.number for table in evening.tables), tables, strict=True):
        for grid in sheet['grids']:
            for line in grid['lines']:
                if line['kind'] == 'round':
                    for seat, bag in zip(grid['seats'], line['bags'], strict=True):
                        cells[number, seat, line['place'], bag] += 1
    return cells


@settings(max_examples=40, deadline=None)
@given(
    wines=st.integers(2, 15),
    seats=st.integers(1, 40),
    flight=st.integers(2, 9),
    table_seats=st.integers(1, 30),
    twice=st.integers(0, 2),
    orders=st.sampled_from(['taster', 'table', 'site']),
)
def test_every_pour_stands_once(
    wines: int, seats: int, flight: int, table_seats: int, twice: int, orders: str
) -> None:
    """Each pour of the plan stands exactly once, at its table, seat and place, and none besides."""
    one = tasting(
        wines, seats, flight=flight, table_seats=table_seats, second_pours=twice, orders=orders,
        capacity=60,
    )  # fmt: skip
    for evening in planned(one)[1]:
        expected = Counter(
            (pour.table, str(pour.seat), ordinal(pour.position), pour.bag) for pour in evening.pours
        )
        assert expected == told(evening)


def test_the_page_shows_what_the_data_say() -> None:
    """Read back from the PDF, each line has its time, place and bags from left to right."""
    (evening, _) = planned(tasting(wines=6, seats=5))[1]
    page = next(pages(printed(KIND['pour-sheet'], evening)))
    for round_ in evening.tables[0].rounds:
        bags = ' '.join(round_.bag_at[seat] for seat in range(1, 6))
        assert f'{ordinal(round_.position)} {bags}' in page
    assert '19:00 1st' in page
    assert '19:30 6th' in page


def test_times_count_pours_and_breaks() -> None:
    """Six minutes a pour, and fifteen more after each flight, as the plan's settings say."""
    evening = planned(tasting(wines=6, seats=3, flight=3))[1][0]
    begins = [round_.begins - 19 * 60 for round_ in evening.tables[0].rounds]
    assert [0, 6, 12, 33, 39, 45] == begins


def test_one_order_for_a_table_is_told_shortly() -> None:
    """Where every seat is poured the same, a line is one bag."""
    evening = planned(tasting(wines=4, seats=8, orders='table'))[1][0]
    sheet = pour_sheet(evening)['tables'][0]
    assert sheet['alike']
    assert 'to every seat' in next(pages(printed(KIND['pour-sheet'], evening)))


def grids(**settings: Any) -> list[dict[str, Any]]:
    """The grids of the first table."""
    found: list[dict[str, Any]]
    found = pour_sheet(planned(tasting(**settings))[1][0])['tables'][0]['grids']
    return found


def test_a_flight_stays_on_a_page() -> None:
    """Three flights of six make more than a page; none is cut in two."""
    parts = grids(wines=18, seats=6, flight=6, capacity=60)
    assert 1 < len(parts)
    flights = [line['text'] for part in parts for line in part['lines'] if line['kind'] == 'flight']
    assert ['Flight 1', 'Flight 2', 'Flight 3'] == flights


def test_letters_stay_large() -> None:
    """However many pours and seats, no line is lower than the least, and no grid too wide."""
    for wines, seats in ((2, 1), (15, 40), (30, 12)):
        for part in grids(wines=wines, seats=seats, capacity=60, flight=30, table_seats=40):
            assert LEAST_ROW <= part['row']
            assert len(part['seats']) <= SEATS_ACROSS


@pytest.mark.parametrize(
    ('number', 'said'), [(1, '1st'), (2, '2nd'), (3, '3rd'), (4, '4th'), (11, '11th'),
                         (12, '12th'), (13, '13th'), (21, '21st'), (42, '42nd')]
)  # fmt: skip
def test_places_are_said_as_people_do(number: int, said: str) -> None:
    """The eleventh is no 11st."""
    assert said == ordinal(number)
