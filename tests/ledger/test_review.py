"""Doubtful marks: what waits, what may be decided, and what comes of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.ledger.paper_sample import (
    MARKS,
    POURED,
    SHEET,
    Desk,
    arrived,
    empty,
    look,
    page,
    pour,
    seat_look,
    spare,
)
from tests.ledger.sample import entry

from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.changes import correct
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.records import EntryRecorded
from halfpoint.ledger.review import asked_about, decide, waiting

DOUBTFUL = {'aroma': None}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A record of nothing yet."""
    with Desk(tmp_path) as desk:
        yield desk


def test_what_waits_comes_page_by_page_in_the_order_of_the_sheet(desk: Desk) -> None:
    """The seat first, then block by block code, marks, total and boxes."""
    boxes = (look('band', 'unclear', 'short'), look('term', 'stray', 'lemon'))
    blank = (look('code', 'written'), look('total'), *boxes, look('taste'), look('aroma'))
    desk.take(
        arrived(page(pour(1), pour(2, marks=DOUBTFUL)), 1),
        arrived(spare(pour(1, '', looks=blank)), 2),
    )

    assert [
        (2, 2, 'aroma', ''), (4, 0, 'seat', ''), (4, 1, 'code', ''), (4, 1, 'taste', ''),
        (4, 1, 'aroma', ''), (4, 1, 'total', ''), (4, 1, 'term', 'lemon'), (4, 1, 'band', 'short'),
    ] == desk.waiting()  # fmt: skip
    first = waiting(desk.state)[0]
    assert ('scan.pdf', 1, 'north', 1, '202', None, 'two') == (
        first.file, first.in_file, first.site, first.seat, first.code, first.read,
        first.look.reason,
    )  # fmt: skip


def test_the_last_decision_makes_the_entry(desk: Desk) -> None:
    """Not before nothing on the block waits; who decided is in the record."""
    desk.take(arrived(page(pour(1, marks={'aroma': None, 'taste': None}))))
    one = desk.decide(waiting(desk.state)[0], 5.0)
    other = desk.decide(waiting(desk.state)[0], 3.5)

    assert ((), [5]) == (one.entries, list(other.entries))
    assert (5.0, 3.5, '101') == tuple(desk.reads(5)[key] for key in ('aroma', 'taste', 'code'))
    assert ['page', 'decision', 'decision', 'entry'] == desk.kinds()
    assert {"Mira"} == {record.who for record in desk.ledger.records(after=1)}
    assert [] == desk.waiting()


def test_a_later_decision_replaces_one_before_the_entry(desk: Desk) -> None:
    """Nothing is corrected, as nothing was an entry yet."""
    desk.take(arrived(page(pour(1, marks={'aroma': None, 'taste': None}))))
    aroma, taste = (each.asked for each in waiting(desk.state))
    desk.decide(aroma, 5.0)
    desk.decide(aroma, 2.0)
    made = desk.decide(taste, 3.5)

    assert 2.0 == desk.reads(made.entries[0])['aroma']
    assert 'correction' not in desk.kinds()


def test_a_later_decision_corrects_the_entry(desk: Desk) -> None:
    """What it read before stays in the record; deciding the same again changes nothing."""
    desk.take(arrived(page(pour(1, marks=DOUBTFUL))))
    asked = waiting(desk.state)[0].asked
    (number,) = desk.decide(asked, 5.0).entries
    again = desk.decide(asked, 2.0)
    same = desk.decide(asked, 2.0)

    assert ([number], ()) == (list(again.corrected), same.corrected)
    versions = desk.afresh().entries[number].versions
    assert [5.0, 2.0] == [version.marks['aroma'] for version in versions]
    assert 'correction' == desk.kinds()[4]


def test_what_was_read_surely_can_be_decided_too(desk: Desk) -> None:
    """A person may see at the side that another mark or box was misread."""
    (number,) = desk.take(arrived(page(pour(1, terms=('lemon',))))).entries
    desk.decide(Asked(2, 1, 'aroma'), 6)
    desk.decide(Asked(2, 1, 'term', 'lemon'), 0)
    desk.decide(Asked(2, 1, 'term', 'honey'), 1)
    desk.decide(Asked(2, 1, 'family', 'stone'), 1)
    desk.decide(Asked(2, 1, 'fault', 'oxidised'), 1)
    desk.decide(Asked(2, 1, 'band', 'long'), 1)
    now = desk.afresh().entries[number].now

    assert (6.0, ('honey',), ('stone',), ('oxidised',), 'long') == (
        now.marks['aroma'], now.terms, now.families, now.faults, now.finish_band,
    )  # fmt: skip
    desk.decide(Asked(2, 1, 'band', 'short'), 0)
    assert 'long' == desk.afresh().entries[number].now.finish_band
    desk.decide(Asked(2, 1, 'band', 'long'), 0)
    assert '' == desk.afresh().entries[number].now.finish_band


def test_a_decision_leaves_other_corrections_alone(desk: Desk) -> None:
    """What the organiser corrected by hand is not undone by deciding about another mark."""
    (number,) = desk.take(arrived(page(pour(1)))).entries
    correct(desk.ledger, SHEET, number, {'taste': 6.0}, who="Mira", why="asked her")
    desk.decide(Asked(2, 1, 'aroma'), 2.0)

    assert (2.0, 6.0) == (desk.reads(number)['aroma'], desk.reads(number)['taste'])


def test_boxes_are_decided_one_by_one(desk: Desk) -> None:
    """Ticked ones join those read, others stay away."""
    doubts = [look('term', 'stray', 'lemon'), look('term', 'stray', 'honey')]
    desk.take(arrived(page(pour(1, terms=('pear',), looks=tuple(doubts)))))
    desk.decide(Asked(2, 1, 'term', 'lemon'), 1)
    (number,) = desk.decide(Asked(2, 1, 'term', 'honey'), 0).entries

    assert ('pear', 'lemon') == desk.afresh().entries[number].now.terms


def test_choosing_one_of_two_finish_words_settles_both(desk: Desk) -> None:
    """The other is not meant, and need not be asked about."""
    doubts = (look('band', 'two', 'short'), look('band', 'two', 'long'))
    desk.take(arrived(page(pour(1, finish_band='short', looks=doubts))))
    (number,) = desk.decide(Asked(2, 1, 'band', 'long'), 1).entries

    assert 'long' == desk.afresh().entries[number].now.finish_band


@pytest.mark.parametrize(('value', 'entries', 'held'), [(15.0, 1, 0), (None, 1, 0), (16.0, 0, 1)])
def test_a_doubt_about_the_total(desk: Desk, value: Any, entries: int, held: int) -> None:
    """The sum of the marks, or none legible, lets them stand; another total is held."""
    doubt = look('total', 'total', '', 15.0, 16.0)
    desk.take(arrived(page(pour(1, total_read=16.0, looks=(doubt,)))))
    came = desk.decide(waiting(desk.state)[0], value)

    assert (entries, held) == (len(came.entries), len(came.held))
    for row in came.held:
        assert ('total', '16', "15, the sum of the marks") == (row.field, row.found, row.expected)


def test_a_mark_that_makes_up_the_total_settles_it(desk: Desk) -> None:
    """Once the marks come to what is written, nothing about the total is left to ask."""
    desk.take(arrived(page(pour(1, total_read=16.0, looks=(look('total', 'total'),)))))
    came = desk.decide(Asked(2, 1, 'aroma'), 5.5)

    assert (1, []) == (len(came.entries), desk.waiting())
    assert ['page', 'decision', 'decision', 'entry'] == desk.kinds()


def test_a_mark_not_given_holds_the_block(desk: Desk) -> None:
    """It is held with the reason; decided anew it is an entry, and held no longer."""
    desk.take(arrived(page(pour(1, marks=DOUBTFUL))))
    asked = waiting(desk.state)[0].asked
    came = desk.decide(asked, None)
    state = desk.afresh()
    made = desk.decide(asked, 4.0)

    assert ('aroma', "nothing") == (came.held[0].field, came.held[0].found)
    assert 1 == len(state.waiting())
    assert (1, {}) == (len(made.entries), desk.afresh().waiting())


def test_a_block_on_which_nothing_turns_out_to_stand_makes_nothing(desk: Desk) -> None:
    """Stray ink on a wine that was not tasted is neither an entry nor held."""
    nothing = dict.fromkeys(MARKS)
    desk.take(arrived(page(pour(1, marks=nothing))))
    for each in waiting(desk.state):
        desk.decide(each, None)

    assert (['page', *['decision'] * 5], []) == (desk.kinds(), desk.waiting())


def test_a_spare_is_an_entry_of_who_sits_there(desk: Desk) -> None:
    """Seat and code in either order, and position and wine from the plan."""
    doubts = (look('code', 'written'),)
    desk.take(arrived(spare(pour(1, '', looks=doubts), pour(2, '', looks=doubts), empty(3))))
    desk.decide(Asked(2, 1, 'code'), '303')
    came = desk.decide(Asked(2, 0, 'seat'), 2.0)
    late = desk.decide(Asked(2, 2, 'code'), '202')
    made = [desk.state.entries[n].now for n in (*came.entries, *late.entries)]

    assert [('bob', 'w3', '1', 3), ('bob', 'w2', None, 2)] == [
        (each.taster, each.wine, each.pour, each.position) for each in made
    ]
    assert [] == desk.waiting()


def test_a_spare_of_an_unlisted_seat(desk: Desk) -> None:
    """The taster is called by the seat, as on that seat's own sheet."""
    desk.take(arrived(spare()))
    desk.decide(Asked(2, 0, 'seat'), '3')
    (number,) = desk.decide(Asked(2, 1, 'code'), '101').entries

    assert 'north-seat-3' == desk.reads(number)['taster']


def test_a_spare_of_a_taster_without_a_seat(desk: Desk) -> None:
    """A listed taster may be named in place of the seat."""
    desk.take(arrived(spare()))
    desk.decide(Asked(2, 0, 'seat'), 'Ann')
    (number,) = desk.decide(Asked(2, 1, 'code'), '101').entries

    assert 'ann' == desk.reads(number)['taster']


@pytest.mark.parametrize(
    ('asked', 'held', 'given'),
    [(Asked(2, 0, 'seat'), 'taster', '2'), (Asked(2, 1, 'code'), 'code', '101')],
)
def test_a_seat_or_code_that_cannot_be_told_is_held(
    desk: Desk, asked: Asked, held: str, given: str
) -> None:
    """With the reason, until somebody can tell it after all."""
    desk.take(arrived(spare()))
    for each, value in ((Asked(2, 0, 'seat'), '2'), (Asked(2, 1, 'code'), '101')):
        desk.decide(each, None if each == asked else value)
    (row,) = desk.afresh().waiting().values()
    made = desk.decide(asked, given)

    assert (held, "nothing") == (row.field, row.found)
    assert (1, {}) == (len(made.entries), desk.afresh().waiting())


def test_seat_and_code_of_an_entry_can_be_decided_anew(desk: Desk) -> None:
    """All entries of the sheet go to the other taster, and one to the other wine."""
    doubts = (look('code', 'written'),)
    desk.take(arrived(spare(pour(1, '', looks=doubts), pour(2, '', looks=doubts))))
    for place, code in ((1, '101'), (2, '404')):
        desk.decide(Asked(2, place, 'code'), code)
    made = desk.decide(Asked(2, 0, 'seat'), '2').entries
    desk.decide(Asked(2, 0, 'seat'), '1')
    desk.decide(Asked(2, 2, 'code'), '202')
    now = [desk.afresh().entries[number].now for number in made]

    assert [('ann', 'w1', None, 1), ('ann', 'w2', None, 2)] == [
        (each.taster, each.wine, each.pour, each.position) for each in now
    ]


def test_a_pour_that_has_an_entry_is_not_taken_by_another(desk: Desk) -> None:
    """A spare of a pour that is in already is held when new, refused when decided anew."""
    desk.take(arrived(page(pour(1)), 1), arrived(spare(pour(1, '', {'aroma': 1.0},
        looks=(look('code', 'written'),))), 2))  # fmt: skip
    spare_page = max(desk.state.papers.pages)
    desk.decide(Asked(spare_page, 0, 'seat'), '1')
    came = desk.decide(Asked(spare_page, 1, 'code'), '101')
    assert "1, where entry 3 (scan.pdf, page 1) already says 4½" == came.held[0].found

    freed = desk.decide(Asked(spare_page, 1, 'code'), '202')
    assert (1, {}) == (len(freed.entries), desk.afresh().waiting())
    with pytest.raises(UsageError, match='entry 3 already stands for that pour'):
        desk.decide(Asked(spare_page, 1, 'code'), '101')


def test_decisions_about_a_contradiction_can_settle_it(desk: Desk) -> None:
    """Decided as the other entry says, the held row is that entry."""
    told = EntryRecorded(entry('ann', 'w1', 2.0, site='north', code='101'))
    desk.ledger.append([told], who="Mira")
    desk.take(arrived(page(pour(1))))
    came = desk.decide(Asked(3, 1, 'aroma'), 2.0)

    assert (1, {}) == (came.already, desk.afresh().waiting())
    assert {1: 2} == desk.afresh().papers.pages[3].entries


@pytest.mark.parametrize(
    ('asked', 'value', 'said'),
    [
        (Asked(2, 1, 'aroma'), 4.25, '0 to 6 in half points'),
        (Asked(2, 1, 'aroma'), 7, '0 to 6 in half points'),
        (Asked(2, 1, 'aroma'), 'four', 'a number'),
        (Asked(2, 1, 'aroma'), float('nan'), 'a number'),
        (Asked(2, 1, 'term', 'lemon'), 0.5, '1 when ticked, 0 when not'),
        (Asked(2, 1, 'term', 'lemon'), None, '1 when ticked, 0 when not'),
        (Asked(3, 0, 'seat'), '4', 'a seat of north, 1 to 3'),
        (Asked(3, 0, 'seat'), 'anne', "did you mean 'ann'"),
        (Asked(3, 1, 'code'), '110', 'a code poured at north; likely 101'),
        (Asked(3, 1, 'code'), '999', 'a code poured at north'),
    ],
)
def test_what_cannot_stand_there_is_refused(
    desk: Desk, asked: Asked, value: Any, said: str
) -> None:
    """The refusal says what is allowed, names no wine, and nothing is recorded."""
    desk.take(arrived(page(pour(1, marks=DOUBTFUL)), 1), arrived(spare(), 2))
    head = desk.ledger.head
    with pytest.raises(UsageError) as refusal:
        desk.decide(asked, value)

    assert said in refusal.value.expected
    assert not any(wine in str(refusal.value) for wine in ('w1', 'w2', 'w3'))
    assert head == desk.ledger.head


@pytest.mark.parametrize(
    'asked',
    [
        Asked(9, 1, 'aroma'), Asked(1, 1, 'aroma'), Asked(2, 2, 'aroma'), Asked(2, 1, 'nose'),
        Asked(2, 1, 'term', 'petrol station'), Asked(2, 1, 'band', 'endless'),
        Asked(2, 0, 'seat'), Asked(2, 1, 'code'), Asked(2, 0, 'aroma'), Asked(2, 1, 'aroma', 'x'),
    ],
)  # fmt: skip
def test_only_what_a_page_has_is_decided(desk: Desk, asked: Asked) -> None:
    """No other page, block, category or box; and a seat's own page has its seat and codes."""
    desk.take(arrived(page(pour(1))))
    with pytest.raises(NotInLedger):
        desk.decide(asked, '1')
    assert ['page', 'entry'] == desk.kinds()


def test_an_entry_does_not_lose_a_mark(desk: Desk) -> None:
    """Once there is an entry its marks can be another, not none."""
    desk.take(arrived(page(pour(1))))
    with pytest.raises(UsageError, match='an entry was made already'):
        desk.decide(Asked(2, 1, 'aroma'), None)
    with pytest.raises(UsageError, match='the sum of the marks'):
        desk.decide(Asked(2, 1, 'total'), 16.0)


def test_somebody_decides(desk: Desk) -> None:
    """A decision without a name is refused."""
    desk.take(arrived(page(pour(1, marks=DOUBTFUL))))
    with pytest.raises(UsageError, match='--who'):
        decide(desk.ledger, desk.tasting, POURED, waiting(desk.state)[0], 4.0, who=" ")


def test_a_thing_can_be_looked_at_again(desk: Desk) -> None:
    """What it says now, by the reader or a person, whether it waits or not."""
    doubts = (look('term', 'stray', 'lemon'),)
    desk.take(arrived(page(pour(1, terms=('pear',), looks=doubts, finish_band='long'))))
    said = {
        asked[2:]: asked_about(desk.state, asked).read
        for asked in (
            Asked(2, 1, 'aroma'), Asked(2, 1, 'term', 'pear'), Asked(2, 1, 'term', 'lemon'),
            Asked(2, 1, 'term', 'honey'), Asked(2, 1, 'band', 'long'), Asked(2, 1, 'total'),
        )
    }  # fmt: skip

    assert {
        ('aroma', ''): 4.5, ('term', 'pear'): 1.0, ('term', 'lemon'): None,
        ('term', 'honey'): 0.0, ('band', 'long'): 1.0, ('total', ''): None,
    } == said  # fmt: skip
    with pytest.raises(NotInLedger):
        asked_about(desk.state, Asked(2, 3, 'aroma'))


def test_the_seat_of_a_spare_is_told_back(desk: Desk) -> None:
    """As it was decided; nothing before."""
    desk.take(arrived(spare()))
    assert seat_look() == waiting(desk.state)[0].look
    desk.decide(Asked(2, 0, 'seat'), ' 2 ')
    assert '2' == asked_about(desk.state, Asked(2, 0, 'seat')).read
