"""Bytes to text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.collect.table.decode import decode, encoding_of
from halfpoint.errors import NotATable

LINES = st.text(
    st.characters(codec='cp1252', exclude_categories=['Cc', 'Cs']), min_size=1, max_size=200
)
TEXT = "Taster;Wine;Mark\nJörg Müller;Grüner Hügel;4½\n"


@pytest.mark.parametrize(
    'encoding', ['utf-8', 'utf-8-sig', 'utf-16', 'utf-16-le', 'utf-16-be', 'cp1252']
)
def test_each_encoding_is_found(encoding: str) -> None:
    """The same table comes back from each encoding, marked or not."""
    assert decode(TEXT.encode(encoding), where='x') == TEXT


@given(LINES)
def test_marked_and_utf8_text_comes_back(text: str) -> None:
    """Any text in UTF-8, or in UTF-16 with its mark, is read as written (codec: stdlib)."""
    assert decode(text.encode('utf-8-sig'), where='x') == text
    assert decode(b'\xff\xfe' + text.encode('utf-16-le'), where='x') == text
    assert decode(b'\xfe\xff' + text.encode('utf-16-be'), where='x') == text


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=2))
def test_unmarked_utf16_of_latin_letters_is_known_by_its_zeros(text: str) -> None:
    """UTF-16 without a mark is told from its zero bytes, and which side they are on."""
    assert encoding_of(text.encode('utf-16-le')) == 'utf-16-le'
    assert encoding_of(text.encode('utf-16-be')) == 'utf-16-be'


@pytest.mark.parametrize('data', [b'\x00\x01\x02\x03' * 20, b'a,b\n\x07\x00', b'\x81\x8d\xfe' * 9])
def test_what_is_no_text_is_refused(data: bytes) -> None:
    """Control characters, and bytes that no encoding has, are no table."""
    with pytest.raises(NotATable):
        decode(data, where='x')


def test_an_old_end_of_file_mark_is_dropped() -> None:
    """A Ctrl-Z at the very end, as old programs write, is no part of the text."""
    assert decode(b'a,b\r\n1,2\r\n\x1a', where='x') == 'a,b\r\n1,2\r\n'
