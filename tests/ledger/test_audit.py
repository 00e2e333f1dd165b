"""Proof by sampling: what is drawn, what it bounds, and what is put right."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint
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
    spare,
)

from halfpoint.collect.paper.print.lay_out import lay_out
from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.audit import (
    AuditRecorded,
    audit_bound,
    audits_so_far,
    draw,
    record_audit,
    taken_unseen,
)
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.records import WrongReading

BOXES = len(lay_out(SHEET, 4).blocks[0].boxes)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """Three pages of two blocks each, records 2, 5 and 8, with six entries."""
    with Desk(tmp_path) as desk:
        desk.take(*(arrived(page(pour(1), pour(2), seat=seat), seat) for seat in (1, 2, 3)))
        yield desk


def audit(desk: Desk, pages: tuple[int, ...], *wrong: WrongReading) -> AuditRecorded:
    """A second look recorded."""
    return record_audit(
        desk.ledger, desk.tasting, POURED, pages, wrong, seed=7, who="Mira", state=desk.state
    )


@given(st.integers(1, 100_000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_bound_is_that_of_clopper_and_pearson(counts: tuple[int, int]) -> None:
    """One-sided at 95 %, as SciPy's exact interval and statsmodels' beta interval have it."""
    wrong, looked = counts
    bound = audit_bound(wrong, looked)
    # One side of an interval of twice the doubt.
    exact = scipy.stats.binomtest(wrong, looked).proportion_ci(0.90, method='exact').high
    _, beta = proportion_confint(wrong, looked, alpha=0.10, method='beta')

    assert exact == pytest.approx(bound, rel=1e-9)
    assert beta == pytest.approx(bound, rel=1e-9)


@pytest.mark.parametrize('looked', [100, 2_400, 300_000])
def test_nothing_wrong_follows_the_rule_of_three(looked: int) -> None:
    """The bound is 1 - 0.05^(1/n), near three in n (Hanley & Lippman-Hand, JAMA 1983)."""
    bound = audit_bound(0, looked)

    assert 1 - 0.05 ** (1 / looked) == pytest.approx(bound, rel=1e-9)
    assert 3 / looked == pytest.approx(bound, rel=0.02)


@pytest.mark.parametrize(('wrong', 'looked'), [(3, 2_400), (1, 50)])
def test_so_few_would_hardly_be_found_at_the_bound(wrong: int, looked: int) -> None:
    """At the bound, so few wrong are found with probability 5 %: the definition, by SciPy."""
    bound = audit_bound(wrong, looked)
    assert 0.05 == pytest.approx(scipy.stats.binom.cdf(wrong, looked, bound), rel=1e-6)


def test_a_bound_of_nothing_is_one() -> None:
    """Who looked at nothing, or found all wrong, knows nothing better."""
    assert (1.0, 1.0) == (audit_bound(0, 0), audit_bound(5, 5))


@pytest.mark.parametrize(('wrong', 'looked', 'level'), [(2, 1, 0.95), (-1, 5, 0.95), (0, 5, 1.0)])
def test_what_cannot_be_counted_has_no_bound(wrong: int, looked: int, level: float) -> None:
    """More wrong than looked at, or certainty asked for."""
    with pytest.raises(ValueError, match='at level'):
        audit_bound(wrong, looked, level)


def test_pages_are_drawn_alike_and_the_same_by_seed(desk: Desk) -> None:
    """Every page comes up about as often; a seed gives the same pages again."""
    drawn = [draw(desk.state, 1, seed)[0] for seed in range(300)]
    counts = [drawn.count(number) for number in (2, 5, 8)]

    assert draw(desk.state, 2, 7) == draw(desk.afresh(), 2, 7)
    assert {2, 5, 8} == set(drawn)
    # The 99.9 % point of the chi-squared distribution with 2 degrees of freedom is 13.8.
    assert sum((count - 100) ** 2 / 100 for count in counts) < 13.8


def test_only_pages_with_entries_are_drawn_and_once(desk: Desk) -> None:
    """Neither empty, waiting or other pictures, nor those looked at before."""
    other = page(pour(1, marks={'aroma': 1.0}), pour(2))
    desk.take(
        arrived(other, 9), arrived(page(empty(1), payload='9' * 24), 10), arrived(spare(), 11)
    )
    audit(desk, (5,))

    assert (2, 8) == draw(desk.state, 99, 1)
    assert () == draw(desk.state, 0, 1)


def test_what_no_person_decided_is_counted(desk: Desk) -> None:
    """Marks and boxes of blocks with entries, less those that were asked about."""
    doubts = (look('aroma'), look('term', 'stray', 'lemon'))
    desk.take(arrived(page(pour(1, looks=doubts), empty(2), payload='9' * 24, seat=1), 9))
    number = max(desk.state.papers.pages)
    assert (0, 0) == taken_unseen(desk.state, SHEET, [number])
    desk.decide(Asked(number, 1, 'aroma'), 1.0)
    desk.decide(Asked(number, 1, 'term', 'lemon'), 1.0)
    # Ann's first wine is recorded already, so that the block is held and not counted.
    assert (0, 0) == taken_unseen(desk.state, SHEET, [number])
    assert (10, 2 * BOXES) == taken_unseen(desk.state, SHEET, [2])
    desk.decide(Asked(2, 1, 'aroma'), 1.0)
    desk.decide(Asked(2, 2, 'term', 'honey'), 1.0)
    assert (9, 2 * BOXES - 1) == taken_unseen(desk.state, SHEET, [2])


def test_a_second_look_that_finds_nothing_bounds_the_rate(desk: Desk) -> None:
    """The counts of all second looks go into one bound."""
    assert audits_so_far(desk.state) is None
    audit(desk, (2,))
    audit(desk, (5, 8))
    found = audits_so_far(desk.afresh())

    assert found is not None
    assert (3, 30, 6 * BOXES, 0, 0) == (
        found.pages, found.marks, found.boxes, found.wrong_marks, found.wrong_boxes,
    )  # fmt: skip
    assert 1 - 0.05 ** (1 / 30) == pytest.approx(found.marks_below)
    assert 1 - 0.05 ** (1 / (6 * BOXES)) == pytest.approx(found.boxes_below)


def test_what_was_wrong_is_counted_and_put_right(desk: Desk) -> None:
    """A mark and a box: what was read is noted beside the truth, and the entry corrected."""
    came = audit(
        desk, (2, 5), WrongReading(2, 1, 'aroma', truth=5.0),
        WrongReading(5, 2, 'term', 'lemon', truth=1.0),
    )  # fmt: skip
    state = desk.afresh()
    found = audits_so_far(state)

    assert ((3, 7), ()) == (came.corrected, came.set_aside)
    assert (5.0, ('lemon',)) == (
        state.entries[3].now.marks['aroma'], state.entries[7].now.terms,
    )  # fmt: skip
    assert (
        WrongReading(2, 1, 'aroma', '', 4.5, 5.0), WrongReading(5, 2, 'term', 'lemon', 0.0, 1.0),
    ) == state.papers.audits[0].wrong  # fmt: skip
    assert found is not None
    assert (1, 1) == (found.wrong_marks, found.wrong_boxes)
    assert audit_bound(1, 20) == found.marks_below
    assert desk.ledger.verify().holds


def test_what_a_person_decided_wrongly_is_put_right_and_not_counted(desk: Desk) -> None:
    """The bound is about what was taken without a person."""
    desk.decide(Asked(2, 1, 'aroma'), 1.0)
    came = audit(desk, (2,), WrongReading(2, 1, 'aroma', truth=5.0))
    found = audits_so_far(desk.afresh())

    assert ((3,), 5.0) == (came.corrected, desk.reads(3)['aroma'])
    assert found is not None
    assert (9, 0) == (found.marks, found.wrong_marks)


def test_an_entry_that_lacks_a_mark_after_all_is_set_aside(desk: Desk) -> None:
    """It stays in the record with the reason, and does not count."""
    came = audit(desk, (2,), WrongReading(2, 1, 'aroma', truth=None))
    ((entry, standing),) = desk.afresh().set_aside()

    assert ((3,), 3) == (came.set_aside, entry.number)
    assert "a second look at scan.pdf, page 1: nothing is marked for aroma" == standing.why


def test_a_block_taken_for_empty_is_made_good(desk: Desk) -> None:
    """Its marks become an entry, and count as wrongly read."""
    desk.take(arrived(page(empty(3), pour(4), payload='9' * 24), 9))
    number = max(desk.state.papers.pages)
    wrong = [WrongReading(number, 3, key, truth=mark) for key, mark in MARKS.items()]
    came = audit(desk, (number,), *wrong)
    state = desk.afresh()
    found = audits_so_far(state)

    assert ({}, 1, '303') == (
        state.waiting(), len(came.entries), state.entries[came.entries[0]].now.code,
    )  # fmt: skip
    assert found is not None
    assert (5, 5, 1.0) == (found.marks, found.wrong_marks, found.marks_below)


@pytest.mark.parametrize(
    ('wrong', 'said'),
    [
        (WrongReading(5, 1, 'aroma', truth=5.0), 'one that was'),
        (WrongReading(2, 1, 'aroma', truth=4.5), 'something else'),
        (WrongReading(2, 1, 'aroma', truth=4.3), '0 to 6 in half points'),
        (WrongReading(2, 1, 'total', truth=15.0), 'a category, or a box'),
    ],
)
def test_a_second_look_that_does_not_fit_is_refused(
    desk: Desk, wrong: WrongReading, said: str
) -> None:
    """Nothing of it is recorded."""
    head = desk.ledger.head
    with pytest.raises(UsageError) as refusal:
        audit(desk, (2,), wrong)
    assert said in refusal.value.expected
    assert head == desk.ledger.head


def test_a_page_has_one_second_look(desk: Desk) -> None:
    """Marks are not counted twice; pages that are not there cannot be looked at."""
    audit(desk, (2,))
    with pytest.raises(UsageError, match='second look before'):
        audit(desk, (2, 5))
    with pytest.raises(NotInLedger):
        audit(desk, (3,))
    with pytest.raises(UsageError, match='--who'):
        record_audit(desk.ledger, desk.tasting, POURED, (5,), (), seed=1, who=" ")
    assert math.isclose(audit_bound(0, 10), audits_so_far(desk.afresh()).marks_below)  # type: ignore[union-attr]
