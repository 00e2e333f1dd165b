"""The faults of a sheet, and how they look, smell and taste.

What our own words add to the sheet's signs is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from halfpoint.sheet.form import Fault, Sheet
from halfpoint.sheet.words import fold, say_number
from halfpoint.teach.guide import stages
from halfpoint.teach.guide.said import FaultSign

# Words in a fault's key or label, and how such a fault looks, smells and tastes.
_KNOWN = (
    (
        ('brown', 'browning'),
        ("browner than its age explains", "tired fruit", "flat, a little stale"),
    ),
    (('haze', 'hazy', 'cloudy'), ("not clear where it should be", "", "sometimes of yeast")),
    (
        ('bubbles', 'fizz'),
        ("bubbles in a still wine", "sometimes of yeast", "a prickle on the tongue"),
    ),
    (
        ('corked', 'cork', 'tca'),
        ("nothing to see", "wet cardboard, a damp cellar", "dull, and the fruit is gone"),
    ),
    (
        ('oxidised', 'oxidized', 'air'),
        ("often brown at the rim", "bruised apple, stale nuts", "flat, dry, without fresh fruit"),
    ),
    (
        ('vinegar', 'sour', 'volatile'),
        ("nothing to see", "vinegar, nail varnish", "sharp, and hot at the back"),
    ),
    (
        ('egg', 'reduced', 'sulphide'),
        ("nothing to see", "egg, onion, struck match", "the same, sometimes bitter"),
    ),
    (
        ('barnyard', 'brett', 'stable'),
        ("nothing to see", "stable, sticking plaster", "the fruit is covered, the end is dry"),
    ),
    (('mouse', 'mousy'), ("nothing to see", "nothing", "stale cereal, some seconds later")),
    (('bitter', 'bitterness'), ("", "", "what stays is bitter")),
)
_PLACE = {stages.LOOK: 0, stages.SMELL: 1}


def faults(sheet: Sheet) -> tuple[FaultSign, ...]:
    """Each fault of the sheet to the eye, nose and mouth."""
    return tuple(_faults(sheet))


def _faults(sheet: Sheet) -> Iterator[FaultSign]:
    places = stages.stage_of_category(sheet)
    for fault in sheet.faults:
        shown = _known(fault) or _as_signed(fault, places)
        yield FaultSign(fault.label, *shown, _usual(sheet, fault))


def _known(fault: Fault) -> tuple[str, str, str] | None:
    words = set(re.split(r'[^\w]+', f'{fold(fault.key)} {fold(fault.label)}'))
    return next((shown for names, shown in _KNOWN if words & {*names}), None)


def _as_signed(fault: Fault, places: dict[str, str]) -> tuple[str, str, str]:
    """The sheet's own sign, under the sense of the category in which it shows."""
    shown = ["", "", ""]
    stage = places.get(fault.category or '', '')
    shown[_PLACE.get(stage, 2)] = fault.sign[:1].lower() + fault.sign[1:].rstrip('.')
    return shown[0], shown[1], shown[2]


def _usual(sheet: Sheet, fault: Fault) -> str:
    """`2½ of 3 for appearance`: the highest mark that usually goes with it."""
    if fault.ceiling is None:
        return ""
    if fault.category is None:
        return f"{say_number(fault.ceiling)} of {say_number(sheet.top)} in all"
    of = sheet.category(fault.category)
    return f"{say_number(fault.ceiling)} of {say_number(of.top)} for {of.label.lower()}"
