"""Setting papers: plain data in, the bytes of a PDF out. Text is never read as markup."""

from __future__ import annotations

import json
import re
import threading
from pathlib import Path
from typing import Any

import typst

from halfpoint.publish import palette
from halfpoint.typeface import FAMILY
from halfpoint.typeface.choosing import SHIPPED, Typefaces
from halfpoint.typeface.letters import as_set, runs

_LONG_WORD = re.compile(r'[^\s-]{20,}')
_LOOK = {
    'family': FAMILY, 'ink': palette.INK, 'soft': palette.SOFT, 'line': palette.LINE,
    'card': palette.CARD, 'moss': palette.MOSS, 'clay': palette.CLAY, 'mist': palette.MIST,
}  # fmt: skip
INVENTED = "Invented for demonstration: no real wine, person or place"
SVG = 'svg'
_HERE = Path(__file__).parent
_LOCAL = threading.local()


def typeset(
    template: str,
    data: dict[str, Any],
    typefaces: Typefaces = SHIPPED,
    *,
    tagged: bool = True,
    folder: Path = _HERE,
) -> bytes:
    """A PDF of `data` by `template`.typ in a folder, with the typefaces embedded.

    Tagged, it can be read aloud (PDF/UA-1, ISO 14289-1); many pages that are only to be printed
    take half the time and space without.

    The same data give the same bytes: the PDF carries no date.

    Raises:
        InputError: a text has letters that none of the typefaces has.
    """
    look = _LOOK | {'beside': typefaces.rules}
    settled = _settled(data, typefaces)
    said = json.dumps({'look': look, 'invented_label': INVENTED} | settled, ensure_ascii=False)
    pdf = _compiler(folder / f'{template}.typ', typefaces).compile(
        format='pdf',
        sys_inputs={'papers': said},
        pdf_standards=['ua-1'] if tagged else [],
        pdf_tags=tagged,
        timestamp=0,
    )
    if not isinstance(pdf, bytes):
        raise TypeError(template)
    return pdf


def _compiler(template: Path, typefaces: Typefaces) -> typst.Compiler:
    """One compiler for each template and thread: it keeps what it has read."""
    kept: dict[tuple[Path, Typefaces], typst.Compiler]
    kept = _LOCAL.__dict__.setdefault('compilers', {})
    if (template, typefaces) not in kept:
        kept[template, typefaces] = typst.Compiler(
            template,
            font_paths=typefaces.fonts,
            ignore_system_fonts=True,
        )
    return kept[template, typefaces]


def _settled(value: Any, typefaces: Typefaces) -> Any:
    """All texts as they are set, checked and breakable; drawings as they are."""
    if isinstance(value, dict):
        return {
            name: inner if name == SVG else _settled(inner, typefaces)
            for name, inner in value.items()
        }
    if isinstance(value, list | tuple):
        return [_settled(inner, typefaces) for inner in value]
    if not isinstance(value, str):
        return value
    text = '\n'.join(typefaces.checked(as_set(line)) for line in value.split('\n'))
    return _LONG_WORD.sub(_breakable, text)


def _breakable(word: re.Match[str]) -> str:
    """A long word that may be broken every ten letters; other scripts break by their own rules."""
    said = word.group()
    return said if runs(said) else re.sub(r'(.{10})', '\\1\u200b', said)
