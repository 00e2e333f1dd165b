"""Marks on paper, pages and pictures that were decided are decided anew by a new record."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.ledger.paper_sample import HELD, POURED, Desk, arrived, page, pour

from halfpoint.ledger.decisions import Decisions
from halfpoint.ledger.records import Value
from halfpoint.serve.desk.anew import Anew
from halfpoint.serve.desk.decided_looks import (
    DecidedLook,
    Telling,
    decided_looks,
    thing_called,
)
from halfpoint.serve.desk.decisions import Deciding
from halfpoint.serve.desk.looks import held_page_items, other_picture_items, page_items


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A record of nothing yet."""
    with Desk(tmp_path) as desk:
        yield desk


def _decisions(desk: Desk) -> Decisions:
    found = Decisions()
    found.follow(desk.ledger.records())
    return found


def _decided(desk: Desk) -> list[DecidedLook]:
    return decided_looks(desk.tasting, desk.afresh(), _decisions(desk), 0, 20)


def _deciding(desk: Desk, who: str, why: str) -> Deciding:
    return Deciding(desk.ledger, desk.afresh(), desk.tasting, POURED, who, why)


def _decide(desk: Desk, items: Iterator[object], value: Value) -> None:
    item = next(items)
    _deciding(desk, "Mara Quill", "saw it").decide(item, value)  # type: ignore[arg-type]
    desk.state = desk.afresh()


def _anew(desk: Desk, look: DecidedLook, value: Value) -> None:
    decisions = _decisions(desk)
    thing = thing_called(decisions, look.item.id)
    assert thing is not None
    shown = Telling(desk.tasting, desk.afresh(), decisions).look(thing)
    assert shown == look
    Anew(_deciding(desk, "Jory Fell", "looked again"), decisions, thing).decide(look.item, value)
    desk.state = desk.afresh()


def test_a_mark_on_paper(desk: Desk) -> None:
    """What was decided before is the first choice; the entry made of it is corrected."""
    (number,) = desk.take(arrived(page(pour(1, marks={'aroma': None})))).read
    assert [] == _decided(desk)
    _decide(desk, page_items(desk.tasting, desk.state.papers.pages[number]), 4.0)
    (look,) = _decided(desk)
    assert ("Mara Quill", "4", "saw it") == (
        look.decisions[0].who, look.decisions[0].said, look.decisions[0].why,
    )  # fmt: skip
    assert 4.0 == look.item.choices[0].value

    _anew(desk, look, 5.5)

    (entry,) = desk.state.entries.values()
    assert 5.5 == entry.now.marks['aroma']
    assert ['decision', 'correction'] == desk.kinds()[-2:]
    assert ["4", "5½"] == [each.said for each in _decided(desk)[0].decisions]


def test_a_page_that_could_not_be_read(desk: Desk) -> None:
    """Left out, it is let wait again, and is not among what was decided then."""
    desk.take(arrived(HELD))
    _decide(desk, held_page_items(desk.state), 'set_aside')
    (look,) = _decided(desk)
    assert ['set_aside', 'wait'] == [choice.value for choice in look.item.choices]
    assert "leave this page out" == look.decisions[0].said

    _anew(desk, look, 'wait')

    assert [] == _decided(desk)
    assert 1 == len(desk.state.pages_held())
    assert 'restored' == desk.kinds()[-1]


def test_two_pictures(desk: Desk) -> None:
    """The other is chosen after all, and back again; the entry follows."""
    desk.take(arrived(page(pour(1))))
    desk.take(arrived(page(pour(1, marks={'aroma': 5.0})), file='photo.jpg'))
    _decide(desk, other_picture_items(desk.tasting, desk.state), 'keep')
    for wanted in (5.0, 4.5):
        (look,) = _decided(desk)
        _anew(desk, look, 'take')
        (entry,) = desk.state.entries.values()
        assert wanted == entry.now.marks['aroma']
    assert ['keep the one that counts', 'take the other', 'keep the one that counts'] == [
        each.said for each in _decided(desk)[0].decisions
    ]
