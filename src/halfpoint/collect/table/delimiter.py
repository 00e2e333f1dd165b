"""Which character parts the fields of a text table."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from itertools import islice

CANDIDATES = (',', ';', '\t', '|')
_SAMPLE_LINES = 60


def find_delimiter(lines: Iterable[str]) -> str:
    """The candidate that parts the lines most evenly into most fields.

    A decimal comma parts every line of marks but not the header above them, so how many
    lines have the width of the widest kind counts before that width. Comma when none parts.
    """
    sample = [line for line in islice(lines, _SAMPLE_LINES) if line.strip()]
    return max(CANDIDATES, key=lambda candidate: _fit(sample, candidate))


def declared_delimiter(first_line: str) -> str | None:
    """The delimiter that spreadsheets declare in a first line such as `sep=;`."""
    line = first_line.strip().strip('"')
    if len(line) == 5 and line.casefold().startswith('sep='):
        return line[4]
    return '\t' if first_line.rstrip('\r\n').casefold() == 'sep=\t' else None


def _fit(sample: list[str], delimiter: str) -> tuple[float, int]:
    try:
        widths = [len(row) for row in csv.reader(sample, delimiter=delimiter) if row]
    except csv.Error:
        return 0.0, 0
    if not widths or max(widths) < 2:
        return 0.0, 0
    header = next((width for width in widths if width > 1), 1)
    return sum(width == header for width in widths) / len(widths), header
