"""Small fonts, made where they are needed: a letter is a black square, a missing one a frame."""

from __future__ import annotations

from pathlib import Path

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib.tables._g_l_y_f import Glyph

EM, HIGH = 1000, 700


def make_font(
    file: Path,
    letters: str,
    *,
    family: str = "Squares",
    script: str = '',
    embedding: int = 0,
    empty: str = '',
    as_missing: str = '',
    one_glyph: bool = False,
) -> Path:
    """A font file with these letters.

    Args:
        file: where to write it.
        letters: what it has shapes for.
        family: what it is called.
        script: OpenType tag of a script for which it has rules.
        embedding: its `fsType` (OpenType, table OS/2).
        empty: letters whose shape is empty.
        as_missing: letters that are drawn as the frame.
        one_glyph: whether all letters share one shape, as in a font of last resort.
    """
    names = {ord(letter): 'all' if one_glyph else f'u{ord(letter):04X}' for letter in letters}
    order = ['.notdef', 'space', *dict.fromkeys(names.values())]
    shapes = dict.fromkeys(order, _square()) | {'.notdef': _frame(), 'space': Glyph()}
    shapes |= {names[ord(letter)]: Glyph() for letter in empty}
    shapes |= {names[ord(letter)]: _frame() for letter in as_missing}
    font = FontBuilder(EM, isTTF=True)
    font.setupGlyphOrder(order)
    font.setupCharacterMap({0x20: 'space'} | names)
    font.setupGlyf(shapes)
    font.setupHorizontalMetrics(dict.fromkeys(order, (EM, 0)))
    font.setupHorizontalHeader(ascent=900, descent=-200)
    font.setupNameTable({'familyName': family, 'styleName': 'Regular', 'psName': family})
    font.setupOS2(sTypoAscender=900, sTypoDescender=-200, fsType=embedding)
    font.setupPost()
    if script:
        glyph = names[ord(letters[0])]
        rules = f'languagesystem {script} dflt; feature rlig {{ sub {glyph} by {glyph}; }} rlig;'
        font.addOpenTypeFeatures(rules)
    file.parent.mkdir(parents=True, exist_ok=True)
    font.save(file)
    return file


def _square() -> Glyph:
    return _drawn([(50, 0), (950, HIGH)])


def _frame() -> Glyph:
    return _drawn([(50, 0), (950, HIGH)], [(90, 40), (910, HIGH - 40)])


def _drawn(*boxes: list[tuple[int, int]]) -> Glyph:
    pen = TTGlyphPen(None)
    for place, ((left, low), (right, high)) in enumerate(boxes):
        corners = [(left, low), (left, high), (right, high), (right, low)]
        pen.moveTo(corners[0])
        # The inner box turns the other way, so that the frame is hollow.
        for corner in corners[1:] if place == 0 else corners[:0:-1]:
            pen.lineTo(corner)
        pen.closePath()
    return pen.glyph()
