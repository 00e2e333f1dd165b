"""Score sheets as people fill them in, and as they come home: scanned or photographed.

Everything here is drawn from a seed and knows only the printed sheet, not how sheets are read.
"""

from __future__ import annotations

from halfpoint.demo.paper.filling import fill
from halfpoint.demo.paper.photo import photograph
from halfpoint.demo.paper.printed import Raster, blanks
from halfpoint.demo.paper.scanner import scan
from halfpoint.demo.paper.seeded import simulate
from halfpoint.demo.paper.styles import DAMAGED, GOOD, STYLES, Style
from halfpoint.demo.paper.truth import BlockTruth, BoxTruth, Filled, RowTruth, Taken
from halfpoint.demo.paper.writer import Pen, Writer, draw_writer

__all__ = [
    'DAMAGED',
    'GOOD',
    'STYLES',
    'BlockTruth',
    'BoxTruth',
    'Filled',
    'Pen',
    'Raster',
    'RowTruth',
    'Style',
    'Taken',
    'Writer',
    'blanks',
    'draw_writer',
    'fill',
    'photograph',
    'scan',
    'simulate',
]
