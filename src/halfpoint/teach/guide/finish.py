"""What a timed finish is called on a sheet, and the marks that usually go with it."""

from __future__ import annotations

from halfpoint.sheet.form import FinishBand, Sheet
from halfpoint.sheet.words import say_number
from halfpoint.teach.guide.said import FinishTime


def finish_times(sheet: Sheet) -> tuple[FinishTime, ...]:
    """The sheet's bands from short to long."""
    return tuple(
        FinishTime(band.label, band.from_seconds, band.to_seconds, _usual(band))
        for band in sheet.finish
    )


def _usual(band: FinishBand) -> str:
    """`1½ to 2`; empty where the sheet does not say."""
    if band.usual_low is None or band.usual_high is None:
        return ""
    low, high = say_number(band.usual_low), say_number(band.usual_high)
    return low if low == high else f"{low} to {high}"
