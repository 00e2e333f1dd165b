"""Numbers as people read them: real minus signs, ½ for half points, no false precision."""

from __future__ import annotations

import math
from collections.abc import Sequence

MINUS = '\u2212'
NARROW = '\u202f'
UNKNOWN = '–'
_FRACTIONS = {0.25: '¼', 0.5: '½', 0.75: '¾'}


def number(value: float | None, decimals: int = 1) -> str:
    """`value` with so many decimals, thousands set apart; – where there is none."""
    if value is None or not math.isfinite(value):
        return UNKNOWN
    text = f'{abs(value):,.{decimals}f}'
    negative = value < 0 and float(text.replace(',', '')) != 0
    return f'{MINUS}{text}' if negative else text


def signed(value: float | None, decimals: int = 1) -> str:
    """As `number`, with a plus sign before what is above zero."""
    text = number(value, decimals)
    plus = value is not None and value > 0 and any(c in '123456789' for c in text)
    return f'+{text}' if plus else text


def mark(value: float) -> str:
    """A mark as it stands on the sheet: 4½, 12¼, 3; other fractions as decimals."""
    whole = math.floor(abs(value))
    fraction = _FRACTIONS.get(abs(value) - whole)
    if fraction is None:
        return number(value, 0 if float(value).is_integer() else 1)
    sign = MINUS if value < 0 else ''
    return f'{sign}{whole or ""}{fraction}'


def points(value: float, decimals: int = 1) -> str:
    """`1.5 points`, `1 point`: an amount with its unit, kept on one line."""
    text = number(value, decimals)
    return f'{text}\u00a0{"point" if text in {"1", MINUS + "1"} else "points"}'


def interval(low: float | None, high: float | None, decimals: int = 1) -> str:
    """`14.2 to 15.1`; – where either end is missing."""
    if low is None or high is None:
        return UNKNOWN
    return f'{number(low, decimals)} to {number(high, decimals)}'


def percent(share: float | None) -> str:
    """A probability as a whole per cent, never 0 % or 100 % for what is only nearly so."""
    if share is None or not math.isfinite(share):
        return UNKNOWN
    if share <= 0.005:
        return f'under{NARROW}1{NARROW}%'
    if share >= 0.995:
        return f'over{NARROW}99{NARROW}%'
    return f'{100 * share:.0f}{NARROW}%'


def chance(p: float) -> str:
    """A p value: three decimals, `under 0.001` below that."""
    if not math.isfinite(p):
        return UNKNOWN
    return 'under 0.001' if p < 0.001 else f'{p:.3f}'


def decimals_for(errors: Sequence[float | None]) -> int:
    """Decimals worth printing, from the middle one of the standard errors."""
    known = sorted(e for e in errors if e is not None and math.isfinite(e) and e > 0)
    if not known:
        return 1
    return min(4, max(0, math.ceil(-math.log10(known[len(known) // 2]))))


def plural(count: int, one: str, many: str = '') -> str:
    """`1 taster`, `1,184 marks`."""
    return f'{count:,}\u00a0{one if count == 1 else many or one + "s"}'
