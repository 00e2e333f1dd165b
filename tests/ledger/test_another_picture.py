"""Two pictures of one page that do not say the same."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.ledger.paper_sample import (
    POURED,
    SHEET,
    Desk,
    arrived,
    empty,
    look,
    page,
    pour,
    spare,
)
from tests.ledger.sample import entry

from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.changes import correct
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.records import EntryRecorded
from halfpoint.ledger.review import Difference, other_pictures, prefer, stand_beside

CODE_LOOK = (look('code', 'written'),)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A record of nothing yet."""
    with Desk(tmp_path) as desk:
        yield desk


def two(desk: Desk, first: object, second: object) -> tuple[int, int]:
    """Two pictures of a page taken in; the numbers of their records."""
    (one,) = desk.take(arrived(first)).read  # type: ignore[arg-type]
    (other,) = desk.take(arrived(second, file='photo.jpg')).others  # type: ignore[arg-type]
    return one, other


def test_what_differs_is_told(desk: Desk) -> None:
    """Block by block, what the other says and what the one that counts does."""
    one, other = two(
        desk,
        page(pour(1), pour(2, terms=('lemon',))),
        page(pour(1, marks={'aroma': 5.0}), pour(2, marks={'taste': None})),
    )
    (found,) = other_pictures(desk.state)

    assert (other, one, 'photo.jpg', 1) == (found.page, found.over, found.file, found.seat)
    assert (
        Difference(1, 'aroma', '', 5.0, 4.5),
        Difference(2, 'taste', '', None, 4.0),
        Difference(2, 'term', 'lemon', 0, 1.0),
    ) == found.differences


def test_the_picture_chosen_corrects_the_entries(desk: Desk) -> None:
    """Where it surely says something else; the versions before stay in the record."""
    one, other = two(
        desk,
        page(pour(1, terms=('lemon',), finish_band='short'), pour(2)),
        page(pour(1, marks={'aroma': 5.0}, terms=('honey',), finish_band='long'), pour(2)),
    )
    chosen = desk.prefer(other, one)
    state = desk.afresh()
    now = state.entries[3].now

    assert ((3,), ()) == (chosen.corrected, chosen.entries)
    assert (5.0, ('honey',), 'long') == (now.marks['aroma'], now.terms, now.finish_band)
    assert 4.5 == state.entries[3].versions[0].marks['aroma']
    assert ({}, [other]) == (state.papers.others, state.papers.standing[page().payload])
    assert {1: 3, 2: 4} == state.papers.pages[other].entries


def test_what_is_doubtful_on_the_picture_chosen_waits(desk: Desk) -> None:
    """The entry stays as it is until somebody decides, and is then corrected."""
    one, other = two(desk, page(pour(1)), page(pour(1, marks={'aroma': None, 'taste': 2.0})))
    chosen = desk.prefer(other, one)

    assert [(other, 1, 'aroma', '')] == desk.waiting()
    assert (4.5, 2.0) == (desk.reads(3)['aroma'], desk.reads(3)['taste'])
    decision = desk.decide(Asked(other, 1, 'aroma'), 6.0)
    assert ((3,), (3,), 6.0) == (chosen.corrected, decision.corrected, desk.reads(3)['aroma'])


def test_the_picture_chosen_can_make_the_entry(desk: Desk) -> None:
    """Where the first was in doubt and the second is not, nothing waits any longer."""
    one, other = two(desk, page(pour(1, marks={'aroma': None})), page(pour(1)))
    chosen = desk.prefer(other, one)

    assert (1, []) == (len(chosen.entries), desk.waiting())


def test_a_row_held_of_the_first_picture_is_settled(desk: Desk) -> None:
    """The second gives the mark that was not to be told, or says what the other entry does."""
    told = entry('ann', 'w2', 2.0, site='north', code='202')
    desk.ledger.append([EntryRecorded(told)], who="Mira")
    (one,) = desk.take(arrived(page(pour(1, marks={'aroma': None}), pour(2)))).read
    desk.decide(Asked(one, 1, 'aroma'), None)
    assert 2 == len(desk.state.waiting())
    again = page(pour(1, marks={'aroma': 3.0}), pour(2, marks={'aroma': 2.0}))
    (other,) = desk.take(arrived(again, file='photo.jpg')).others
    chosen = desk.prefer(other, one)

    assert (1, {}) == (len(chosen.entries), desk.afresh().waiting())
    assert {1: chosen.entries[0], 2: 2} == desk.afresh().papers.pages[other].entries


def test_corrections_by_hand_outlive_the_choice(desk: Desk) -> None:
    """What both pictures say the same was corrected for another reason."""
    one, other = two(desk, page(pour(1)), page(pour(1, marks={'aroma': 5.0})))
    correct(desk.ledger, SHEET, 3, {'taste': 6.0}, who="Mira", why="asked her")
    desk.prefer(other, one)

    assert (5.0, 6.0) == (desk.reads(3)['aroma'], desk.reads(3)['taste'])


def test_the_first_picture_may_be_kept(desk: Desk) -> None:
    """The other waits no longer, and nothing is corrected; one may still change one's mind."""
    one, other = two(desk, page(pour(1)), page(pour(1, marks={'aroma': 5.0})))
    kept = desk.prefer(one, other)
    assert ((), []) == (kept.corrected, other_pictures(desk.afresh()))
    assert 4.5 == desk.reads(3)['aroma']

    desk.prefer(other, one)
    assert 5.0 == desk.reads(3)['aroma']
    desk.prefer(one, other)
    assert 4.5 == desk.reads(3)['aroma']
    assert [4.5, 5.0, 4.5] == [v.marks['aroma'] for v in desk.afresh().entries[3].versions]


def test_an_entry_of_which_nothing_is_on_the_picture_chosen_stays(desk: Desk) -> None:
    """It is told, so that a person sets it aside if the wine was not tasted."""
    one, other = two(desk, page(pour(1), pour(2)), page(pour(1), empty(2)))
    chosen = desk.prefer(other, one)

    assert ((4,), ()) == (chosen.left, chosen.corrected)
    assert 2 == len(desk.afresh().in_force())


def test_three_pictures(desk: Desk) -> None:
    """A third one waits to be held against the one chosen."""
    one, other = two(desk, page(pour(1)), page(pour(1, marks={'aroma': 5.0})))
    (third,) = desk.take(arrived(page(pour(1, marks={'aroma': 1.0})), file='third.jpg')).others
    desk.prefer(other, one)
    (found,) = other_pictures(desk.afresh())

    assert (third, other) == (found.page, found.over)
    with pytest.raises(UsageError, match='one of which counts'):
        desk.prefer(third, one)


def test_seat_and_codes_go_over_to_another_picture_of_a_spare(desk: Desk) -> None:
    """A better picture of what somebody wrote does not make it another seat."""
    first = spare(pour(1, '', looks=CODE_LOOK))
    again = spare(pour(1, '', marks={'aroma': 5.0}, looks=CODE_LOOK))
    one, other = two(desk, first, again)
    desk.decide(Asked(one, 0, 'seat'), '2')
    (number,) = desk.decide(Asked(one, 1, 'code'), '101').entries
    desk.prefer(other, one)

    assert ([], 5.0) == (desk.waiting(), desk.reads(number)['aroma'])


def test_a_copied_spare_is_a_sheet_of_its_own(desk: Desk) -> None:
    """Two tasters filled copies of one blank: both count, and each waits for its seat."""
    first = spare(pour(1, '', looks=CODE_LOOK))
    copy = spare(pour(1, '', marks={'aroma': 1.0}, looks=CODE_LOOK))
    one, other = two(desk, first, copy)
    stand_beside(desk.ledger, desk.tasting, POURED, other, who="Mira", state=desk.state)
    for number, seat in ((one, '1'), (other, '2')):
        desk.decide(Asked(number, 0, 'seat'), seat)
        desk.decide(Asked(number, 1, 'code'), '101')
    entries = desk.afresh().entries.values()

    assert [('ann', 4.5), ('bob', 1.0)] == [(e.now.taster, e.now.marks['aroma']) for e in entries]
    again = desk.take(arrived(copy, file='third.jpg'))
    assert [other] == [desk.state.papers.pages[n].page.same_as for n in again.same]


def test_a_seats_own_page_has_one_picture(desk: Desk) -> None:
    """It cannot be two sheets, and a picture that does not count takes no decisions."""
    _, other = two(desk, page(pour(1)), page(pour(1, marks={'aroma': 5.0})))
    with pytest.raises(UsageError, match='a spare that waits'):
        stand_beside(desk.ledger, desk.tasting, POURED, other, who="Mira")
    with pytest.raises(UsageError, match='does not count'):
        desk.decide(Asked(other, 1, 'aroma'), 2.0)


def test_only_pictures_of_one_page_are_chosen_between(desk: Desk) -> None:
    """Neither pages of two seats, nor a page and itself, nor what is not there."""
    desk.take(arrived(page(pour(1)), 1), arrived(page(pour(1), seat=2), 2))
    desk.take(arrived(page(pour(1)), 3))
    head = desk.ledger.head
    for one, other in ((2, 4), (2, 2), (6, 2)):
        with pytest.raises(UsageError, match='two pictures of one page'):
            desk.prefer(one, other)
    with pytest.raises(NotInLedger):
        desk.prefer(2, 99)
    with pytest.raises(UsageError, match='--who'):
        prefer(desk.ledger, desk.tasting, POURED, 2, instead_of=4, who="")
    assert head == desk.ledger.head
