"""What happens at the boxes of one glass."""

from __future__ import annotations

from halfpoint.collect.paper.print.layout import Block, TickBox
from halfpoint.demo.paper import marks, rates
from halfpoint.demo.paper.hand import Hand
from halfpoint.demo.paper.ink import Owner
from halfpoint.demo.paper.truth import BoxTruth

ONLY_ONE = 'band'


def write_boxes(hand: Hand, block: Block) -> tuple[BoxTruth, ...]:
    """Tick some boxes of a block; of the finish bands one or none."""
    bands = [box for box in block.boxes if box.kind == ONLY_ONE]
    band = None
    if bands and hand.rng.random() < rates.BAND_TICKED * min(1.5, 10 * hand.writer.ticks):
        band = bands[hand.rng.integers(len(bands))]
    return tuple(
        _box(hand, box, owner_of(block, box), wanted=_wanted(hand, box, band))
        for box in block.boxes
    )


def leave_boxes(block: Block) -> tuple[BoxTruth, ...]:
    """The boxes of a glass that was not tasted."""
    return tuple(BoxTruth(box.kind, box.key, ticked=False, clean=True) for box in block.boxes)


def owner_of(block: Block, box: TickBox) -> Owner:
    """Whose lines those in a box are."""
    return ('box', str(block.place), box.kind, box.key)


def _wanted(hand: Hand, box: TickBox, band: TickBox | None) -> bool:
    return box is band if box.kind == ONLY_ONE else bool(hand.rng.random() < hand.writer.ticks)


def _box(hand: Hand, box: TickBox, owner: Owner, *, wanted: bool) -> BoxTruth:
    if not wanted:
        return BoxTruth(box.kind, box.key, ticked=False, clean=True)
    chance = hand.rng.random()
    if hand.writer.rings_words and chance < 0.5:
        _ring_word(hand, box, owner)
        return BoxTruth(box.kind, box.key, ticked=True, clean=False, how='ringed')
    hand.tick_box(box.area, owner)
    if chance > 1 - rates.BOX_WITHDRAWN:
        at = (box.area.left + box.area.width / 2, box.area.top + box.area.height / 2)
        # A blot over a filled box could not be told from a mark, nor lines over a thin one.
        style = 'lines' if hand.writer.box_mark in {'fill', 'dot'} else 'scribble'
        lines = marks.strike(hand.rng, style, 1.25 * box.area.width / 2, hand.writer.pen.width)
        hand.put(lines, at, owner, 1.15)
        return BoxTruth(box.kind, box.key, ticked=False, clean=False, how='withdrawn')
    return BoxTruth(box.kind, box.key, ticked=True, clean=True, how=hand.writer.box_mark)


def _ring_word(hand: Hand, box: TickBox, owner: Owner) -> None:
    label = box.label.area
    width = min(label.width, 1.35 * len(box.label.text) + 1.5)
    at = (label.left + width / 2, label.top + label.height / 2)
    hand.ring(at, width / 2 + 1.2, hand.rng.uniform(1.8, 2.6), owner)
