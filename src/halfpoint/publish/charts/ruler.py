"""The half-point ruler: long numbered ticks at whole points, short ones at halves."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from halfpoint.publish.numbers import mark, number

_STEPS = (
    (0.1, 0.05),
    (0.2, 0.1),
    (0.5, 0.25),
    (1.0, 0.5),
    (2.0, 1.0),
    (5.0, 1.0),
    (10.0, 5.0),
    (20.0, 10.0),
    (50.0, 10.0),
    (100.0, 50.0),
)
_MOST_LONG_TICKS = 9


@dataclass(frozen=True, slots=True)
class Ruler:
    """From `low` to `high` in points, with the places of its ticks and their numbers."""

    low: float
    high: float
    long: tuple[float, ...]
    short: tuple[float, ...]
    labels: tuple[str, ...]


def ruler_over(values: Iterable[float | None], around: float | None = None) -> Ruler:
    """A ruler that holds all the values, ending on ticks; about `around` when given.

    Values that are missing or not finite are passed over; of no values, 0 to 1.
    """
    known = [v for v in values if v is not None and math.isfinite(v)]
    if around is not None:
        reach = max((abs(v - around) for v in known), default=0.5)
        known = [around - reach, around + reach]
    low, high = (min(known), max(known)) if known else (0.0, 1.0)
    long, short = _steps(high - low)
    low = math.floor(low / short + 1e-9) * short
    high = math.ceil(high / short - 1e-9) * short
    if high - low < long:
        low, high = low - short, high + short
    return _ruled(low, high, long, short)


def sheet_ruler(lowest: float, top: float) -> Ruler:
    """The ruler of a category as it stands on the sheet."""
    span = top - lowest
    return _ruled(lowest, top, *((1.0, 0.5) if 1 <= span <= _MOST_LONG_TICKS else _steps(span)))


def _steps(span: float) -> tuple[float, float]:
    if 2.4 <= span <= _MOST_LONG_TICKS:
        return 1.0, 0.5
    if 1.2 <= span < 2.4:
        return 0.5, 0.25
    for long, short in _STEPS:
        if span / long <= _MOST_LONG_TICKS:
            return long, short
    long = 10.0 ** math.ceil(math.log10(span / _MOST_LONG_TICKS))
    return long, long / 2


def _ruled(low: float, high: float, long: float, short: float) -> Ruler:
    numbered = _multiples(low, high, long)
    halves = tuple(v for v in _multiples(low, high, short) if v not in numbered)
    return Ruler(low, high, numbered, halves, tuple(_label(v, long) for v in numbered))


def _multiples(low: float, high: float, step: float) -> tuple[float, ...]:
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(round(k * step, 9) for k in range(first, last + 1))


def _label(value: float, step: float) -> str:
    return mark(value) if step >= 0.5 else number(value, 1)
