"""The host's run sheet: the evening by the clock, what to set out, how to look after people."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

from halfpoint.publish.handouts.bag_tags import tags_of
from halfpoint.publish.handouts.care import CAUTIONS
from halfpoint.publish.handouts.evening import Evening
from halfpoint.publish.handouts.tables import TICK, plain_table
from halfpoint.publish.handouts.wording import clock, days, spans
from halfpoint.publish.numbers import mark, number, plural
from halfpoint.typeface.letters import one_line

Data = dict[str, Any]

# Common practice, no source: of which to set out how much.
GLASSES_LEAST, TASTERS_TO_A_SPITTOON, WATER_LITRES, BREAD_GRAMS = 2, 2, 0.75, 60
_EARLY = (
    (120, "Bottles to their temperature. Tables, chairs, light, fresh air; no flowers or perfume."),
    (60, "Lay the tables as listed below: seat labels, table cards, glasses, water, bread."),
    (45, "One person, alone and out of sight, bags and tags the bottles."),
    (20, "Bags stand on a side table by letter; stewards fetch one, pour, and bring it back."),
    (15, "Tasters come in. See to ages, lifts home and allergies. Give the stewards their sheets."),
)  # fmt: skip
_AFTER = (
    "Collect every score sheet before anyone talks wine; see that taster and seat are on each.",
    "Keep the bags on. The wines are told when the organiser says so, not before.",
    "Pour away what is left, or cork it for those who are not driving.",
    "Write to the organiser the same evening: who came, what was short, which bottle was off.",
)


def run_sheet(evening: Evening) -> Data:
    """One site's run sheet."""
    place = evening.site.place
    host = f"Host: {one_line(evening.site.host, 60)}" if evening.site.host else ""
    when = days(evening.tasting.opens, evening.tasting.closes)
    return {
        'subtitle': '. '.join(part for part in (host, one_line(place, 60), when) if part),
        'figures': _figures(evening),
        'clock': plain_table(
            [("", 'center', '9mm'), ("when", 'left', '19mm'), ("what", 'left', '1fr')],
            [[TICK, when, what] for when, what in _by_the_clock(evening)],
            inset=5.5,
        ),
        'out': plain_table(
            [("", 'center', '9mm'), ("what", 'left', '42mm'), ("how much", 'left', '1fr')],
            [[TICK, what, how_much] for what, how_much in _set_out(evening)],
            inset=5.5,
        ),
        'alcohol': _alcohol(evening),
        'cautions': list(CAUTIONS),
        'after': list(_AFTER),
    }


def _figures(evening: Evening) -> list[list[str]]:
    return [
        ["seats", str(len(evening.seats))],
        ["tables", str(len(evening.tables))],
        ["pours each", str(_pours_each(evening))],
        ["first pour", clock(evening.begins(1, 1))],
        ["ends about", clock(_end(evening))],
    ]


def _pours_each(evening: Evening) -> int:
    return max(len(pours) for pours in evening.by_seat.values())


def _end(evening: Evening) -> int:
    flight, position = evening.rounds[-1]
    return evening.begins(flight, position) + evening.tasting.plan.pour_minutes


def _by_the_clock(evening: Evening) -> list[tuple[str, str]]:
    start = evening.begins(1, 1)
    lines = [(clock(start - minutes), text) for minutes, text in _EARLY]
    welcome = "Welcome, the score sheet in a few words, the cautions below. Nobody speaks of wines."
    lines.append((clock(start - 5), welcome))
    lines += _flights(evening)
    return [*lines, (clock(_end(evening)), "Collect the sheets and count them, then talk.")]


def _flights(evening: Evening) -> list[tuple[str, str]]:
    settings = evening.tasting.plan
    lengths = Counter(flight for flight, _ in evening.rounds)
    lines: list[tuple[str, str]] = []
    done = 0
    for flight, pours in sorted(lengths.items()):
        begins = evening.begins(flight, done + 1)
        if lines and settings.break_minutes:
            pause = (
                f"Break, {plural(settings.break_minutes, 'minute')}: water, bread, clean glasses."
            )
            lines.append((clock(begins - settings.break_minutes), pause))
        name = f"Flight {flight}" if len(lengths) > 1 else "The flight"
        every = plural(settings.pour_minutes, "minute")
        which = f"pours {done + 1} to {done + pours}" if pours > 1 else f"pour {done + 1}"
        lines.append((clock(begins), f"{name}: {which}, one every {every}, by the pour sheets."))
        done += pours
    return lines


def _set_out(evening: Evening) -> list[tuple[str, str]]:
    seats = len(evening.seats)
    longest = max(Counter(flight for flight, _ in evening.rounds).values())
    glasses = f"{longest * seats}, {longest} to a seat; or {GLASSES_LEAST * seats}, two to a seat"
    bags = sum(len(tags_of(bag)) for bag in evening.bags)
    spittoons = -(-seats // TASTERS_TO_A_SPITTOON)
    return [
        ("Glasses", f"{glasses}, rinsed with water between pours"),
        ("Water", f"{math.ceil(WATER_LITRES * seats)} litres, and a jug for each table"),
        ("Spittoons", f"{spittoons}; a jug with a lid will do"),
        ("Bread", f"{number(BREAD_GRAMS * seats / 1000)} kg, or plain crackers; and a meal"),
        ("Score sheets", f"{seats} and some to spare, with pencils"),
        ("Bags", f"{bags} that show nothing, tape or string, and the tags"),
        ("Corkscrews", f"{max(2, len(evening.tables))}, and napkins"),
        ("On the tables", _tables(evening)),
    ]


def _tables(evening: Evening) -> str:
    tables = evening.tables
    if len(tables) > 8:
        return f"{len(tables)} cards; seats 1 to {evening.seats[-1]}, as on the labels"
    return "; ".join(f"card {table.number}: seats {spans(table.seats)}" for table in tables)


def _alcohol(evening: Evening) -> str:
    settings = evening.tasting.plan
    pours = _pours_each(evening)
    amount = mark(float(settings.pour_ml))
    whole = number(float(settings.pour_ml) * pours, 0)
    said = f"Each taster is poured {pours} times {amount} ml, {whole} ml in all."
    if not evening.alcohol:
        return said
    most = max(evening.alcohol, key=lambda seat: seat.grams)
    return (
        f"{said} If all of it were swallowed, that is about {number(most.grams, 0)} g of alcohol: "
        f"{number(most.drinks_10g)} standard drinks of 10 g, or {number(most.drinks_14g)} of 14 g. "
        "That is why people spit."
    )
