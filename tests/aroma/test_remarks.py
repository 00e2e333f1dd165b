"""Words in remarks taken for terms of the sheet."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.aroma.remarks import match_terms

LABELS = {
    'citrus': 'citrus',
    'white-flowers': 'white flowers',
    'pear': 'pear',
    'oak': 'oak',
    'stone': 'stone',
}


@pytest.mark.parametrize(
    ('remark', 'expected'),
    [
        ('Citrus, then pear', ['citrus', 'pear']),
        ('lovely WHITE FLOWERS!', ['white-flowers']),
        ('citrous nose', ['citrus']),
        ('wite flowers', ['white-flowers']),
        ('a bit of oak', ['oak']),
        ('ok wine', []),
        ('nothing to say', []),
        ('', []),
    ],
)
def test_matches(remark: str, expected: list[str]) -> None:
    """Terms are found in capitals, in two words and with a slip; other words are not."""
    assert expected == [match.term for match in match_terms(remark, LABELS)]


def test_shows_what_was_written() -> None:
    """The words taken for a term are given with it."""
    (match,) = match_terms('Some citrous fruit', LABELS)
    assert 'citrous' == match.written
    assert 82 <= match.score < 100


@given(st.text(max_size=200))
def test_any_text(remark: str) -> None:
    """Any text is read, and each term comes up once at most."""
    found = [match.term for match in match_terms(remark, LABELS)]
    assert len(found) == len(set(found))
