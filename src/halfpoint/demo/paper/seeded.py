"""A page from nothing but a seed: who wrote it, what, and how it came home."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from halfpoint.collect.paper.print.layout import Layout
from halfpoint.demo.paper.filling import fill
from halfpoint.demo.paper.photo import photograph
from halfpoint.demo.paper.printed import Raster
from halfpoint.demo.paper.scanner import SHOWS_THROUGH, scan
from halfpoint.demo.paper.styles import STYLES
from halfpoint.demo.paper.truth import Filled, Taken
from halfpoint.demo.paper.writer import draw_writer
from halfpoint.sheet.form import Sheet


def simulate(
    seed: int, layout: Layout, blanks: Raster | Sequence[Raster], sheet: Sheet, style: str
) -> tuple[Filled, Taken]:
    """Fill in one of the blank pages and take it, all by the seed; the same gives the same bytes.

    Args:
        seed: at least 0.
        layout: where everything stands on the pages.
        blanks: a page, or pages of which one is drawn.
        sheet: what may be marked.
        style: a name in `styles.STYLES`.

    Returns:
        The page with what was meant, and the file that came of it.
    """
    rng = np.random.default_rng(seed)
    pages = (blanks,) if isinstance(blanks, Raster) else blanks
    page = pages[int(rng.integers(len(pages)))]
    writer = draw_writer(rng)
    filled = fill(rng, layout, page, sheet, writer)
    if STYLES[style].device == 'photo':
        return filled, photograph(rng, filled, style)
    behind = None
    if rng.random() < SHOWS_THROUGH:
        other = pages[int(rng.integers(len(pages)))]
        behind = fill(rng, layout, other, sheet, writer)
    return filled, scan(rng, filled, style, behind)
