"""Table cards: which table this is, and the code by which a phone joins it."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import segno

from halfpoint.publish import palette
from halfpoint.publish.handouts.evening import Evening
from halfpoint.publish.handouts.typeset import SVG
from halfpoint.publish.handouts.wording import spans

Data = dict[str, Any]


def table_cards(evening: Evening) -> Data:
    """One site's cards, one for each table."""
    return {
        'cards': [
            {
                'table': str(table.number),
                'seats': f"Seats {spans(table.seats)}" if len(table.seats) > 1 else
                         f"Seat {table.seats[0]}",
                'code': evening.joins[table.number].spoken,
                SVG: pattern(evening.joins[table.number].payload),
            }
            for table in evening.tables
        ]
    }  # fmt: skip


@lru_cache(maxsize=4096)
def pattern(payload: str) -> str:
    """A QR code (ISO/IEC 18004, a quarter of it restorable) as SVG, quiet zone included."""
    code = segno.make(payload, error='q', micro=False, boost_error=False)
    return code.svg_inline(scale=1, border=4, dark=palette.INK, light='#ffffff', omitsize=True)
