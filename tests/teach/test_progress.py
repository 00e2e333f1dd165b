"""From session to session."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.teach.sample_practice import SHEET, WINES, entry, result

from halfpoint.teach.diary import Diary, Marked, Stage
from halfpoint.teach.prior import panel_prior
from halfpoint.teach.progress import follow
from halfpoint.teach.reference import TOTAL, reference_of

REFERENCE = reference_of(result(), SHEET, 'result.json')
LOW = {
    WINES[0]: [3.0, 4.0, 4.0, 2.0, 1.0],
    WINES[1]: [2.5, 3.5, 3.5, 1.5, 1.0],
    WINES[2]: [2.5, 3.0, 3.5, 1.5, 1.0],
    WINES[3]: [2.0, 2.0, 2.5, 1.0, 0.5],
}


def flight(session: str) -> tuple[Marked, ...]:
    """Four wines, each about two points below the panel."""
    return tuple(Marked(session, entry(wine, marks)) for wine, marks in LOW.items())


def diary(*stages: Stage) -> Diary:
    """A practice of these stages."""
    return Diary(SHEET, stages, (), ())


def test_more_sessions_make_surer() -> None:
    """A second session like the first moves further from the panel and narrows the interval."""
    both = follow(diary(Stage(REFERENCE, None, flight('one') + flight('two'))))
    first, second = (one.found[TOTAL].severity for one in both.sessions)
    assert 0.0 < first.value < second.value
    assert second.se < first.se
    assert both.now == both.sessions[1].found
    assert 4 == both.wines


def test_what_was_before_can_be_left_out() -> None:
    """Fresh, every session stands alone, and one's own record is not used."""
    stage = Stage(REFERENCE, panel_prior(0.1, 0.1, 1.0), flight('one') + flight('two'))
    first, second = (one.found[TOTAL] for one in follow(diary(stage), earlier=False).sessions)
    assert first == second
    with_own = follow(diary(stage)).sessions[0].found[TOTAL]
    assert with_own.severity.value < first.severity.value


def test_a_wine_without_a_reference_is_kept_and_not_compared() -> None:
    """An own bottle among others counts in the session and in nothing else."""
    stage = Stage(REFERENCE, None, (*flight('one'), Marked('one', entry('Mine', LOW[WINES[0]]))))
    with_it, without = (
        follow(diary(one)).sessions[0] for one in (stage, replace(stage, marked=flight('one')))
    )
    assert (5, 4) == (len(with_it.entries), with_it.compared)
    assert str(without.found) == str(with_it.found)


def test_own_bottles_show_steadiness_alone() -> None:
    """By hand: totals 14 and 15 of one wine differ by a standard deviation of √0.5."""
    pours = [Marked('one', entry('Mine', [3.0, 4.0, 4.0, 2.0, last])) for last in (1.0, 2.0)]
    found = follow(diary(Stage(None, None, tuple(pours))))
    assert {} == found.now
    assert found.steadiness is not None
    assert (0.5**0.5, 1) == pytest.approx((found.steadiness.sd, found.steadiness.pairs))


def test_nothing_marked_is_no_progress_and_no_failure() -> None:
    """A practice just begun has no sessions."""
    assert ((), {}, None) == (
        (found := follow(diary(Stage(REFERENCE, None)))).sessions, found.now, found.steadiness
    )  # fmt: skip


def test_a_session_gone_back_to_is_one_session() -> None:
    """Marks of one name belong together, even with another session between."""
    marked = (*flight('one')[:2], *flight('two'), *flight('one')[2:])
    found = follow(diary(Stage(REFERENCE, None, marked)))
    assert [('one', 4), ('two', 4)] == [(one.session, one.compared) for one in found.sessions]


def test_wines_count_over_all_sessions() -> None:
    """Two wines and two more are four; looked at fresh, each session has its two."""
    marked = (*flight('one')[:2], *flight('two')[2:])
    practice = diary(Stage(REFERENCE, None, marked))
    together, fresh = follow(practice), follow(practice, earlier=False)
    assert [(2, False), (4, True)] == [
        (one.found[TOTAL].wines, one.found[TOTAL].told) for one in together.sessions
    ]
    assert [(2, False)] * 2 == [
        (one.found[TOTAL].wines, one.found[TOTAL].told) for one in fresh.sessions
    ]


def test_a_faulty_bottle_does_not_count() -> None:
    """A wine in which a fault was ticked is in the session and not in the figures."""
    spoiled = Marked('one', entry(WINES[0], [1.0, 1.0, 1.0, 0.5, 0.0], faults=['corked']))
    sound = flight('one')[1:]
    with_it, without = (
        follow(diary(Stage(REFERENCE, None, marked))).sessions[0]
        for marked in ((spoiled, *sound), sound)
    )
    assert (4, 3) == (len(with_it.entries), with_it.compared)
    assert str(without.found) == str(with_it.found)
