"""Text that a record and a table can hold, and what to say of text that they cannot."""

from __future__ import annotations

import re

# Control characters but tab and line breaks, and halves of surrogate pairs (Unicode 16, 23.1
# and 23.6).
_NO_TEXT = re.compile('[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]')


def is_text(text: str) -> bool:
    """Whether everything in it is text: letters of any script, signs, emoji, line breaks."""
    return _NO_TEXT.search(text) is None


def as_text(text: str) -> str:
    r"""The same with what is no text written out.

    >>> as_text('a\x00b')
    'a\\x00b'
    """
    return _NO_TEXT.sub(lambda found: ascii(found[0])[1:-1], text)
