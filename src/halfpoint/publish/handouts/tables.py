"""A plain table as data, for `plain-table` in common.typ."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

TICK = True


def plain_table(
    columns: Sequence[tuple[str, str, str]],
    rows: Sequence[Sequence[object]],
    *,
    size: float = 11.5,
    inset: float = 6.0,
) -> dict[str, Any]:
    """A table; a column is (title, 'left' | 'right' | 'center', 'auto' | '1fr' | '12mm').

    A cell that is `TICK` becomes a box to tick.
    """
    return {
        'titles': [title for title, _, _ in columns],
        'sides': [side for _, side, _ in columns],
        'widths': [width for _, _, width in columns],
        'rows': [list(row) for row in rows],
        'size': size,
        'inset': inset,
    }
