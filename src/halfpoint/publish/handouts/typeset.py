"""Setting papers: plain data in, the bytes of a PDF out. Text is never read as markup."""

from __future__ import annotations

import json
import re
import threading
from functools import cache
from pathlib import Path
from typing import Any

import typst

from halfpoint.publish import palette
from halfpoint.typeface import FAMILY, font_directory, printable

_LONG_WORD = re.compile(r'[^\s-]{20,}')
_LOOK = {
    'family': FAMILY, 'ink': palette.INK, 'soft': palette.SOFT, 'line': palette.LINE,
    'card': palette.CARD, 'moss': palette.MOSS, 'clay': palette.CLAY, 'mist': palette.MIST,
}  # fmt: skip
UNPRINTABLE = "Letters that the typeface lacks are written by number, as in [U+7532]."
INVENTED = "Invented for demonstration: no real wine, person or place"
SVG = 'svg'
_LOCAL = threading.local()


def typeset(template: str, data: dict[str, Any], *, tagged: bool = True) -> bytes:
    """A PDF of `data` by `template`.typ, with the shipped typeface embedded.

    Tagged, it can be read aloud (PDF/UA-1, ISO 14289-1); many pages that are only to be printed
    take half the time and space without.

    The same data give the same bytes: the PDF carries no date.
    """
    settled = _settled(data)
    said = json.dumps({'look': _LOOK, 'invented_label': INVENTED} | settled, ensure_ascii=False)
    note = UNPRINTABLE if '[U+' in said else ''
    pdf = _compiler(template).compile(
        format='pdf',
        sys_inputs={'papers': said, 'note': note},
        pdf_standards=['ua-1'] if tagged else [],
        pdf_tags=tagged,
        timestamp=0,
    )
    if not isinstance(pdf, bytes):
        raise TypeError(template)
    return pdf


def _compiler(template: str) -> typst.Compiler:
    """One compiler for each template and thread: it keeps what it has read."""
    kept: dict[str, typst.Compiler] = _LOCAL.__dict__.setdefault('compilers', {})
    if template not in kept:
        kept[template] = typst.Compiler(
            Path(__file__).with_name(f'{template}.typ'),
            font_paths=_fonts(),
            ignore_system_fonts=True,
        )
    return kept[template]


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, font_paths=[font_directory()])


def _settled(value: Any) -> Any:
    """All texts made printable and breakable; drawings as they are."""
    if isinstance(value, dict):
        return {name: inner if name == SVG else _settled(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_settled(inner) for inner in value]
    if not isinstance(value, str):
        return value
    text = '\n'.join(printable(line) for line in value.split('\n'))
    return _LONG_WORD.sub(lambda word: re.sub(r'(.{10})', '\\1\u200b', word.group()), text)
