"""Fonts of the machine: where they lie, and what each can set."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from fontTools.unicodedata import ot_tags_from_script

Wanted = Mapping[str, frozenset[str]]
SUFFIXES = frozenset({'.ttf', '.otf', '.ttc', '.otc'})
# Scripts whose letters stand side by side as they are; all others need a font's own rules.
PLAIN = frozenset({
    'Latn', 'Grek', 'Cyrl', 'Geor', 'Armn', 'Hebr', 'Thai', 'Laoo', 'Ethi', 'Hani', 'Cher', 'Cans',
    'Thaa', 'Copt', 'Goth', 'Glag', 'Ogam', 'Runr', 'Yiii', 'Lisu', 'Zyyy',
})  # fmt: skip
_STYLED = ('bold', 'italic', 'oblique', 'black', 'light', 'thin', 'medium', 'condensed', 'narrow')
_RESTRICTED = 2


@dataclass(frozen=True, slots=True)
class Face:
    """One face of a font file, and the wanted letters that it has, by script."""

    file: Path
    index: int
    letters: Mapping[str, frozenset[str]]


def font_folders() -> tuple[Path, ...]:
    """Where fonts lie on Linux and macOS."""
    home = Path.home()
    return (
        home / '.local/share/fonts', home / '.fonts', home / 'Library/Fonts',
        Path('/usr/local/share/fonts'), Path('/usr/share/fonts'), Path('/Library/Fonts'),
        Path('/System/Library/Fonts'),
    )  # fmt: skip


def font_files(folder: Path) -> list[Path]:
    """The fonts in a folder and below it, those first that go best with the shipped typeface."""
    files = (
        Path(place, name)
        for place, _, names in os.walk(folder)
        for name in names
        if Path(name).suffix.lower() in SUFFIXES
    )
    return sorted(files, key=_preference)


def faces(file: Path, wanted: Wanted) -> Iterator[Face]:
    """The faces of a file that have any of the wanted letters (script to letters)."""
    try:
        with file.open('rb') as opened:
            count = _count(opened.read(12))
        for index in range(count):
            # Opened here, since fontTools does not close a file that it cannot read.
            with file.open('rb') as opened, TTFont(opened, fontNumber=index, lazy=True) as font:
                letters = _letters(font, wanted)
            if letters:
                yield Face(file, index, letters)
    except Exception:
        # A broken file can fail in any way, and is one font less.
        return


def _preference(file: Path) -> tuple[object, ...]:
    name = file.stem.lower()
    return (
        any(style in name for style in _STYLED),
        not name.startswith('notosans'),
        'sans' not in name,
        'mono' in name,
        name,
        str(file),
    )


def _count(head: bytes) -> int:
    """How many faces a file has, by its first 12 bytes (OpenType, font collections)."""
    return int.from_bytes(head[8:12]) if head[:4] == b'ttcf' else 1


def _letters(font: Any, wanted: Wanted) -> dict[str, frozenset[str]]:
    if font['OS/2'].fsType & 0xF == _RESTRICTED or not {'glyf', 'CFF ', 'CFF2'} & set(font.keys()):
        return {}
    glyphs = font.getBestCmap() or {}
    # A font of last resort has one box for many letters.
    if 2 * len(set(glyphs.values())) < len(glyphs):
        return {}
    found = {}
    for script, letters in wanted.items():
        here = {letter for letter in letters if ord(letter) in glyphs}
        if here and (script in PLAIN or _has_rules(font, script)):
            found[script] = frozenset(_drawn(font, glyphs, here))
    return {script: letters for script, letters in found.items() if letters}


def _has_rules(font: Any, script: str) -> bool:
    """Whether the font says how letters of the script are joined, ordered and stacked."""
    if 'morx' in font:
        return True
    records = font['GSUB'].table.ScriptList.ScriptRecord if 'GSUB' in font else []
    return bool({record.ScriptTag for record in records} & set(ot_tags_from_script(script)))


def _drawn(font: Any, glyphs: Mapping[int, str], letters: set[str]) -> Iterator[str]:
    """Those letters that are drawn, and not as the font's sign for a missing letter."""
    shapes = font.getGlyphSet()
    missing = font.getGlyphOrder()[0]
    box = _drawing(shapes, missing)
    for letter in letters:
        name = glyphs[ord(letter)]
        drawing = _drawing(shapes, name)
        empty = not drawing and unicodedata.category(letter)[0] != 'Z'
        if name != missing and drawing != box and not empty:
            yield letter


def _drawing(shapes: Any, name: str) -> list[Any]:
    pen = DecomposingRecordingPen(shapes)
    shapes[name].draw(pen)
    return list(pen.value)
