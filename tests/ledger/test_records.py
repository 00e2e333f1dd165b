"""What a record says comes back as it was said."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.ledger.paper_sample import HELD, look, pour
from tests.ledger.sample import arrived, entry, held

from halfpoint.ledger.bodies import as_body, from_body
from halfpoint.ledger.chain import as_json
from halfpoint.ledger.records import (
    KINDS,
    Audited,
    Content,
    Corrected,
    Decided,
    EntryRecorded,
    FileGathered,
    Opened,
    PageRecorded,
    Planned,
    Preferred,
    Restored,
    Revealed,
    RowHeld,
    SetAside,
    Settled,
    Target,
    WrongReading,
)

TEXT = st.text(st.characters(exclude_categories=['Cs']), max_size=20)
NUMBER = st.integers(1, 10**6)
ENTRIES = st.builds(
    entry,
    taster=st.sampled_from(['ann', 'Zoë', 'ab c']),
    aroma=st.sampled_from([0.0, 2.5, 6.0]),
    site=st.none() | st.just('north'),
    position=st.none() | st.integers(1, 30),
    code=st.none() | st.just('482'),
    pour=st.none() | st.just('b'),
    terms=st.sampled_from([(), ('lemon',), ('lemon', 'honey')]),
    finish_seconds=st.none() | st.sampled_from([0.0, 12.5]),
    remark=TEXT,
    families=st.sampled_from([(), ('stone',)]),
    finish_band=st.sampled_from(['', 'long']),
)
VALUES = st.none() | st.sampled_from([0.0, 1.0, 4.5]) | TEXT
POURS = st.builds(
    pour,
    place=st.integers(1, 4),
    terms=st.sampled_from([(), ('lemon',)]),
    total_read=st.none() | st.just(15.0),
    seconds_read=st.none() | NUMBER,
    looks=st.lists(st.builds(look, TEXT, TEXT, TEXT, st.just(1.0), TEXT), max_size=2).map(tuple),
    is_empty=st.booleans(),
)
PAGES = st.builds(
    PageRecorded,
    *(TEXT, NUMBER, TEXT, TEXT, TEXT, TEXT, st.none() | NUMBER, NUMBER, NUMBER, TEXT, NUMBER),
    st.lists(POURS, max_size=3).map(tuple),
    st.just((look('seat', 'written', '', '12'),)) | st.just(()),
    TEXT,
    st.none() | st.just(HELD),
    st.none() | NUMBER,
    st.none() | NUMBER,
)
WRONG = st.builds(WrongReading, NUMBER, st.integers(0, 4), TEXT, TEXT, VALUES, VALUES)
CONTENTS = st.one_of(
    st.builds(Opened, TEXT, TEXT, TEXT),
    st.builds(Planned, st.dictionaries(TEXT, st.lists(TEXT | NUMBER | st.booleans()))),
    st.builds(FileGathered, TEXT, TEXT, NUMBER, NUMBER, st.just(0)),
    st.builds(EntryRecorded, ENTRIES, TEXT, st.none() | NUMBER, st.just({'light': 'red'})),
    st.builds(RowHeld, TEXT, NUMBER, TEXT, TEXT, TEXT, st.dictionaries(TEXT, TEXT)),
    st.builds(Settled, st.tuples(NUMBER, NUMBER), NUMBER),
    st.builds(Corrected, NUMBER, ENTRIES, TEXT),
    st.builds(SetAside, st.builds(Target, entry=NUMBER), TEXT),
    st.builds(SetAside, st.builds(Target, held=NUMBER), TEXT),
    st.builds(SetAside, st.builds(Target, site=st.none() | TEXT, wine=TEXT), TEXT),
    st.builds(Restored, NUMBER, TEXT),
    st.builds(Revealed),
    PAGES,
    st.builds(Decided, NUMBER, st.integers(0, 4), TEXT, TEXT, VALUES),
    st.builds(Preferred, NUMBER, st.none() | NUMBER),
    st.builds(
        Audited, st.tuples(NUMBER, NUMBER), NUMBER, NUMBER, NUMBER,
        st.lists(WRONG, max_size=2).map(tuple),
    ),
)  # fmt: skip


def there_and_back(content: Content) -> Content:
    """The content after it was written as JSON and read again."""
    return from_body(content.kind, json.loads(as_json(as_body(content))))


@given(CONTENTS)
def test_every_kind_comes_back_as_it_was(content: Content) -> None:
    """Written as JSON and read again, a record says the same."""
    assert content == there_and_back(content)


def test_columns_and_categories_keep_their_order() -> None:
    """A held row's columns and an entry's categories come back in the order they had."""
    row = there_and_back(held(original={'Wine': 'w1', 'Aroma': '9', 'About': ''}))
    marked = there_and_back(arrived())

    assert isinstance(row, RowHeld)
    assert ['Wine', 'Aroma', 'About'] == list(row.original)
    assert isinstance(marked, EntryRecorded)
    assert list(entry().marks) == list(marked.entry.marks)


def test_an_unknown_kind_is_not_guessed_at() -> None:
    """A kind of record that is not known is a KeyError, and so never passed over."""
    with pytest.raises(KeyError):
        from_body('rumour', {})
    assert 'rumour' not in KINDS


def test_records_written_before_paper_keep_their_hashes() -> None:
    """What an entry or held row says no more than before is left out of its body."""
    body = '{"entry":{"taster":"ann","wine":"w1","marks":{"appearance":3.0,"aroma":4.5,"taste":4.0,'
    body += '"aftertaste":2.0,"overall":1.5},"total":15.0},"file":"south.csv","row":2}'

    assert body == as_json(as_body(arrived()))
    assert not {'page', 'place'} & as_body(held()).keys()


@pytest.mark.parametrize(
    ('kind', 'body'),
    [
        ('page', {'file': 'a', 'page': 1, 'digest': 'd', 'pours': [{'place': 1}]}),
        ('page', {'file': 'a', 'page': 1, 'digest': 'd', 'pours': [{'star': 5}]}),
        ('page', {'file': 'a', 'page': 1, 'digest': 'd', 'looks': [{'field': 'aroma'}]}),
        ('page', {'file': 'a', 'page': 1, 'digest': 'd', 'held': {'reason': 'x'}}),
        ('decision', {'page': 1}),
        ('audit', {'pages': [1], 'seed': 1, 'marks': 1, 'boxes': 1, 'wrong': [{'page': 1}]}),
    ],
)
def test_a_page_that_says_something_strange_is_not_understood(
    kind: str, body: dict[str, object]
) -> None:
    """A field that lacks, or is not known, is never passed over."""
    with pytest.raises((KeyError, TypeError, ValueError)):
        from_body(kind, body)
