"""Handwritten digits in cells: read to raise doubt and to suggest, never to take a mark from."""

from __future__ import annotations

from halfpoint.collect.paper.read.digits.cells import Cell, read_cell, read_cells
from halfpoint.collect.paper.read.digits.numbers import read_digits, read_number

__all__ = ['Cell', 'read_cell', 'read_cells', 'read_digits', 'read_number']
