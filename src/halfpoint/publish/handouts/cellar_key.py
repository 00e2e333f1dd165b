"""The cellar key: which wine goes into which bag. For one pair of eyes."""

from __future__ import annotations

from typing import Any

from halfpoint.publish.handouts.care import temperature
from halfpoint.publish.handouts.evening import Bag, Evening
from halfpoint.publish.handouts.tables import TICK, plain_table
from halfpoint.publish.numbers import plural
from halfpoint.tasting.model import Wine
from halfpoint.typeface.letters import one_line

Data = dict[str, Any]

LONGEST_NAME = 200
WHO = "For the person who bags the bottles only"
_RULES = (
    "Work alone, out of sight. Take off capsules, and whatever of the label shows above a bag.",
    "Draw the corks and smell each wine; use a spare where one is off, and write down which.",
    "One tag to each bottle, so that the letter shows when it is poured.",
    "Do not pour at a table or mark the wines, and take this paper with you.",
)
_SHARED = (
    "Two bags with the same wine: share its bottles evenly between them. Where one bottle has to "
    "do for both, pour half of it into a clean empty bottle. A spare takes the tag it is needed "
    "for."
)


def cellar_key(evening: Evening) -> Data:
    """One site's key, bags by letter."""
    columns = [
        ("", 'center', '9mm'), ("bag", 'left', '16mm'), ("wine", 'left', '1fr'),
        ("bottles", 'left', '42mm'),
    ]  # fmt: skip
    rows = [[TICK, bag.letter, _wine(bag), _bottles(bag)] for bag in evening.bags]
    twins = any(bag.twin for bag in evening.bags)
    return {
        'who': WHO,
        'rules': [*_RULES, *([_SHARED] if twins else [])],
        'key': plain_table(columns, rows, size=13, inset=5),
    }


def cellar_list(evening: Evening) -> Data:
    """One site's bottles by wine, for whoever gets them in; bag letters are not on it."""
    columns = [
        ("", 'center', '9mm'), ("wine", 'left', '1fr'), ("serve at", 'left', '31mm'),
        ("pours", 'right', '15mm'), ("to pour", 'right', '17mm'), ("spare", 'right', '15mm'),
        ("bottles", 'right', '18mm'),
    ]  # fmt: skip
    line_of = {line.wine: line for line in evening.bottles}
    rows = [
        [TICK, named(wine), temperature(wine), str(line.pours), str(line.bottles),
         str(line.spare), str(line.bottles + line.spare)]
        for wine in evening.tasting.wines if (line := line_of.get(wine.key))
    ]  # fmt: skip
    return {
        'who': "Names the wines: for whoever gets the bottles in, not for tasters or stewards",
        'total': plural(sum(line.bottles + line.spare for line in evening.bottles), "bottle"),
        'list': plain_table(columns, rows, size=12, inset=6),
        'note': TEMPERATURES,
    }


def bag_list(evening: Evening) -> Data:
    """One site's bags, when the bottles come bagged: a letter, how many, how cold; no wine.

    Spares are told in all and not by letter: two bags with spares in common would be alike.
    """
    columns = [
        ("", 'center', '9mm'), ("bag", 'left', '22mm'), ("serve at", 'left', '1fr'),
        ("bottles", 'right', '24mm'),
    ]  # fmt: skip
    rows = [[TICK, bag.letter, temperature(bag.wine), str(bag.bottles)] for bag in evening.bags]
    bottles = plural(sum(bag.bottles for bag in evening.bags), "bottle")
    spares = plural(sum(line.spare for line in evening.bottles), "spare")
    return {
        'total': f"{bottles} and {spares}",
        'list': plain_table(columns, rows, size=13, inset=6),
        'note': f"Leave the bags on, and keep them shut. {TEMPERATURES}",
    }


TEMPERATURES = "Temperatures are common practice for the style. A glass warms up soon; err on cool."


def named(wine: Wine) -> str:
    """A wine by name and vintage."""
    name = one_line(wine.name, LONGEST_NAME)
    known = wine.vintage is None or str(wine.vintage) in name
    return name if known else f"{name}, {wine.vintage}"


def _wine(bag: Bag) -> str:
    return f"{named(bag.wine)} (also in bag {bag.twin})" if bag.twin else named(bag.wine)


def _bottles(bag: Bag) -> str:
    count = bag.planned.bottles
    shared = f" shared with {bag.twin}" if bag.twin else ""
    return f"{count}{shared}" + (f", {bag.planned.spare} spare" if bag.planned.spare else "")
