"""The aroma families of a sheet, and in which wines their words are usual.

Usual finds are common practice, no source.
"""

from __future__ import annotations

from halfpoint.sheet.form import Sheet
from halfpoint.sheet.words import fold
from halfpoint.teach.guide.said import Branch, Twig

WHITE, RED, EITHER = 'white', 'red', 'either'
_USUAL = {
    WHITE: (
        'citrus', 'lemon', 'lime', 'grapefruit', 'apple', 'pear', 'peach', 'mango', 'pineapple',
        'stone', 'stony', 'mineral', 'chalk', 'elderflower', 'tropical',
    ),
    RED: ('plum', 'raspberry', 'strawberry', 'blackberry', 'rose', 'violet', 'red', 'dark'),
    EITHER: ('vanilla', 'cinnamon', 'clove'),
}  # fmt: skip


def families(sheet: Sheet) -> tuple[Branch, ...]:
    """Each family of the sheet with its words, in the sheet's order."""
    return tuple(
        Branch(family.label, tuple(Twig(t.label, usual_in(t.label)) for t in family.terms))
        for family in sheet.families
    )


def usual_in(label: str) -> str:
    """Whether an aroma word is usual in whites, reds or either; empty where practice is silent.

    >>> usual_in("wet stone")
    'white'
    """
    words = set(fold(label).split())
    if 'stone' in words and 'fruit' in words:
        return ''
    return next((kind for kind, known in _USUAL.items() if words & {*known}), '')
