"""Pages read from paper in the record: none twice, none lost."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.ledger.paper_sample import HELD, Desk, arrived, empty, page, pour, spare

from halfpoint.ledger.pages import is_known


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A record of nothing yet."""
    with Desk(tmp_path) as desk:
        yield desk


def test_a_complete_page_becomes_entries(desk: Desk) -> None:
    """Wine, second pour and position come from the plan; the scan and its page are named."""
    taken = desk.take(arrived(page(pour(1), pour(4, terms=('lemon',), families=('stone',))), 7))
    first, second = (desk.state.entries[number] for number in taken.entries)

    assert ('ann', 'w1', 'north', 1, '101', None) == _about(first.now)
    assert ('ann', 'w3', 'north', 4, '404', '2') == _about(second.now)
    assert (('lemon',), ('scan.pdf', 7)) == (
        second.now.terms, (second.recorded.file, second.recorded.row),
    )  # fmt: skip
    assert "scan.pdf, page 7" == second.recorded.origin
    assert 0 == taken.looks


def _about(entry):
    return entry.taster, entry.wine, entry.site, entry.position, entry.code, entry.pour
