"""Makes the app's typeface from the report's: Latin only, as WOFF2.

Run by hand when the typeface changes; needs the package brotli.
"""

from __future__ import annotations

import shutil
from pathlib import Path

from fontTools import subset

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / 'src/halfpoint/typeface/fonts'
TARGET = ROOT / 'web/src/look/fonts'
STYLES = {'Regular': 'inter-regular', 'SemiBold': 'inter-semibold'}
FEATURES = ['kern', 'mark', 'ccmp', 'locl', 'tnum']
RANGES = (
    (0x0020, 0x007E),  # ASCII
    (0x00A0, 0x017F),  # Latin-1, Latin Extended-A
    (0x0218, 0x021B),  # Romanian
    (0x02C6, 0x02DD),  # accents by themselves
    (0x0300, 0x030C),  # combining accents
    (0x2010, 0x2026),  # dashes, quotation marks, bullet, ellipsis
    (0x2030, 0x203A),  # per mille, guillemets
    (0x20AC, 0x20AC),  # euro
    (0x2150, 0x215E),  # fractions
    (0x2190, 0x2193),  # arrows
    (0x2212, 0x2212),  # minus
    (0x2260, 0x2265),  # comparisons
    (0x2713, 0x2713),  # check mark
)


def cut(style: str, name: str) -> None:
    """Write the cut font of one style."""
    options = subset.Options()
    options.flavor = 'woff2'
    options.layout_features = FEATURES
    options.hinting = False
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14, 16, 17]
    font = subset.load_font(str(SOURCE / f'Inter-{style}.otf'), options)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[code for low, high in RANGES for code in range(low, high + 1)])
    cutter.subset(font)
    subset.save_font(font, str(TARGET / f'{name}.woff2'), options)


if __name__ == '__main__':
    TARGET.mkdir(parents=True, exist_ok=True)
    for style, name in STYLES.items():
        cut(style, name)
    shutil.copy(SOURCE / 'OFL.txt', TARGET / 'OFL.txt')
