"""Numbers and names as people write and say them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from difflib import get_close_matches

_FRACTIONS = {1 / 4: '¼', 1 / 3: '⅓', 1 / 2: '½', 2 / 3: '⅔', 3 / 4: '¾'}
_STEPS = {
    1.0: "whole points",
    1 / 2: "half points",
    1 / 3: "thirds of a point",
    1 / 4: "quarter points",
    1 / 5: "fifths of a point",
    1 / 10: "tenths of a point",
}


def say_number(value: float) -> str:
    """A number as it is written on a sheet: `4½`, `0`, `12`, `-1½`, `3.7`."""
    size = abs(value)
    if not size < 1e15:
        return f'{value:g}'
    whole = int(size)
    sign = '-' if value < 0 else ''
    for part, glyph in _FRACTIONS.items():
        if abs(size - whole - part) < 1e-6:
            return f'{sign}{whole or ""}{glyph}'
    return f'{round(value, 6) if size > 1 else value:.15g}' if value != 0 else '0'


def say_step(step: float) -> str:
    """A step as it is said: `half points`, `whole points`, `steps of 0.05`."""
    for size, name in _STEPS.items():
        if abs(step - size) < 1e-6:
            return name
    return f"steps of {say_number(step)}"


# What parts words in a cell that people fill in, and in a row that halfpoint writes.
TYPED, WRITTEN = re.compile(r'[;,|/\n]'), re.compile(r', ')
_IN_QUOTES = re.compile(r'\s*"((?:[^"]|"")*)"\s*')


def join_words(words: Iterable[str]) -> str:
    """Words as one text, with commas between; one that holds a comma or the like is quoted.

    >>> join_words(['hay', 'wet, warm slate'])
    'hay, "wet, warm slate"'
    """
    return ', '.join(_quoted(word) for word in words)


def split_words(text: str, between: re.Pattern[str] = WRITTEN) -> list[str]:
    """The words of such a text, in their order.

    >>> split_words('hay, "wet, warm slate"')
    ['hay', 'wet, warm slate']
    """
    return [word for word in _parts(text, between) if word]


def _quoted(word: str) -> str:
    if TYPED.search(word) or word.startswith('"'):
        doubled = word.replace('"', '""')
        return f'"{doubled}"'
    return word


def _parts(text: str, between: re.Pattern[str]) -> Iterator[str]:
    start = 0
    while start < len(text):
        quoted = _IN_QUOTES.match(text, start)
        found = between.search(text, start)
        if quoted and (quoted.end() == len(text) or between.match(text, quoted.end())):
            yield quoted[1].replace('""', '"')
            found = between.match(text, quoted.end())
        else:
            yield text[start : found.start() if found else len(text)].strip()
        start = found.end() if found else len(text)


def fold(text: str) -> str:
    """Text as it is compared: case, spacing and Unicode composition make no difference."""
    return ' '.join(unicodedata.normalize('NFKC', text).casefold().split())


def did_you_mean(text: str, known: Iterable[str]) -> str:
    """`; did you mean 'lemon'?` for the nearest known name, or nothing."""
    by_fold = {fold(name): name for name in known}
    nearest = get_close_matches(fold(text)[:200], by_fold, n=1)
    return f"; did you mean '{by_fold[nearest[0]]}'?" if nearest else ""
