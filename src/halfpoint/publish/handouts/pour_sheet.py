"""The steward's pour sheet: at each table, which bag goes to which seat, round by round.

It has bag letters and seats, and neither wines nor blind codes: what a steward does not know,
a steward cannot give away. Codes stand on the seat labels alone; a taster marks the third pour
under the third code, and nobody at a table can join a code to a bag.
"""

from __future__ import annotations

from itertools import groupby
from typing import Any

from halfpoint.publish.handouts.evening import Evening, Round, Table
from halfpoint.publish.handouts.wording import clock, ordinal, spans
from halfpoint.publish.numbers import mark, plural

Data = dict[str, Any]

# Seats side by side that leave letters large.
SEATS_ACROSS = 9
# Millimetres by pour_sheet.typ on Letter: a page's lines, and a flight's name with its break.
PAGE, BAND = 150.0, 19.0
LEAST_ROW, MOST_ROW = 10.5, 18.5


def pour_sheet(evening: Evening) -> Data:
    """One site's sheets, a page or more for each table."""
    return {'tables': [_sheet(evening, table) for table in evening.tables]}


def _sheet(evening: Evening, table: Table) -> Data:
    alike = table.is_poured_alike
    seats = plural(len(table.seats), "seat")
    return {
        'title': f"Table {table.number}",
        'subtitle': f"{seats}: {spans(table.seats)}. {plural(len(table.rounds), 'pour')} each.",
        'rules': _rules(evening, alike=alike),
        'alike': alike,
        'grids': [
            _grid(evening, table, share, rounds)
            for share in ((table.seats,) if alike else _shares(table.seats))
            for rounds in _pages(table)
        ],
    }


def _rules(evening: Evening, *, alike: bool) -> list[str]:
    amount = f"{mark(float(evening.tasting.plan.pour_ml))}\u00a0ml"
    where = "at every seat" if alike else "at each seat in its column"
    return [
        f"Line by line: pour {amount} {where} from the bag with that letter. Then tick.",
        "Never look under a bag, and never say a letter aloud.",
        "A bottle smells wrong or runs out: ask the host for the spare with the same letter.",
    ]


def _row_height(rounds: list[Round]) -> float:
    """Millimetres to a line, so that the lines fill a page and letters are large."""
    bands = len({round_.flight for round_ in rounds}) - 1
    return max(LEAST_ROW, min(MOST_ROW, (PAGE - BAND * bands) / len(rounds)))


def _shares(seats: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Seats in nearly equal shares that fit side by side."""
    parts = -(-len(seats) // SEATS_ACROSS)
    size = -(-len(seats) // parts)
    return [seats[start : start + size] for start in range(0, len(seats), size)]


def _pages(table: Table) -> list[list[Round]]:
    """Rounds page by page; a flight stays on one page where it fits."""
    pages: list[list[Round]] = []
    room = 0.0
    for _, flight in groupby(table.rounds, key=lambda round_: round_.flight):
        rounds = list(flight)
        need = len(rounds) * LEAST_ROW + BAND
        if not pages or need > room:
            pages.append([])
            room = PAGE + BAND
        pages[-1] += rounds
        room -= need
    return pages


def _grid(evening: Evening, table: Table, seats: tuple[int, ...], rounds: list[Round]) -> Data:
    last = table.rounds[-1].flight
    lines: list[Data] = []
    for flight, own in groupby(rounds, key=lambda round_: round_.flight):
        if last > 1:
            lines.append({'kind': 'flight', 'text': f"Flight {flight}"})
        lines += [_line(round_, seats) for round_ in own]
        if flight != last:
            lines += _break(evening)
    told = [f"seats {spans(seats)}"] if seats != table.seats else []
    told += [f"from {clock(rounds[0].begins)}"] if rounds[0] is not table.rounds[0] else []
    return {
        'seats': [str(seat) for seat in seats],
        'span': ', '.join(told),
        'row': _row_height(rounds),
        'lines': lines,
    }


def _line(round_: Round, seats: tuple[int, ...]) -> Data:
    return {
        'kind': 'round',
        'time': clock(round_.begins),
        'place': ordinal(round_.position),
        'bags': [round_.bag_at.get(seat, '–') for seat in seats],
    }


def _break(evening: Evening) -> list[Data]:
    minutes = evening.tasting.plan.break_minutes
    text = f"Break, {plural(minutes, 'minute')}: water, bread, clean glasses."
    return [{'kind': 'break', 'text': text}] if minutes else []
