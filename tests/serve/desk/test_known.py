"""The record as a process beside the server remembers it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from polars.testing import assert_frame_equal
from tests.serve.conftest import Evening
from tests.serve.desk.filled_desk import fill, send
from tests.serve.filled import sheet

from halfpoint.errors import LedgerAltered
from halfpoint.ledger.chain import Record
from halfpoint.ledger.ledger import Ledger
from halfpoint.ledger.store import SqliteStore
from halfpoint.publish.from_record import marks_of_state
from halfpoint.serve.desk.known import Known, known_now


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The numbers of all records that were read from here on."""
    numbers: list[int] = []
    rows = SqliteStore.rows

    def counted(store: SqliteStore, after: int = 0) -> Iterator[Record]:
        for record in rows(store, after):
            numbers.append(record.sequence)
            yield record

    monkeypatch.setattr(SqliteStore, 'rows', counted)
    return numbers


def test_only_what_is_new_is_read(evening: Evening, read: list[int]) -> None:
    """The second time the record is looked at from where it was left, and gives the same marks."""
    fill(evening, but=1)
    pour, tasting = evening.plan.pours[-1], evening.tasting
    with known_now(tasting) as known:
        before, first = known.state.last, known.marks(tasting)
    send(evening, pour, sheet(pour.code))
    read.clear()
    with known_now(tasting) as known:
        second = known.marks(tasting)
        rebuilt = marks_of_state(tasting, known.state)
    assert {1, before, before + 1} == set(read)
    assert first.frame.height + 1 == second.frame.height
    assert_frame_equal(rebuilt.frame, second.frame, check_exact=True)
    assert replace(rebuilt, frame=second.frame) == second


def test_another_record_is_read_anew(evening: Evening) -> None:
    """A record of the same length that says something else, as a cleaned copy, is not mixed up."""
    fill(evening, but=1)
    tasting = evening.tasting
    with known_now(tasting) as known, Ledger.open(tasting.ledger, tasting_key='mossgate') as ledger:
        assert known.is_of(ledger)
        assert not Known(known.state, known.table, hash='0' * 64).is_of(ledger)
        assert Known().is_of(ledger)


def test_nothing_is_kept_of_a_record_that_fails(
    evening: Evening, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a refusal the record is read from its beginning, not from somewhere in between."""
    fill(evening, but=1)
    pour, tasting = evening.plan.pours[-1], evening.tasting
    with known_now(tasting) as first:
        count = len(first.state.entries)
    send(evening, pour, sheet(pour.code))
    with monkeypatch.context() as patch:
        patch.setattr(Record, 'content', property(lambda _: {}['odd']))
        with pytest.raises(LedgerAltered), known_now(tasting):
            pass
    with known_now(tasting) as again:
        assert again is not first
        assert count + 1 == len(again.state.entries)
