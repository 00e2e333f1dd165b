"""When sheets are taken: from the first day of the tasting to the last, by the server's clock."""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal

from halfpoint.sheet.entry import Complaint
from halfpoint.tasting.model import Tasting

Phase = Literal['before', 'open', 'closed', 'revealed']


def phase_of(tasting: Tasting, now: datetime, *, revealed: bool) -> Phase:
    """Where the tasting stands; `now` is in the time zone whose days are meant."""
    if revealed:
        return 'revealed'
    today = now.date()
    if tasting.opens is not None and today < tasting.opens:
        return 'before'
    if tasting.closes is not None and today > tasting.closes:
        return 'closed'
    return 'open'


def too_early_or_late(tasting: Tasting, phase: Phase) -> Complaint | None:
    """What is said to a sheet that comes outside the days of the tasting; None within them."""
    days = _days(tasting)
    match phase:
        case 'before':
            return Complaint('sent', "a sheet from before the tasting opens", days)
        case 'closed':
            return Complaint('sent', "a sheet from after the tasting closed", days)
        case 'revealed':
            expected = "sheets from before the wines were revealed"
            return Complaint('sent', "a sheet from after the reveal", expected)
    return None


def _days(tasting: Tasting) -> str:
    first = f"from {_day(tasting.opens)}" if tasting.opens else ""
    last = f"until {_day(tasting.closes)}" if tasting.closes else ""
    return f"sheets {' '.join(part for part in (first, last) if part)}, by the server's clock"


def _day(day: date) -> str:
    return f"{day.day} {day:%B} {day.year}"
