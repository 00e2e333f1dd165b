"""A table kept up with the record is the table made anew from all of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from polars.testing import assert_frame_equal
from tests.ledger.sample import arrived, entry, held

from halfpoint.ledger import entries_table
from halfpoint.ledger.bodies import as_body
from halfpoint.ledger.chain import START, Head, Record, as_json, link
from halfpoint.ledger.entries_table import EntriesTable
from halfpoint.ledger.pours import EntryState
from halfpoint.ledger.records import (
    Content,
    Corrected,
    EntryRecorded,
    Left,
    Pseudonym,
    Restored,
    Revealed,
    SetAside,
    Settled,
    Target,
)
from halfpoint.ledger.replay import State, replay
from halfpoint.ledger.view import current_entries, held_rows, set_aside_entries
from halfpoint.sheet.entry import Entry

TASTERS, WINES, SITES = ('ann', 'bob', 'cy'), ('w1', 'w2'), ('north', 'south')
WORDS = st.lists(st.sampled_from(['lemon', 'honey', 'wet slate']), max_size=2, unique=True)
COVARIATES = st.dictionaries(
    st.sampled_from(['glass', 'warmth', 'taste']),
    st.none() | st.sampled_from(['tulip', 'flute']) | st.sampled_from([12.0, 7.5]),
    max_size=2,
)
Draw = Callable[[st.SearchStrategy], object]


class Story:
    """A record that grows by whatever can happen next."""

    def __init__(self, draw: Draw) -> None:
        self._draw = draw
        self.records: list[Record] = []
        self.state = State()
        self._head = Head(0, START)

    def go_on(self) -> None:
        """One thing more happens."""
        happens = self._draw(st.sampled_from([
            self._entry, self._entry, self._entry, self._correction, self._aside, self._aside,
            self._restored, self._held, self._settled, self._called, self._left, Revealed,
        ]))  # fmt: skip
        content = happens()
        if content is None:
            return
        record = link(self._head, content.kind, 'now', "Mira", as_json(as_body(content)))
        self._head = Head(record.sequence, record.hash)
        self.records.append(record)
        replay([record], self.state)

    def _said(self) -> Entry:
        draw = self._draw
        made = entry(
            draw(st.sampled_from(TASTERS)),
            draw(st.sampled_from(WINES)),
            draw(st.sampled_from([0.0, 3.5, 6.0])),
            site=draw(st.none() | st.sampled_from(SITES)),
            position=draw(st.none() | st.integers(1, 3)),
            remark=draw(st.sampled_from(['', "long", "sharp, \x1f odd"])),
            terms=tuple(word for word in draw(WORDS) if word != 'wet slate'),
        )
        # Another sheet: categories in another order, or fewer of them.
        keys = draw(st.permutations(list(made.marks)))[draw(st.integers(0, 2)) :]
        own = tuple(word for word in draw(WORDS) if word == 'wet slate')
        return replace(made, marks={key: made.marks[key] for key in keys}, own_words=own)

    def _entry(self) -> Content:
        return EntryRecorded(self._said(), 'south.csv', 2, self._draw(COVARIATES))

    def _one(self, numbers: list[int]) -> int | None:
        return self._draw(st.sampled_from(numbers)) if numbers else None

    def _correction(self) -> Content | None:
        number = self._one(list(self.state.entries))
        return number and Corrected(number, self._said(), "misread")

    def _aside(self) -> Content | None:
        draw = self._draw
        number = self._one([*self.state.entries, *self.state.held])
        if number is None:
            return None
        one = Target(held=number) if number in self.state.held else Target(entry=number)
        taster = Target(taster=draw(st.sampled_from(TASTERS)))
        bottle = Target(site=draw(st.sampled_from(SITES)), wine=draw(st.sampled_from(WINES)))
        return SetAside(draw(st.sampled_from([one, taster, bottle])), "spilt")

    def _restored(self) -> Content | None:
        standing = [each.number for several in self.state.standing.values() for each in several]
        number = self._one(standing)
        return number and Restored(number, "found after all")

    def _held(self) -> Content:
        return held(self._draw(st.integers(2, 9)), conflicts=self._one(list(self.state.entries)))

    def _settled(self) -> Content | None:
        number, by = self._one(list(self.state.held)), self._one(list(self.state.entries))
        return Settled((number,), by) if number and by else None

    def _called(self) -> Content:
        name = self._draw(st.sampled_from(['taster-01', 'taster-02', 'bob']))
        return Pseudonym(self._draw(st.sampled_from(TASTERS)), name)

    def _left(self) -> Content | None:
        number = self._one(list(self.state.entries))
        return number and Left(number, 'taste', "high")


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_kept_up_is_the_same_as_made_anew(data: st.DataObject) -> None:
    """Whatever happens, and whenever it is asked: the same rows, columns, kinds and order."""
    story, table = Story(data.draw), EntriesTable()
    for _ in range(data.draw(st.integers(1, 25))):
        story.go_on()
        if data.draw(st.booleans()):
            kept = table.in_force(story.state)
            assert_frame_equal(current_entries(story.records), kept, check_exact=True)
    assert_frame_equal(current_entries(story.records), table.in_force(story.state))
    for view in (held_rows, set_aside_entries):
        assert_frame_equal(view(story.records), view(story.state), check_exact=True)


def test_only_what_is_new_is_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of three entries and one correction after the first time, two rows are laid out."""
    laid: list[int] = []
    rows = entries_table._rows

    def counted(states: Sequence[EntryState]) -> pl.DataFrame:
        laid.append(len(states))
        return rows(states)

    monkeypatch.setattr(entries_table, '_rows', counted)
    head, state, table = Head(0, START), State(), EntriesTable()
    said = [arrived('ann'), arrived('bob'), arrived('cy'), Corrected(1, entry(aroma=2.0), "why")]
    for number, content in enumerate(said):
        record = link(head, content.kind, 'now', "Mira", as_json(as_body(content)))
        head = Head(record.sequence, record.hash)
        replay([record], state)
        if number == 1:
            assert 2 == table.in_force(state).height
    assert [2.0, 4.5, 4.5] == table.in_force(state)['aroma'].to_list()
    assert [2, 2] == laid
