"""Reasons for what is decided about paper go into the record beside the name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.ledger.paper_sample import POURED, Desk, arrived, page, pour

from halfpoint.ledger.bodies import as_body, from_body
from halfpoint.ledger.history import history
from halfpoint.ledger.paper import Asked
from halfpoint.ledger.records import Decided, Preferred
from halfpoint.ledger.review import decide


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A record with one page on which an aroma mark is doubtful."""
    with Desk(tmp_path) as desk:
        desk.take(arrived(page(pour(1, marks={'aroma': None}))))
        yield desk


def test_a_decision_keeps_its_reason(desk: Desk) -> None:
    """Name and reason of a decision are told by the history."""
    decide(
        desk.ledger, desk.tasting, POURED, Asked(2, 1, 'aroma'), 5.0, who="Mira",
        why="the pencil is faint", state=desk.state,
    )  # fmt: skip
    told = [each for each in history(desk.ledger.records()) if 'looked at' in each.what]
    assert [("Mira", True)] == [(each.who, 'the pencil is faint' in each.what) for each in told[:1]]


@pytest.mark.parametrize(
    'content', [Decided(2, 1, 'aroma', value=5.0, why='faint'), Preferred(3, 2, 'sharper')]
)
def test_reasons_come_back(content: Decided | Preferred) -> None:
    """What was written down is read back, and records without a reason read as before."""
    body = as_body(content)
    assert content == from_body(content.kind, dict(body))
    body.pop('why')
    assert '' == from_body(content.kind, body).why
