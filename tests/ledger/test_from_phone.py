"""What phones send: each version once, whatever the order, and nobody overwritten."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfpoint.collect.phone.filled import Desk, Filled, Seat
from halfpoint.collect.table.poured import PlannedPour, Poured
from halfpoint.ledger.changes import correct
from halfpoint.ledger.from_phone import Answer, sheet_arrived, take_sheets
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import Confirmed, Corrected, EntryRecorded, RowHeld
from halfpoint.ledger.replay import State, replay
from halfpoint.sheet.entry import Complaint
from halfpoint.sheet.load import load_sheet
from halfpoint.tasting.model import Site, Tasting, Wine

SHEET = load_sheet('twenty-point')
TASTING = Tasting(
    key='spring',
    title="Spring (invented)",
    invented=True,
    sheet=SHEET,
    wines=(Wine(key='w1', name="Wine one"), Wine(key='w2', name="Wine two")),
    sites=(Site(key='north', name="North Room"),),
    ledger=Path('tasting.ledger'),
    source=Path('tasting.toml'),
)
POURED = Poured.by_plan(
    PlannedPour('north', None, position, code, wine, False, seat)
    for seat in (1, 2)
    for position, (code, wine) in enumerate((('412', 'w1'), ('735', 'w2')), 1)
)
DESK = Desk(TASTING, POURED)
SEAT = Seat('north', 'north-seat-1')


def filled(version: int = 1, aroma: float = 4.5, code: str = '412', **others: object) -> Filled:
    marks = {'appearance': 3.0, 'aroma': aroma, 'taste': 4.0, 'aftertaste': 2.0, 'overall': 1.5}
    return replace(Filled(f'id-{code}', version, code, marks), **others)


class Room:
    """A record, and a way of sending to it that keeps the state up."""

    def __init__(self, folder: Path) -> None:
        self.ledger = Ledger.open(folder / 'tasting.ledger', tasting_key='spring')
        self.state = replay(self.ledger.records())

    def send(
        self, *sheets: Filled, device: str = 'a', seat: Seat = SEAT, desk: Desk = DESK
    ) -> tuple[Answer, ...]:
        arrived = [
            sheet_arrived(sheet, seat, desk, device=device, source=f"phone of {seat.taster}")
            for sheet in sheets
        ]
        return take_sheets(self.ledger, arrived, who=seat.taster, state=self.state)

    def kinds(self) -> list[str]:
        return [record.kind for record in self.ledger.records()][1:]


@pytest.fixture
def room(tmp_path: Path) -> Iterable[Room]:
    made = Room(tmp_path)
    yield made
    made.ledger.close()


def test_a_sheet_sent_ten_times_is_one_entry(room: Room) -> None:
    """The same version adds nothing, however often it comes."""
    answers = [room.send(filled())[0].state for _ in range(10)]
    assert ['kept', *['already'] * 9] == answers
    assert ['entry'] == room.kinds()


def test_a_newer_version_is_a_correction(room: Room) -> None:
    """A change on the phone corrects the entry, and what it said before stays in the record."""
    room.send(filled())
    (answer,) = room.send(filled(2, aroma=5.0))
    assert Answer('kept', 2) == answer
    (entry,) = room.state.entries.values()
    assert [4.5, 5.0] == [version.marks['aroma'] for version in entry.versions]
    correction = list(room.ledger.records())[-1].content
    assert isinstance(correction, Corrected)
    assert "changed by the taster" == correction.why


def test_an_older_version_after_a_newer_changes_nothing(room: Room) -> None:
    """Versions may overtake each other on the way; the newest stands."""
    room.send(filled(2, aroma=5.0))
    (answer,) = room.send(filled(1))
    assert Answer('already', 2) == answer
    assert ['entry'] == room.kinds()


def test_another_phone_that_says_otherwise_is_held(room: Room) -> None:
    """Two phones at one seat that differ are a conflict for the organiser; the first stands."""
    room.send(filled())
    (answer,) = room.send(filled(aroma=2.0), device='b')
    assert 'conflict' == answer.state
    assert 2 == answer.entry
    assert "aroma" == answer.problems[0].field
    (row,) = room.state.waiting().values()
    assert 2 == row.conflicts
    assert '2' == row.original['aroma']
    assert '' == row.original['wine']
    assert 4.5 == room.state.entries[2].now.marks['aroma']


def test_another_phone_that_says_the_same_is_no_conflict(room: Room) -> None:
    """The second phone is heard and remembered, so that a later difference is seen."""
    room.send(filled())
    assert Answer('kept', 2) == room.send(filled(), device='b')[0]
    assert ['entry', 'confirmed'] == room.kinds()
    room.send(filled(2, aroma=5.0))
    (row,) = room.state.waiting().values()
    assert '4.5' == row.original['aroma']


def test_phones_that_come_to_agree_are_a_conflict_no_longer(room: Room) -> None:
    """When the first phone says what the second said, nothing waits."""
    room.send(filled())
    room.send(filled(aroma=2.0), device='b')
    room.send(filled(2, aroma=2.0))
    assert {} == room.state.waiting()


def test_the_organiser_is_not_overwritten(room: Room) -> None:
    """A newer version from the phone, after a person corrected the entry, is held."""
    room.send(filled())
    correct(room.ledger, SHEET, 2, {'aroma': 5.5}, who="Mira", why="misread")
    (answer,) = room.send(filled(2, aroma=3.0))
    assert 'conflict' == answer.state
    assert 5.5 == room.state.entries[2].now.marks['aroma']
    assert [2] == [row.conflicts for row in room.state.waiting().values()]
    assert 'kept' == room.send(filled(3, aroma=5.5))[0].state
    assert {} == room.state.waiting()


def test_an_entry_from_elsewhere_is_not_overwritten(room: Room) -> None:
    """What a table or paper said of the pour stands; a phone that differs is held."""
    before = sheet_arrived(filled(), SEAT, DESK, device='x', source='').checked.entry
    assert before is not None
    room.ledger.append([EntryRecorded(before, 'south.csv', 2)], who="organiser")
    assert 'kept' == room.send(filled())[0].state
    assert 'conflict' == room.send(filled(2, aroma=2.0))[0].state


def test_what_cannot_be_accepted_is_held_as_it_was_sent(room: Room) -> None:
    """A mark off the step waits with its reason; mended on the phone it waits no longer."""
    (answer,) = room.send(filled(aroma=4.3))
    problem = Complaint('aroma', "4.3", "0 to 6 in half points")
    assert Answer('held', None, (problem,)) == answer
    assert (answer,) == room.send(filled(aroma=4.3))
    (row,) = room.state.waiting().values()
    assert '4.3' == row.original['aroma']
    assert 'kept' == room.send(filled(2))[0].state
    assert {} == room.state.waiting()
    assert ['held', 'entry', 'settled'] == room.kinds()


def test_a_version_that_cannot_be_accepted_leaves_the_entry(room: Room) -> None:
    """The entry stays as it was until a version comes that can be accepted."""
    room.send(filled())
    assert Answer('held', 2) == replace(room.send(filled(2, aroma=9.0))[0], problems=())
    assert 4.5 == room.state.entries[2].now.marks['aroma']
    assert 'already' == room.send(filled(1))[0].state


def test_before_opening_nothing_is_lost(room: Room) -> None:
    """A sheet that comes too early is held, and its next version is taken when it is time."""
    early = replace(DESK, closed=Complaint('sent', "a sheet from before", "later"))
    assert 'held' == room.send(filled(), desk=early)[0].state
    assert 'held' == room.send(filled())[0].state
    assert 'kept' == room.send(filled(2))[0].state
    assert {} == room.state.waiting()


def test_two_windows_with_one_version_lose_nothing(room: Room) -> None:
    """The same version saying two things is held until a newer one decides."""
    room.send(filled())
    assert 'conflict' == room.send(filled(aroma=1.0))[0].state
    assert 'conflict' == room.send(filled(aroma=1.0))[0].state
    assert 1 == len(room.state.waiting())
    assert 'kept' == room.send(filled(2, aroma=1.0))[0].state
    assert {} == room.state.waiting()


def test_one_name_for_two_pours_is_held(room: Room) -> None:
    """A phone that uses one id for two pours is not taken to correct the first."""
    room.send(filled())
    (answer,) = room.send(filled(2, code='735', id='id-412'))
    assert 'conflict' == answer.state
    assert 'code' == answer.problems[0].field
    (row,) = room.state.waiting().values()
    assert not {'w1', 'w2'} & set(
        ' '.join((row.found, row.expected, *row.original.values())).split()
    )


def test_one_device_at_two_seats_is_two_phones(room: Room) -> None:
    """What a device sends for another seat never touches the first seat's entry."""
    room.send(filled())
    other = Seat('north', 'north-seat-2')
    assert Answer('kept', 3) == room.send(filled(2, aroma=1.0), seat=other)[0]
    assert 4.5 == room.state.entries[2].now.marks['aroma']


def test_the_device_cannot_be_told_from_the_record(room: Room) -> None:
    """The record has a short digest in place of what the device calls itself."""
    room.send(filled(), device='3f2b8c1e-aaaa')
    assert not any('3f2b8c1e' in record.body for record in room.ledger.records())


# --- whatever the order -------------------------------------------------------------

MARKS = (1.0, 2.0, 9.0, 4.3)
"""Two that can be accepted and two that cannot."""
Sending = tuple[str, int]
PHONES = st.fixed_dictionaries(
    {
        'a': st.lists(st.sampled_from(MARKS), min_size=1, max_size=4),
        'b': st.lists(st.sampled_from(MARKS), max_size=4),
    }
)


@st.composite
def _deliveries(draw: st.DrawFn) -> tuple[dict[str, list[float]], list[Sending]]:
    """What two phones say, version by version, and an order in which all of it arrives."""
    said = draw(PHONES)
    each = [(device, v) for device, marks in said.items() for v in range(1, len(marks) + 1)]
    again = draw(st.lists(st.sampled_from(each), max_size=6))
    return said, draw(st.permutations([*each, *again]))


def _expected(said: dict[str, list[float]]) -> tuple[set[float], list[float]]:
    """The newest that can be accepted of each phone, and newer ones that cannot."""
    stands, waits = set(), []
    for marks in said.values():
        good = [v for v, mark in enumerate(marks) if mark in (1.0, 2.0)]
        stands |= {marks[good[-1]]} if good else set()
        last = len(marks) - 1
        if marks and (not good or good[-1] < last):
            waits.append(marks[last])
    return stands, sorted(waits)


def _found(state: State) -> tuple[set[float], list[float]]:
    stands = {entry.now.marks['aroma'] for entry in state.entries.values()}
    rows = state.waiting().values()
    contradicting = [float(r.original['aroma']) for r in rows if r.conflicts is not None]
    assert len(contradicting) == len(set(contradicting) - stands)
    waits = [float(r.original['aroma']) for r in rows if r.conflicts is None]
    return stands | set(contradicting), sorted(waits)


@settings(max_examples=60, deadline=None)
@given(_deliveries())
def test_any_order_of_two_phones_ends_alike(
    delivery: tuple[dict[str, list[float]], list[Sending]],
) -> None:
    """Resent, reordered and doubled, what two phones say ends in the same state, all of it kept."""
    said, order = delivery
    with tempfile.TemporaryDirectory() as folder:
        room = Room(Path(folder))
        for device, version in order:
            room.send(filled(version, aroma=said[device][version - 1]), device=device)
        assert _expected(said) == _found(room.state)
        assert len(room.state.entries) <= 1
        before = room.kinds()
        for device, version in order:
            (answer,) = room.send(filled(version, aroma=said[device][version - 1]), device=device)
            assert 'kept' != answer.state
        assert before == room.kinds()
        afresh = replay(room.ledger.records())
        assert _found(room.state) == _found(afresh)
        assert room.state.senders.get(('', '')) == afresh.senders.get(('', ''))
        assert room.ledger.verify().holds
        room.ledger.close()


def test_old_records_read_as_before(room: Room) -> None:
    """What was recorded before there were phones has nothing of them."""
    entry = sheet_arrived(filled(), SEAT, DESK, device='x', source='').checked.entry
    assert entry is not None
    room.ledger.append(
        [EntryRecorded(entry, 'south.csv', 2), RowHeld('south.csv', 3, 'aroma', '9', '0 to 6')],
        who="organiser",
    )
    bodies: Sequence[str] = [record.body for record in room.ledger.records()][1:]
    assert not any('sent' in body or 'own_words' in body for body in bodies)
    assert [None, None] == [record.content.sent for record in room.ledger.records(after=1)]
    assert 'confirmed' == Confirmed.kind
