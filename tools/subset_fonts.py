"""Makes the report's typeface from Debian's fonts-inter: fewer letters, same shapes.

Run by hand when the typeface changes; needs fontTools, which halfpoint itself does not.
"""

from __future__ import annotations

import json
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

SOURCE = Path('/usr/share/fonts/opentype/inter')
TARGET = Path(__file__).parents[1] / 'src/halfpoint/typeface/fonts'
STYLES = ('Regular', 'Italic', 'SemiBold', 'Bold')
FEATURES = ['kern', 'mark', 'mkmk', 'ccmp', 'locl', 'tnum', 'sups', 'subs']
RANGES = (
    (0x0020, 0x007E),  # ASCII
    (0x00A0, 0x024F),  # Latin-1, Latin Extended-A and B
    (0x02B0, 0x036F),  # modifier letters, combining marks
    (0x0370, 0x03FF),  # Greek
    (0x0400, 0x052F),  # Cyrillic
    (0x1E00, 0x1EFF),  # Latin Extended Additional
    (0x2000, 0x206F),  # spaces, dashes, quotation marks
    (0x2070, 0x20BF),  # superscripts, currencies
    (0x2100, 0x218F),  # letterlike, fractions
    (0x2190, 0x21FF),  # arrows
    (0x2200, 0x22FF),  # minus, comparisons
    (0x25A0, 0x25FF),  # geometric shapes
    (0x2713, 0x2717),  # check marks
)


def cut(style: str) -> set[int]:
    """Write the cut font of one style; return the code points it can print."""
    options = subset.Options()
    options.layout_features = FEATURES
    options.hinting = False
    options.desubroutinize = False
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14, 16, 17]
    options.notdef_outline = True
    font = subset.load_font(str(SOURCE / f'Inter-{style}.otf'), options)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[code for low, high in RANGES for code in range(low, high + 1)])
    cutter.subset(font)
    target = TARGET / f'Inter-{style}.otf'
    subset.save_font(font, str(target), options)
    return set(TTFont(target).getBestCmap())


def ranges(codes: set[int]) -> list[list[int]]:
    """Code points as [first, last] ranges."""
    found: list[list[int]] = []
    for code in sorted(codes):
        if found and found[-1][1] == code - 1:
            found[-1][1] = code
        else:
            found.append([code, code])
    return found


if __name__ == '__main__':
    covered = set.intersection(*(cut(style) for style in STYLES))
    text = json.dumps(ranges(covered), separators=(',', ':'))
    (TARGET / 'coverage.json').write_text(text + '\n', encoding='utf-8')
