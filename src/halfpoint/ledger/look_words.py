"""Words for what needs a look, the same in the terminal and on the desk."""

from __future__ import annotations

from halfpoint.collect.paper.read.model import REASONS
from halfpoint.ledger.paper import BOXES
from halfpoint.ledger.records import Value
from halfpoint.ledger.review import Waiting
from halfpoint.sheet.words import say_number
from halfpoint.tasting.model import Tasting

ABOUT = {
    'total': "Written total",
    'code': "Code",
    'seat': "Seat or taster",
}


def say_field(tasting: Tasting, name: str, about: str) -> str:
    """A line or box in the words of the sheet."""
    sheet = tasting.sheet
    if name in sheet.categories_by_key:
        return sheet.category(name).label
    if name in ABOUT:
        return ABOUT[name]
    labels = {
        **{('term', key): term.label for key, term in sheet.terms_by_key.items()},
        **{('family', family.key): family.label for family in sheet.families},
        **{('fault', key): fault.label for key, fault in sheet.faults_by_key.items()},
        **{('band', band.label): f"finish {band.label}" for band in sheet.finish},
    }
    return f"Box {labels.get((name, about), about)}"


def say_place(tasting: Tasting, this: Waiting) -> str:
    """`Aldermire, seat 4, sheet 1, glass 2, code 215`."""
    site = next((each.name for each in tasting.sites if each.key == this.site), this.site)
    seat = f"spare {this.number}" if this.seat is None else f"seat {this.seat}, sheet {this.sheet}"
    glass = ""
    if this.place:
        glass = f", glass {this.position or this.place}"
    code = f", code {this.code}" if this.code else ""
    return f"{site}, {seat}{glass}{code}"


def say_question(tasting: Tasting, this: Waiting) -> str:
    """What it is about and why it is asked: `Aroma: more than one circle is marked`."""
    line = say_field(tasting, this.look.field, this.look.about)
    return f"{line}: {REASONS[this.look.reason]}"


def choices_of(this: Waiting) -> tuple[float | str, ...]:
    """What it may be, likeliest first: what was said before comes before all."""
    if this.read is None:
        return this.look.choices
    return (this.read, *(each for each in this.look.choices if each != this.read))


def say_choice(value: Value, field: str) -> str:
    """A choice in words: `4½`, `ticked`, `483`."""
    if value is None:
        return "nothing marked"
    if field in BOXES:
        return "ticked" if value else "not ticked"
    return say_number(value) if isinstance(value, float | int) else value
