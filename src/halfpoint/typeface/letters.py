"""A name as it is set, and the stretches of it for which the shipped typeface has no letters."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from fontTools.unicodedata import script

from halfpoint.typeface import is_covered

JOINERS = frozenset('\u200c\u200d')
ISOLATE, END = '\u2068', '\u2069'
_ISOLATES = frozenset(ISOLATE + END)
# Scripts that are written among each other, within a word.
_TOGETHER = dict.fromkeys(('Hira', 'Kana', 'Bopo', 'Hang'), 'Hani')
COMMON, UNKNOWN = 'Zyyy', 'Zzzz'
_RIGHT_TO_LEFT = frozenset({'R', 'AL', 'AN'})


@dataclass(frozen=True, slots=True)
class Run:
    """Letters of one script (ISO 15924), with their marks, that the shipped typeface lacks."""

    text: str
    script: str


def one_line(text: str, most: int) -> str:
    """A name on one line, in letters as they are set, cut where it is longer than `most`.

    Where it has letters from right to left it is set apart, so that what stands beside it
    keeps its place (Unicode Standard Annex 9, first strong isolate).
    """
    letters = as_set(''.join(c for c in text if c not in _ISOLATES))
    line = ' '.join(letters.split())
    if len(line) > most:
        line = _cut(line, most - 1).rstrip() + '…'
    turned = not line.isascii() and any(
        unicodedata.bidirectional(c) in _RIGHT_TO_LEFT for c in line
    )
    return f'{ISOLATE}{line}{END}' if turned else line


def as_set(text: str) -> str:
    """The text in composed letters (NFC), with nothing in it that has no shape of its own.

    Line breaks, tabs and other control characters become spaces. Joiners and variation
    selectors stay with letters beyond the shipped typeface, whose shape hangs on them. Letters
    with a plain equal (full-width, ligatures) become that equal where only it is at hand.
    """
    if text.isascii() and text.isprintable():
        return text
    made: list[str] = []
    for character in unicodedata.normalize('NFC', text):
        kept = _kept(character, made[-1] if made else ' ')
        if kept:
            made.append(kept)
    return ''.join(made)


def runs(text: str) -> list[Run]:
    """The stretches of a text, as set, for which the shipped typeface has no letters."""
    if text.isascii() or all(is_covered(c) or c in _ISOLATES for c in text):
        return []
    found: list[Run] = []
    follows = False
    for cluster in clusters(text):
        beyond = not all(is_covered(c) or c in _ISOLATES for c in cluster)
        if beyond:
            kind = _script(cluster)
            if follows and kind in {found[-1].script, COMMON}:
                found[-1] = Run(found[-1].text + cluster, found[-1].script)
            else:
                found.append(Run(cluster, kind))
        follows = beyond
    return found


def clusters(text: str) -> Iterator[str]:
    """Letters, each with the marks, joiners and selectors that follow it."""
    start = 0
    for place in range(1, len(text) + 1):
        if place == len(text) or not _hangs_on(text[place]):
            yield text[start:place]
            start = place


def is_unseen(character: str) -> bool:
    """Whether it only says how its neighbours are shaped: a joiner or variation selector."""
    code = ord(character)
    return character in JOINERS or 0xFE00 <= code <= 0xFE0F or 0xE0100 <= code <= 0xE01EF


def _kept(character: str, before: str) -> str:
    kind = unicodedata.category(character)
    if character in _ISOLATES:
        return character
    if is_unseen(character):
        return character if is_unseen(before) or not is_covered(before) else ''
    if kind == 'Cf':
        return ''
    if is_covered(character):
        return character
    if kind in {'Cc', 'Zl', 'Zp', 'Zs'}:
        return ' '
    plain = unicodedata.normalize('NFKC', character)
    return plain if all(is_covered(c) for c in plain) else character


def _hangs_on(character: str) -> bool:
    return is_unseen(character) or unicodedata.category(character).startswith('M')


def _cut(line: str, most: int) -> str:
    """At most so many characters, a letter never parted from its marks."""
    while most and _hangs_on(line[most]):
        most -= 1
    return line[:most]


def _script(cluster: str) -> str:
    found = str(script(next((c for c in cluster if not is_covered(c)), cluster[0])))
    base = str(script(cluster[0])) if found == 'Zinh' else found
    return _TOGETHER.get(base, COMMON if base == 'Zinh' else base)
