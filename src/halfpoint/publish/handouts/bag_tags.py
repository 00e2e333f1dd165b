"""Bag tags: a letter for each bottle, large enough to be read across a table."""

from __future__ import annotations

from typing import Any

from halfpoint.publish.handouts.evening import Bag, Evening

Data = dict[str, Any]


def bag_tags(evening: Evening) -> Data:
    """One site's tags: for every bag one for each bottle, then one for each spare.

    Two bags of one wine share its spares, and each has tags for them: a spare takes the tag of
    the bag that needs it.
    """
    return {'tags': [tag for bag in evening.bags for tag in tags_of(bag)]}


def tags_of(bag: Bag) -> list[Data]:
    """A bag's tags: a letter, and which bottle of how many."""
    bottles = [f"bottle {n} of {bag.bottles}" for n in range(1, bag.bottles + 1)]
    spares = ["spare"] * bag.planned.spare
    return [{'bag': bag.letter, 'bottle': text} for text in (*bottles, *spares)]
