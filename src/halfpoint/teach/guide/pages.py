"""The guide on paper: one page, or four."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Literal

from halfpoint import __version__
from halfpoint.publish.handouts.typeset import typeset
from halfpoint.teach.guide.said import Guide
from halfpoint.teach.guide.shown import shown
from halfpoint.typeface.choosing import SHIPPED, Typefaces

Paper = Literal['a4', 'us-letter']
Length = Literal['one', 'four']

PAGES = Path(__file__).parent.parent / 'pages'
SIZES = {
    'one': (9.6, 9.2, 8.8, 8.4, 8.0, 7.6),
    'four': (11.4, 11.0, 10.6, 10.2, 9.8, 9.4, 9.0, 8.6, 8.2),
}
MOST = {'one': 1, 'four': 4}
_PAGE = re.compile(rb'/Type\s*/Page\b')


def guide_pdf(
    guide: Guide,
    length: Length,
    *,
    paper: Paper = 'a4',
    title: str = '',
    invented: bool = False,
    typefaces: Typefaces = SHIPPED,
) -> bytes:
    """The guide as a PDF, in letters as large as fit its pages.

    A sheet with very much to say may take a page more than its name promises.

    Args:
        guide: what is set.
        length: `'one'` page or `'four'`.
        paper: the paper to print on.
        title: of the tasting, where there is one.
        invented: whether that tasting is made up.
        typefaces: what it is set in.
    """
    data = _data(guide, length, paper, title, invented)
    made = b''
    for size in SIZES[length]:
        made = typeset('guide', data | {'size': size}, typefaces, folder=PAGES)
        if pages_in(made) <= MOST[length]:
            break
    return made


def pages_in(pdf: bytes) -> int:
    """How many pages a PDF as Typst writes it has."""
    return len(_PAGE.findall(pdf))


def _data(guide: Guide, length: Length, paper: Paper, title: str, invented: bool) -> dict[str, Any]:
    return {
        'paper': paper,
        'length': length,
        'running': title or "How to taste",
        'invented': invented,
        'foot': f"Score sheet: {guide.sheet}. halfpoint {__version__}",
        'guide': shown(guide),
    }
