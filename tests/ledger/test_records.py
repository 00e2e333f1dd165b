"""What a record says comes back as it was said."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.ledger.sample import arrived, entry, held

from halfpoint.ledger.chain import as_json
from halfpoint.ledger.records import (
    KINDS,
    Content,
    Corrected,
    EntryRecorded,
    FileGathered,
    Opened,
    Planned,
    Restored,
    Revealed,
    RowHeld,
    SetAside,
    Settled,
    Target,
    as_body,
    from_body,
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
)
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
)


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
