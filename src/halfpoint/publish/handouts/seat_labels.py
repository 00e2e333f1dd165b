"""Seat labels: who sits where, and the codes in the order in which that seat is poured."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from halfpoint.plan.model import Pour
from halfpoint.publish.handouts.evening import Evening
from halfpoint.typeface.letters import one_line

Data = dict[str, Any]

CODES_ACROSS = 5
# Heights in millimetres, of what is set by seat_labels.typ.
_HEAD, _CODES, _FLIGHT, _PAGE = 27.0, 14.5, 7.0, 250.0


def seat_labels(evening: Evening) -> Data:
    """One site's labels, and how many of them stand above each other on a page."""
    names = {taster.key: taster.name or taster.key for taster in evening.tasting.tasters}
    labels = [_label(pours, names) for pours in evening.by_seat.values()]
    tallest = max((_height(label) for label in labels), default=_PAGE)
    return {'labels': labels, 'rows': max(1, min(4, int(_PAGE // tallest)))}


def _label(pours: tuple[Pour, ...], names: dict[str, str]) -> Data:
    first = pours[0]
    flights = [list(own) for _, own in groupby(pours, key=lambda pour: pour.flight)]
    return {
        'seat': str(first.seat),
        'table': f"Table {first.table}",
        'taster': one_line(names.get(first.taster, first.taster), 48) if first.taster else '',
        'across': max(_across(len(own)) for own in flights),
        'flights': [
            {
                'title': f"Flight {own[0].flight}" if len(flights) > 1 else '',
                'codes': [{'place': str(pour.position), 'code': pour.code} for pour in own],
            }
            for own in flights
        ],
    }


def _across(codes: int) -> int:
    """Codes side by side, so that lines are nearly equal."""
    lines = -(-codes // CODES_ACROSS)
    return -(-codes // lines)


def _height(label: Data) -> float:
    flights = label['flights']
    lines: int = sum(-(-len(flight['codes']) // label['across']) for flight in flights)
    titles = len(flights) if len(flights) > 1 else 0
    return _HEAD + lines * _CODES + titles * _FLIGHT
