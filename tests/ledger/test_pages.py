"""Pages read from paper in the record: none twice, none lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from tests.ledger.paper_sample import HELD, Desk, arrived, empty, look, page, pour, spare
from tests.ledger.sample import entry

from halfpoint.errors import DiskFull, LedgerAltered, NotInLedger
from halfpoint.ledger.changes import set_aside
from halfpoint.ledger.intake import take_in
from halfpoint.ledger.pages import is_known
from halfpoint.ledger.records import EntryRecorded, PageRecorded, Planned, RowHeld, Target
from halfpoint.ledger.replay import State
from halfpoint.ledger.review import waiting
from halfpoint.sheet.entry import Entry


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A record of nothing yet."""
    with Desk(tmp_path) as desk:
        yield desk


def about(made: Entry) -> tuple[object, ...]:
    """What an entry is about."""
    return made.taster, made.wine, made.site, made.position, made.code, made.pour


def test_a_complete_page_becomes_entries(desk: Desk) -> None:
    """Wine, second pour and position come from the plan; the scan and its page are named."""
    fourth = pour(4, terms=('lemon',), families=('stone',), finish_band='long')
    taken = desk.take(arrived(page(pour(1), fourth), 7))
    first, second = (desk.state.entries[number] for number in taken.entries)

    assert ('ann', 'w1', 'north', 1, '101', None) == about(first.now)
    assert ('ann', 'w3', 'north', 4, '404', '2') == about(second.now)
    assert (('lemon',), ('stone',), 'long') == (
        second.now.terms, second.now.families, second.now.finish_band,
    )  # fmt: skip
    assert ("scan.pdf, page 7", 2, 4) == (
        second.recorded.origin, second.recorded.page, second.recorded.place,
    )  # fmt: skip
    assert 0 == taken.looks


def test_a_seat_nobody_is_listed_for_has_a_name(desk: Desk) -> None:
    """The taster of an unlisted seat is called by it, and has the position of its code."""
    taken = desk.take(arrived(page(pour(2), seat=3)))

    assert ('north-seat-3', 'w2', 'north', 2, '202', None) == about(
        desk.state.entries[taken.entries[0]].now
    )


def test_a_tasting_without_sites_has_entries_without(desk: Desk) -> None:
    """As for tables, the only room is not named."""
    desk.tasting = desk.tasting.model_copy(update={'sites': ()})
    taken = desk.take(arrived(page(pour(1))))

    assert desk.state.entries[taken.entries[0]].now.site is None


def test_what_was_not_tasted_makes_nothing(desk: Desk) -> None:
    """An empty block is no entry, is not held and does not wait."""
    taken = desk.take(arrived(page(pour(1), empty(2))))

    assert (1, 0, 0) == (len(taken.entries), len(taken.rows_held), taken.looks)


def test_a_block_with_a_doubtful_mark_waits_whole(desk: Desk) -> None:
    """Its other marks are no entry yet; the other blocks of the page are."""
    taken = desk.take(arrived(page(pour(1, marks={'aroma': None}), pour(2))))

    assert ['202'] == [desk.state.entries[n].now.code for n in taken.entries]
    assert (1, [(2, 1, 'aroma', '')]) == (taken.looks, desk.waiting())


def test_the_same_page_of_a_file_twice_adds_nothing(desk: Desk) -> None:
    """Nothing is recorded, and it need not be read."""
    desk.take(arrived(page(), 1), arrived(HELD, 2))
    head = desk.ledger.head
    taken = desk.take(arrived(page(), 1), arrived(HELD, 2))

    assert (2, head) == (taken.again, desk.ledger.head)
    assert is_known(desk.state, arrived(page()).digest, 1)
    assert not is_known(desk.state, arrived(page()).digest, 3)


def test_reading_goes_on_where_it_was_broken_off(desk: Desk) -> None:
    """After a stop between two steps, what is known is passed over and the rest is taken."""
    pages = [arrived(page(seat=1), 1), arrived(page(seat=2), 2), arrived(page(seat=3), 3)]
    desk.take(*pages[:2])
    desk.state = State()
    state = desk.afresh()
    left = [each for each in pages if not is_known(state, each.digest, each.page)]
    desk.take(*pages)

    assert [3] == [each.page for each in left]
    assert 6 == len(desk.afresh().entries)
    assert ['page', 'entry', 'entry'] * 3 == desk.kinds()


def test_a_step_that_fails_leaves_nothing(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the disk is full at the last page, no page of the step is recorded."""
    add = desk.ledger._store.add
    count = []

    def failing(records: list[object]) -> None:
        count.append(1)
        if len(count) == 5:
            raise DiskFull("no space")
        add(records)

    monkeypatch.setattr(desk.ledger._store, 'add', failing)
    with pytest.raises(DiskFull):
        desk.take(arrived(page(seat=1), 1), arrived(page(seat=2), 2))
    assert [] == desk.kinds()


def test_another_scan_that_says_the_same_is_only_noted(desk: Desk) -> None:
    """Its record refers to the first; no entry and nothing to choose comes of it."""
    doubtful = page(pour(1, marks={'aroma': None}), pour(2))
    desk.take(arrived(doubtful))
    taken = desk.take(arrived(doubtful, file='photo.jpg'))
    noted = desk.state.papers.pages[taken.same[0]]

    assert (2, False, ()) == (noted.page.same_as, noted.stands, noted.page.pours)
    assert {} == desk.state.papers.others
    assert is_known(desk.state, arrived(page(), file='photo.jpg').digest, 1)


def test_what_a_person_decided_is_not_another_word(desk: Desk) -> None:
    """A picture on which the doubtful mark reads as it was decided says the same."""
    desk.take(arrived(page(pour(1, marks={'aroma': None}))))
    desk.decide(waiting(desk.state)[0], 5.0)
    taken = desk.take(arrived(page(pour(1, marks={'aroma': 5.0})), file='photo.jpg'))

    assert (1, 0) == (len(taken.same), len(taken.others))


@pytest.mark.parametrize(
    'second',
    [
        pour(1, marks={'aroma': 5.0}),
        pour(1, marks={'aroma': None}),
        pour(1, terms=('lemon',)),
        pour(1, faults=('oxidised',)),
        pour(1, families=('stone',)),
        pour(1, finish_band='long'),
        pour(1, looks=(look('term', 'stray', 'lemon', 1.0, 0.0),)),
        empty(1),
    ],
)
def test_another_picture_that_says_something_else_waits(desk: Desk, second: object) -> None:
    """A mark, box or doubt that differs: nothing is changed until a person chooses."""
    taken = desk.take(arrived(page(pour(1))))
    again = desk.take(arrived(page(second), file='photo.jpg'))  # type: ignore[arg-type]

    assert 1 == len(again.others)
    assert list(again.others) == list(desk.state.papers.others)
    assert [4.5] == [desk.reads(number)['aroma'] for number in taken.entries]
    assert [] == desk.waiting()


@pytest.mark.parametrize(('aroma', 'already', 'held'), [(4.5, 1, 0), (5.0, 0, 1)])
def test_a_pour_recorded_from_a_table_stands(
    desk: Desk, aroma: float, already: int, held: int
) -> None:
    """A page that says the same adds nothing, and one that contradicts it is held."""
    told = entry('ann', 'w1', aroma, site='north', position=1, remark="nice", finish_seconds=12.0)
    take_in(
        desk.ledger, file='north.csv', digest='a' * 64,
        entries=[EntryRecorded(told, 'north.csv', 2)], held=(), who="Mira",
    )  # fmt: skip
    taken = desk.take(arrived(page(pour(1))))

    assert (0, already, held) == (len(taken.entries), taken.already, len(taken.rows_held))
    for row in taken.rows_held:
        assert (3, 'aroma', '101', '') == (
            row.conflicts, row.field, row.original['code'], row.original['wine'],
        )  # fmt: skip
        assert "4½, where entry 3 (north.csv, row 2) already says 5" == row.found


@pytest.mark.parametrize(('seconds', 'held'), [(12.0, 0), (50.0, 1), (None, 1)])
def test_a_ticked_finish_is_held_against_the_clock(
    desk: Desk, seconds: float | None, held: int
) -> None:
    """A band that holds the seconds told elsewhere says the same; another one does not."""
    told = entry('ann', 'w1', site='north', code='101', finish_seconds=seconds)
    desk.ledger.append([EntryRecorded(told)], who="Mira")
    taken = desk.take(arrived(page(pour(1, finish_band='short'))))

    assert held == len(taken.rows_held)


def test_a_table_that_contradicts_a_page_is_held(desk: Desk) -> None:
    """The other way round as well: what came first stays."""
    desk.take(arrived(page(pour(1))))
    told = EntryRecorded(entry('ann', 'w1', 2.0, site='north', code='101'), 'north.csv', 2)
    intake = take_in(
        desk.ledger, file='north.csv', digest='a' * 64, entries=[told], held=(), who="Mira"
    )

    assert "2, where entry 3 (scan.pdf, page 1) already says 4½" == intake.held[0].found


def test_a_held_block_can_be_mended_in_a_table(desk: Desk) -> None:
    """Its row has the columns of a table of marks, and coming back it is that block's entry."""
    desk.take(arrived(page(pour(1, marks={'aroma': None}, terms=('lemon',)))))
    desk.decide(waiting(desk.state)[0], None)
    ((number, row),) = desk.state.waiting().items()
    mended = entry('ann', 'w1', 4.0, site='north', code='101', position=1)
    take_in(
        desk.ledger, file='held.csv', digest='a' * 64,
        entries=[EntryRecorded(mended, row.file, row.row)], held=(), mended=True, who="Mira",
    )  # fmt: skip
    state = desk.afresh()

    assert ('aroma', "nothing", "0 to 6 in half points") == (row.field, row.found, row.expected)
    assert {
        'taster': 'ann', 'site': 'north', 'wine': '', 'position': '1', 'code': '101',
        'pour': '', 'appearance': '3', 'aroma': '', 'taste': '4', 'aftertaste': '2',
        'overall': '1.5', 'terms': 'lemon', 'faults': '', 'finish': '', 'remark': '',
    } == row.original  # fmt: skip
    assert number not in state.held
    assert [{1: max(state.entries)}] == [p.entries for p in state.papers.pages.values()]


def test_a_held_page_waits_until_it_is_read(desk: Desk) -> None:
    """It is told once, may be set aside, and is done with when the page of the file is read."""
    taken = desk.take(arrived(HELD, 1), arrived(HELD, 2))
    set_aside(desk.ledger, [Target(held=taken.held[0])], who="Mira", why="a blank page")

    assert list(taken.held[1:]) == list(desk.afresh().pages_held())
    desk.take(arrived(page(), 2))
    assert {} == desk.afresh().pages_held()
    with pytest.raises(NotInLedger):
        set_aside(desk.ledger, [Target(held=taken.held[1])], who="Mira", why="a blank page")


def test_a_held_page_is_read_again_by_another_plan_or_reader(desk: Desk) -> None:
    """What could not be read then may be readable now."""
    held = arrived(HELD, 1)
    desk.take(held)

    assert is_known(desk.state, held.digest, 1)
    assert is_known(desk.state, held.digest, 1, reader='1')
    assert not is_known(desk.state, held.digest, 1, reader='2')
    desk.ledger.append([Planned({'pours': []})], who="Mira")
    assert not is_known(desk.afresh(), held.digest, 1, reader='1')


def test_a_code_no_longer_poured_is_held(desk: Desk) -> None:
    """The page is of an older plan: the row says which code is likely, and no wine."""
    taken = desk.take(arrived(page(pour(1, code='110'))))
    (row,) = taken.rows_held

    assert ('code', "'110'") == (row.field, row.found)
    assert "a code poured at north; likely 101" == row.expected
    assert 'w1' not in str(row)


def test_spares_wait_for_seat_and_code(desk: Desk) -> None:
    """Nothing on a spare is an entry before a person has read who and what it is about."""
    taken = desk.take(arrived(spare(pour(1, '', looks=(look('code', 'written'),)), empty(2))))

    assert ((), [(2, 0, 'seat', ''), (2, 1, 'code', '')]) == (taken.entries, desk.waiting())


def test_areas_are_kept_to_a_hundredth_of_a_millimetre(desk: Desk) -> None:
    """The record does not grow by digits that nobody can see."""
    doubt = look('aroma')
    fine = replace(doubt, area=replace(doubt.area, left=10.123456))
    taken = desk.take(arrived(page(pour(1, looks=(fine,)))))

    kept = desk.afresh().papers.pages[taken.read[0]].page.pours[0]
    assert 10.12 == kept.looks[0].area.left


@pytest.mark.parametrize(
    'content',
    [
        PageRecorded('a', 1, 'd', payload='1', same_as=99),
        EntryRecorded(entry(), page=99, place=1),
        RowHeld('a', 1, 'f', 'x', 'y', page=99, place=1),
    ],
)
def test_a_page_that_is_not_there_is_not_passed_over(desk: Desk, content: object) -> None:
    """A record that refers to no page was not written by halfpoint."""
    desk.ledger.append([content], who="Mira")  # type: ignore[list-item]
    with pytest.raises(LedgerAltered):
        desk.afresh()


def test_the_state_carried_on_is_that_of_the_record(desk: Desk) -> None:
    """After many steps it says what reading from the beginning does."""
    for seat in (1, 2, 3):
        desk.take(arrived(page(pour(1, marks={'aroma': None}), pour(2), seat=seat), seat))
        desk.decide(waiting(desk.state)[0], 3.0)
    afresh = desk.afresh()

    assert afresh.papers == desk.state.papers
    assert {n: e.versions for n, e in afresh.entries.items()} == {
        n: e.versions for n, e in desk.state.entries.items()
    }
