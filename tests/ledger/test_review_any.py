"""Pages taken, marks decided and pictures preferred in any order: nothing accepted is lost."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.ledger.paper_sample import Desk, arrived, empty, look, page, pour, spare

from halfpoint.errors import NotInLedger, UsageError
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.replay import State

DOUBTFUL = {'aroma': None}
VALUES = st.sampled_from(
    [None, 0.0, 1.0, 2.0, 4.5, 16.0, '1', '2', '9', 'ann', '101', '202', '303', '404', '999']
)
FIELDS = st.sampled_from(
    [('aroma', ''), ('taste', ''), ('total', ''), ('code', ''), ('seat', ''),
     ('term', 'lemon'), ('band', 'long'), ('band', 'short')]
)  # fmt: skip
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just('decide'), st.integers(2, 12), st.integers(0, 3), FIELDS, VALUES),
        st.tuples(st.just('take'), st.integers(0, 5), st.integers(1, 4)),
        st.tuples(st.just('prefer'), st.integers(2, 12), st.integers(2, 12)),
    ),
    max_size=14,
)
CODE_LOOK = (look('code', 'written'),)
PAGES = (
    page(pour(1, marks=DOUBTFUL), pour(2)),
    page(pour(1, marks={'aroma': 5.0}), pour(2, marks={'taste': 1.0})),
    page(pour(1), empty(2)),
    page(pour(1, looks=(look('total', 'total'),), total_read=16.0), seat=2),
    spare(pour(1, '', looks=CODE_LOOK), pour(2, '', marks=DOUBTFUL, looks=CODE_LOOK)),
    spare(pour(1, '', looks=CODE_LOOK, terms=('lemon',))),
)


@given(STEPS)
@settings(max_examples=60, deadline=None)
def test_any_sequence_of_steps_keeps_what_was_accepted(
    tmp_path_factory: pytest.TempPathFactory, steps: list[Any]
) -> None:
    """The chain holds, no entry or version is lost, and the state carried on is the record's."""
    with Desk(tmp_path_factory.mktemp('any')) as desk:
        desk.take(arrived(PAGES[0], 1), arrived(PAGES[4], 2))
        for step in steps:
            before = {n: list(e.versions) for n, e in desk.state.entries.items()}
            try:
                _take_step(desk, step)
            except (UsageError, NotInLedger):
                desk.state = State()
                desk.take()
            after = {n: e.versions for n, e in desk.state.entries.items()}
            for number, versions in before.items():
                assert versions == after[number][: len(versions)]
        afresh = desk.afresh()
        assert desk.ledger.verify().holds
        assert afresh.papers == desk.state.papers
        pours = [(e.now.taster, e.now.code) for e in afresh.entries.values()]
        assert len(pours) == len(set(pours))


def _take_step(desk: Desk, step: tuple[Any, ...]) -> None:
    match step:
        case ('decide', number, place, (name, about), value):
            desk.decide(Asked(number, place, name, about), value)
        case ('take', which, number):
            desk.take(arrived(PAGES[which], number, file='more.pdf'))
        case ('prefer', one, other):
            desk.prefer(one, other)
