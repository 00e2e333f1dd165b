"""Deciding the boxes: ticked, not ticked, or for a person to see."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.amounts import Amounts
from halfpoint.collect.paper.read.ink.box_evidence import Inked
from halfpoint.collect.paper.read.ink.ground import Ground
from halfpoint.collect.paper.read.ink.pen import Pen
from halfpoint.collect.paper.read.middle import quantile

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
# A box is taken for ticked with no more doubt than this, a chance.
MOST_DOUBT_TICKED = 1.5e-2
# And for empty: on a page where hardly a box is in doubt; on others; and on a page of many.
MOST_DOUBT_EMPTY, MOST_DOUBT_EMPTY_OTHERS, _MOST_DOUBT_EMPTY_MANY = 5e-3, 3.5e-3, 2e-3
# A box is in doubt when its chance is further than this from 0 and from 1. One is hardly any; so
# many, and so many for each that is ticked, say that the ticks of this page can hardly be seen.
_IN_DOUBT, _HARDLY, _MANY, _MANY_SHARE = 0.02, 1, 4, 0.5
# Paper of which a tenth of the boxes lie on ground that changes so much is crumpled.
_CRUMPLED, _TENTH = 0.04, 0.9
# Gross limits, whatever the weighing says: the print that must be seen, around an empty box and a
# ticked one; the darkest ground around it, also as a share of the ink in it; and how much the
# paper may change nearby. Ink is on the scale 0 paper to 1 black.
_SEEN, _SEEN_TICKED, _AROUND, _AROUND_SHARE, _UNEVEN = 0.15, -0.3, 0.05, 0.4, 0.09
_SHADE = 0.018
# So dark the outline of an empty box must be, against the usual, and so dark where the pen is no
# darker than the last: little glare takes light pencil away.
_OUTLINE, _OUTLINE_PALE, _PALE = 0.3, 0.65, 0.4
# Nothing is taken for empty in which a line stands out so far, in spreads of the page's empty
# boxes, unless it belongs to another box: it may have been ticked with another pen.
_PLAIN = 20.0
# What tells a person's eye where to look, against the pen, as a share and in mm².
_FAINT, _STRAY, _WORD = 0.3, 0.5, 1.2


@dataclass(frozen=True, slots=True)
class Ticked:
    """Whether a box is ticked; None, with a reason, when a person must see it.

    `chance` is the chance that it is ticked.
    """

    ticked: bool | None
    reason: str = ''
    chance: float = 0.0


def decide_boxes(
    boxes: Sequence[Inked],
    chances: Array,
    plain: Array,
    outlines: Array,
    amounts: Amounts,
    ground: Ground,
    pen: Pen,
) -> tuple[Ticked, ...]:
    """Decide every box of a page, in the order of the targets.

    Args:
        boxes: what lies in each.
        chances: of each that it is ticked, by the weighing.
        plain: how far lines in each stand out of empty boxes, in spreads.
        outlines: how dark the four sides of each are, against the usual; (boxes, 4).
        amounts: ink in the targets.
        ground: of the targets.
        pen: of the page.
    """
    found = []
    faded = quantile(outlines, 0.5) < (_OUTLINE if pen.dark > _PALE else _OUTLINE_PALE)
    most_doubt = doubt_allowed(chances, faded, ground.boxes_uneven)
    for n, box in enumerate(boxes):
        each = _decided(box, float(chances[n]), float(amounts.boxes[n]), most_doubt, pen)
        if each.ticked is not None and _is_hidden(each.ticked, n, faded, amounts, ground):
            each = Ticked(None, 'stain', each.chance)
        if each.ticked is False and plain[n] > _PLAIN and not box.is_guest:
            each = Ticked(None, 'faint', each.chance)
        found.append(each)
    return tuple(found)


def doubt_allowed(chances: Array, faded: Flags, uneven: Array) -> float:
    """The doubt with which a box of this page may be taken for empty.

    Less where many ticks can hardly be told, and none at all where that is so on crumpled paper: a
    box without any ink proves nothing there. Boxes that are `faded` say nothing of the others;
    `uneven` is how much the ground of each changes.
    """
    doubtful = int(np.count_nonzero(np.minimum(chances, 1 - chances)[~faded] > _IN_DOUBT))
    ticked = int(np.count_nonzero(chances > 0.5))
    if doubtful >= max(_MANY, _MANY_SHARE * ticked):
        return 0.0 if quantile(uneven, _TENTH) > _CRUMPLED else _MOST_DOUBT_EMPTY_MANY
    return MOST_DOUBT_EMPTY if doubtful <= _HARDLY else MOST_DOUBT_EMPTY_OTHERS


def _decided(box: Inked, chance: float, ink: float, most_doubt: float, pen: Pen) -> Ticked:
    if chance > most_doubt and 1 - chance > MOST_DOUBT_TICKED:
        return Ticked(None, _reason(box, ink, pen), chance)
    return Ticked(chance > 0.5, '', chance)


def _is_hidden(ticked: bool, number: int, faded: Flags, amounts: Amounts, ground: Ground) -> bool:
    """Whether what is decided may be the work of a stain or a fold, or lost in glare."""
    if ground.boxes_seen[number] < (_SEEN_TICKED if ticked else _SEEN):
        return True
    if faded[number] and not ticked:
        return True
    ink = float(amounts.boxes[number])
    shade = max(_AROUND, _AROUND_SHARE * ink)
    return (ticked or ink > _SHADE) and bool(
        ground.boxes_around[number] > shade or ground.boxes_uneven[number] > _UNEVEN
    )


def _reason(box: Inked, ink: float, pen: Pen) -> str:
    strays = bool(box.strokes) and box.others > _STRAY * box.strokes[box.main]
    if strays or box.word > _WORD:
        return 'stray'
    return 'faint' if ink < _FAINT * pen.dark else 'corrected'
