"""A filled sheet held against plan and score sheet: an entry, or all that is against it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.collect.phone.filled import (
    Checked,
    Desk,
    Filled,
    Seat,
    as_row,
    check_filled,
    device_name,
)
from halfpoint.collect.phone.text import as_text, is_text
from halfpoint.collect.phone.when import phase_of, too_early_or_late
from halfpoint.collect.table.poured import PlannedPour, Poured
from halfpoint.sheet.entry import Complaint, Entry
from halfpoint.sheet.load import load_sheet
from halfpoint.sheet.validity import MarkFault, mark_fault
from halfpoint.tasting.model import Site, Tasting, Wine

SHEET = load_sheet('twenty-point')
TASTING = Tasting(
    key='spring',
    title="Spring (invented)",
    invented=True,
    opens=date(2026, 3, 6),
    closes=date(2026, 3, 22),
    sheet=SHEET,
    wines=(Wine(key='w1', name="Wine one"), Wine(key='w2', name="Wine two")),
    sites=(Site(key='north', name="North Room"),),
    ledger=Path('tasting.ledger'),
    source=Path('tasting.toml'),
)
POURED = Poured.by_plan(
    [
        PlannedPour('north', None, 1, '412', 'w1', False, 1),
        PlannedPour('north', None, 2, '735', 'w2', False, 1),
        PlannedPour('north', None, 3, '518', 'w1', True, 1),
        PlannedPour('north', None, 1, '735', 'w2', False, 2),
        PlannedPour('south', None, 1, '999', 'w2', False, 1),
    ]
)
DESK = Desk(TASTING, POURED)
SEAT = Seat('north', 'north-seat-1')
MARKS = {'appearance': 3.0, 'aroma': 4.5, 'taste': 4.0, 'aftertaste': 2.0, 'overall': 1.5}
FILLED = Filled('an-id', 1, '412', MARKS)


def entry_of(filled: Filled, seat: Seat = SEAT) -> Entry:
    checked = check_filled(filled, seat, DESK)
    assert checked.complaints == ()
    assert checked.entry is not None
    return checked.entry


def test_a_filled_sheet_is_an_entry() -> None:
    """Wine, pour and position come from the plan, by the code; the total is the sum."""
    entry = entry_of(FILLED)
    told = (entry.taster, entry.site, entry.wine, entry.pour, entry.position, entry.code)
    assert ('north-seat-1', 'north', 'w1', '1', 1, '412') == told
    assert 15.0 == entry.total


def test_own_words_stay_words() -> None:
    """What the sheet has is a term, the rest is kept as written, each once."""
    entry = entry_of(
        replace(
            FILLED, terms=('lemon', 'moon-dust'), own_words=("Wet  slate", "LEMON", "wet slate")
        )
    )
    assert ('lemon',) == entry.terms
    assert ('moon-dust', 'Wet slate') == entry.own_words


def test_a_seat_that_was_added_is_poured_as_another() -> None:
    """It has the codes of its site, and the positions of the seat whose order it has."""
    entry = entry_of(replace(FILLED, code='518'), Seat('north', 'north-seat-9', 'north-seat-1'))
    assert ('north-seat-9', 3, '2') == (entry.taster, entry.position, entry.pour)


@pytest.mark.parametrize(
    ('filled', 'seat', 'found', 'expected'),
    [
        (replace(FILLED, code='413'), SEAT, "'413'", "a code poured at this seat; likely 412"),
        (replace(FILLED, code='999'), SEAT, "'999'", "a code poured at this seat"),
        (replace(FILLED, code=''), SEAT, "nothing", "a code poured at this seat"),
        (FILLED, Seat('north', 'north-seat-2'), "'412'", "a code poured at this seat; likely 412"),
    ],
)
def test_a_code_not_poured_here_is_told(
    filled: Filled, seat: Seat, found: str, expected: str
) -> None:
    """A code of another seat or site is none of this one, and no wine is named."""
    assert (Complaint('code', found, expected),) == check_filled(filled, seat, DESK).complaints


def test_all_that_is_wrong_is_told_at_once() -> None:
    """Every complaint, not only the first."""
    filled = replace(
        FILLED, code='1', marks={**MARKS, 'aroma': 4.3, 'taste': None}, faults=('ghost',),
        finish_seconds=-1.0, remark='x' * 10_001, own_words=('y' * 61,),
    )  # fmt: skip
    fields = [complaint.field for complaint in check_filled(filled, SEAT, DESK).complaints]
    assert ['code', 'remark', 'aroma', 'taste', 'faults', 'own_words', 'finish_seconds'] == fields


def test_what_is_too_early_is_an_entry_all_the_same() -> None:
    """Only the day is against it, so that it is known again when it is sent again."""
    closed = Complaint('sent', "too early", "later")
    checked = check_filled(FILLED, SEAT, replace(DESK, closed=closed))
    assert Checked(entry_of(FILLED), (closed,)) == checked


@pytest.mark.parametrize(
    ('day', 'phase'),
    [(5, 'before'), (6, 'open'), (22, 'open'), (23, 'closed')],
)
def test_the_days_of_a_tasting_are_whole_days(day: int, phase: str) -> None:
    """The first and the last day belong to it, by the clock that is given."""
    assert phase == phase_of(TASTING, datetime(2026, 3, day, 23, 59, tzinfo=UTC), revealed=False)


def test_after_the_reveal_nothing_is_taken() -> None:
    """Whatever the day."""
    phase = phase_of(TASTING, datetime(2026, 3, 10, tzinfo=UTC), revealed=True)
    assert 'revealed' == phase
    assert too_early_or_late(TASTING, phase) is not None


def test_the_days_are_said_in_words() -> None:
    """A sheet too late is told until when it was time, and by whose clock."""
    late = too_early_or_late(TASTING, 'closed')
    assert late is not None
    expected = "sheets from 6 March 2026 until 22 March 2026, by the server's clock"
    assert expected == late.expected
    assert too_early_or_late(TASTING, 'open') is None


def test_a_device_is_another_at_another_seat() -> None:
    """Its short name says nothing of what it calls itself, and differs from seat to seat."""
    names = {device_name('3f2b8c1e', seat) for seat in (SEAT, Seat('north', 'north-seat-2'))}
    assert 2 == len(names)
    assert not any('3f2b' in name for name in names)


TEXT = st.text(st.characters(codec=None, exclude_categories=()), max_size=30)
MARK = st.one_of(st.none(), st.floats(), st.sampled_from([0.0, 0.5, 1.5, 3.0]))


@given(
    st.builds(
        Filled,
        id=TEXT,
        version=st.integers(1, 5),
        code=st.one_of(st.sampled_from(['412', '735', '518']), TEXT),
        marks=st.one_of(
            st.dictionaries(st.one_of(st.sampled_from(list(MARKS)), TEXT), MARK, max_size=6),
            st.fixed_dictionaries(dict.fromkeys(MARKS, MARK)),
        ),
        terms=st.lists(st.one_of(st.sampled_from(['lemon', 'vanilla']), TEXT)).map(tuple),
        own_words=st.lists(TEXT).map(tuple),
        families=st.lists(TEXT).map(tuple),
        faults=st.lists(st.one_of(st.sampled_from(['corked']), TEXT)).map(tuple),
        finish_seconds=MARK,
        remark=TEXT,
        complete=st.booleans(),
    )
)
def test_whatever_comes_is_an_entry_or_told_why_not(filled: Filled) -> None:
    """Never an error; an entry has only marks that the sheet allows, and a row can be written."""
    checked = check_filled(filled, SEAT, DESK)
    if checked.complaints:
        assert all(each.field and each.found and each.expected for each in checked.complaints)
    else:
        assert checked.entry is not None
        faults = [mark_fault(checked.entry.marks[c.key], c) for c in SHEET.categories]
        assert {MarkFault.NONE} == set(faults)
        assert is_text(checked.entry.remark)
    row = as_row(filled, SEAT, DESK)
    assert filled.code == row['code'] or as_text(filled.code) == row['code']
    '\n'.join(row.values()).encode('utf-8')
