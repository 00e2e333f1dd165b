"""The shipped typeface: where it lies, and which letters it can print."""

from __future__ import annotations

import json
import unicodedata
from bisect import bisect_right
from functools import cache
from pathlib import Path

FAMILY = 'Inter'


def font_directory() -> Path:
    """The folder that holds the four styles of the typeface and its licence."""
    return Path(__file__).parent / 'fonts'


@cache
def _ranges() -> tuple[tuple[int, ...], tuple[int, ...]]:
    text = (font_directory() / 'coverage.json').read_text(encoding='utf-8')
    ranges = json.loads(text)
    return tuple(first for first, _ in ranges), tuple(last for _, last in ranges)


def is_covered(character: str) -> bool:
    """Whether every style of the typeface has a shape for this one character."""
    firsts, lasts = _ranges()
    code = ord(character)
    place = bisect_right(firsts, code) - 1
    return place >= 0 and code <= lasts[place]


def printable(text: str) -> str:
    """The text with every letter that the typeface lacks written as its code, `[U+6771]`.

    Line breaks, tabs and other control characters become spaces; letters with a plain
    equal (full-width, ligatures) become that equal. Nothing prints as an empty box.
    """
    if text.isascii() and text.isprintable():
        return text
    return ''.join(_printable_character(c) for c in unicodedata.normalize('NFC', text))


def _printable_character(character: str) -> str:
    kind = unicodedata.category(character)
    if kind in {'Cc', 'Zl', 'Zp'}:
        return ' '
    if kind in {'Cf', 'Cs', 'Co', 'Cn'}:
        return f'[U+{ord(character):04X}]' if kind != 'Cf' else ''
    if is_covered(character):
        return character
    plain = unicodedata.normalize('NFKC', character)
    if all(is_covered(c) for c in plain):
        return plain
    return f'[U+{ord(character):04X}]'


def is_printable(text: str) -> bool:
    """Whether the text can be printed without writing any letter as its code."""
    return '[U+' in text or '[U+' not in printable(text)
