"""Files into the record: nothing twice, nothing lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.ledger.sample import DIGEST, SHEET, arrived, held, opened

from halfpoint.errors import DiskFull
from halfpoint.ledger.changes import correct
from halfpoint.ledger.intake import Intake, take_in
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.records import EntryRecorded
from halfpoint.ledger.replay import State, replay


def take(ledger: Ledger, *entries: EntryRecorded, digest: str = DIGEST, **others: Any) -> Intake:
    """Hand in a file with these entries."""
    told = {'file': 'south.csv', 'held': [], 'who': "Mira", **others}
    return take_in(ledger, entries=entries, digest=digest, **told)


def state_of(ledger: Ledger) -> State:
    """How things stand."""
    return replay(ledger.records())


def test_the_same_file_twice_adds_nothing(tmp_path: Path) -> None:
    """The second time everything is already there, held rows too, and the record is unchanged."""
    file = [arrived(), arrived(wine='w2', row=3)]
    with opened(tmp_path) as ledger:
        first = take(ledger, *file, held=[held(4)])
        head = ledger.head
        second = take(ledger, *file, held=[held(4)])
        assert head == ledger.head

    assert Intake(2, 0, (held(4),), ()) == first
    assert Intake(0, 2, (), (held(4),)) == second


def test_the_same_rows_in_a_longer_file_are_there_already(tmp_path: Path) -> None:
    """A sheet sent again with more rows adds only those; what was held stays held once."""
    with opened(tmp_path) as ledger:
        take(ledger, arrived(), held=[held(3)])
        longer = take(ledger, arrived(), arrived(wine='w2'), held=[held(3)], digest='e' * 64)
        state = state_of(ledger)

    assert (1, 1, ()) == (longer.new, longer.already, longer.held)
    assert 1 == len(state.waiting())
    assert {DIGEST, 'e' * 64} == state.digests


def test_another_mark_for_the_same_pour_is_held(tmp_path: Path) -> None:
    """The first stays; the second is held with what differs, from which entry, and what to do."""
    with opened(tmp_path) as ledger:
        take(ledger, arrived())
        intake = take(ledger, arrived(aroma=6.0, row=9), digest='e' * 64)
        (row,) = state_of(ledger).waiting().values()

    assert (row,) == intake.held
    assert ('south.csv', 9, 'aroma', 3) == (row.file, row.row, row.field, row.conflicts)
    assert "6, where entry 3 (south.csv, row 2) already says 4½" == row.found
    assert "halfpoint correct" in row.expected
    assert '6' == row.original['aroma']


@pytest.mark.parametrize(
    ('first', 'second', 'same'),
    [
        ({}, {}, True),
        ({'site': 'north'}, {}, True),
        ({'site': 'north'}, {'site': 'south'}, False),
        ({'code': '482'}, {'code': '482', 'position': 3}, True),
        ({'code': '482'}, {'code': '117'}, False),
        ({'code': '482', 'position': 1}, {'code': '482', 'position': 2}, True),
        ({'position': 1}, {'position': 2}, False),
        ({'position': 1}, {'code': '482'}, True),
        ({'pour': 'a'}, {'pour': 'b'}, False),
        ({'taster': 'ann'}, {'taster': 'bob'}, False),
        ({'wine': 'w1'}, {'wine': 'w2'}, False),
    ],
)
def test_what_makes_two_sheets_one_pour(
    tmp_path: Path, first: dict[str, Any], second: dict[str, Any], same: bool
) -> None:
    """Taster, wine and site; then the code, else pour and position; blanks tell nothing apart."""
    with opened(tmp_path) as ledger:
        intake = take(ledger, arrived(**first), arrived(aroma=6.0, **second))

    assert (1, 1) == (intake.new, len(intake.held)) if same else intake.new == 2


def test_a_corrected_entry_is_known_by_all_it_ever_said(tmp_path: Path) -> None:
    """After a correction, the first file and one with the corrected mark are both there already."""
    with opened(tmp_path) as ledger:
        take(ledger, arrived())
        correct(ledger, SHEET, 3, {'aroma': 5.0}, who="Mira", why="misread")
        again = take(ledger, arrived())
        mended = take(ledger, arrived(aroma=5.0), digest='e' * 64)

    assert (0, 1) == (again.new, again.already)
    assert (0, 1) == (mended.new, mended.already)


def test_a_mended_row_is_held_no_longer(tmp_path: Path) -> None:
    """A held row that comes back mended becomes an entry, and the held record is settled."""
    with opened(tmp_path) as ledger:
        take(ledger, held=[held(3), held(4)])
        back = arrived(taster='bob', row=3)
        intake = take(ledger, back, held=[held(4)], mended=True, digest='e' * 64)
        state = state_of(ledger)

    assert (1, ()) == (intake.new, intake.held)
    assert [4] == [row.row for row in state.waiting().values()]


def test_a_row_mended_to_what_is_there_is_settled(tmp_path: Path) -> None:
    """Mended into what an entry says already, the row is settled without a second entry."""
    with opened(tmp_path) as ledger:
        take(ledger, arrived(row=2), held=[held(3)])
        intake = take(ledger, arrived(row=3), mended=True, digest='e' * 64)
        state = state_of(ledger)

    assert (0, 1) == (intake.new, intake.already)
    assert {} == state.waiting()
    assert 1 == len(state.entries)


def test_pours_of_one_wide_row_are_held_each(tmp_path: Path) -> None:
    """Two pours of one row held for the same field are two held rows, and still two next time."""
    pours = [held(3, original={'W1: aroma': '9'}), held(3, original={'W2: aroma': '9'})]
    with opened(tmp_path) as ledger:
        take(ledger, held=pours)
        assert pours == list(state_of(ledger).waiting().values())
        assert tuple(pours) == take(ledger, held=pours).held_before


def test_pours_of_one_wide_row_are_settled_together(tmp_path: Path) -> None:
    """Two held pours of one row wait until both came back: neither is lost for the other."""
    pours = [held(3, original={'W1: aroma': '9'}), held(3, original={'W2: aroma': '8'})]
    with opened(tmp_path) as ledger:
        take(ledger, held=pours)
        take(ledger, arrived(wine='w1', row=3), held=pours[1:], mended=True, digest='e' * 64)
        assert [pours[1]] == list(state_of(ledger).waiting().values())
        take(ledger, arrived(wine='w2', row=3), mended=True, digest='f' * 64)
        assert {} == state_of(ledger).waiting()


def test_a_row_left_out_of_the_mended_file_still_waits(tmp_path: Path) -> None:
    """When one of two pours of a wide row does not come back, neither is taken for settled."""
    pours = [held(3, original={'W1: aroma': '9'}), held(3, original={'W2: aroma': '8'})]
    with opened(tmp_path) as ledger:
        take(ledger, held=pours)
        take(ledger, arrived(wine='w1', row=3), mended=True, digest='e' * 64)
        assert 2 == len(state_of(ledger).waiting())


def test_a_row_mended_badly_takes_the_place_of_the_old(tmp_path: Path) -> None:
    """Held again for another reason, the row is held once, with the new reason."""
    with opened(tmp_path) as ledger:
        take(ledger, held=[held(3)])
        worse = held(3, found='17', original={'taster': 'bob', 'aroma': '17'})
        take(ledger, held=[worse], mended=True, digest='e' * 64)
        waiting = state_of(ledger).waiting()

    assert ['17'] == [row.found for row in waiting.values()]


def test_a_row_mended_in_its_own_file_is_settled(tmp_path: Path) -> None:
    """The same row of the same file, now acceptable for the same taster and wine, settles it."""
    with opened(tmp_path) as ledger:
        take(ledger, held=[held(3), held(4)])
        take(ledger, arrived(taster='bob', row=3), arrived(taster='cy', row=4), digest='e' * 64)
        waiting = state_of(ledger).waiting()

    assert [4] == [row.row for row in waiting.values()]


def test_a_correction_answers_the_rows_it_kept_held(tmp_path: Path) -> None:
    """Correcting the entry that a held row contradicted settles that row."""
    with opened(tmp_path) as ledger:
        take(ledger, arrived(), arrived(aroma=6.0, row=9))
        assert 1 == len(state_of(ledger).waiting())
        correct(ledger, SHEET, 3, {'aroma': 6.0}, who="Mira", why="the slip says six")
        assert {} == state_of(ledger).waiting()


def test_a_full_disk_records_nothing_of_a_file(tmp_path: Path) -> None:
    """When the disk is full half way through a file, nothing of it is there; later all of it is."""
    file = [arrived(taster=f't{number}') for number in range(800)]
    with opened(tmp_path) as ledger:
        connection = ledger._store._connection
        connection.execute('PRAGMA max_page_count = 10')
        with pytest.raises(DiskFull):
            take(ledger, *file)
        assert 1 == ledger.head.count
        connection.execute('PRAGMA max_page_count = 100000')
        assert 800 == take(ledger, *file).new


SHEETS = st.builds(
    arrived,
    taster=st.sampled_from('ab'),
    wine=st.sampled_from(['w1', 'w2']),
    aroma=st.sampled_from([4.0, 5.0]),
    position=st.none() | st.integers(1, 2),
    row=st.integers(2, 30),
)


@settings(max_examples=15, deadline=None)
@given(files=st.lists(st.lists(SHEETS, max_size=5), min_size=1, max_size=3))
def test_every_row_is_somewhere_and_no_pour_twice(
    tmp_path_factory: pytest.TempPathFactory, files: list[list[EntryRecorded]]
) -> None:
    """Each row is new, already there or held; gathered again, nothing changes any more."""
    with opened(tmp_path_factory.mktemp('intake')) as ledger:
        for number, file in enumerate(files):
            intake = take(ledger, *file, digest=str(number), file=f'{number}.csv')
            counted = intake.new + intake.already + len(intake.held) + len(intake.held_before)
            assert len(file) == counted
        head = ledger.head
        for number, file in enumerate(files):
            take(ledger, *file, digest=str(number), file=f'{number}.csv')
        assert head == ledger.head
        assert ledger.verify().holds


def test_a_state_carried_on_says_what_a_fresh_one_does(tmp_path: Path) -> None:
    """Files taken in with the state carried from one to the next are sorted as without."""
    files = [
        [arrived(), arrived(wine='w2', row=3)],
        [arrived(), arrived(aroma=6.0, wine='w2', row=4)],
        [arrived(taster='bob'), arrived(wine='w2', row=5)],
    ]
    outcomes = []
    for name, carried in (('fresh', None), ('carried', State())):
        (tmp_path / name).mkdir()
        with opened(tmp_path / name) as ledger:
            taken = [
                take(ledger, *file, digest=str(number), state=carried)
                for number, file in enumerate(files)
            ]
            outcomes.append((taken, [record.body for record in ledger.records()]))

    assert outcomes[0] == outcomes[1]
