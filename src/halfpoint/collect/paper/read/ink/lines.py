"""Deciding a line: which circle is meant, or why a person has to look."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.habits import Habits
from halfpoint.collect.paper.read.ink.pen import Pen
from halfpoint.collect.paper.read.ink.rings import HALF_RING, OTHER_INK, RING


@dataclass(frozen=True, slots=True)
class Decision:
    """The bubble that is marked, None when none is; `reason` when a person must decide.

    `confidence` is the chance that the marked bubble is what was meant; `likely` are bubbles that
    may be meant, likeliest first.
    """

    bubble: int | None
    reason: str
    confidence: float
    likely: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Lying:
    """What a line lies on.

    How dark the paper is just outside the marked circle; how uneven it is near the line's circles,
    and how well the print is seen there, both as in `Ground`.
    """

    dark: float
    uneven: float
    seen: float


# The most that a mark may be in doubt, as a chance that it is not what was meant: on paper as flat
# as a scanner has it, and there where the print is hardly seen; on other paper; and where that is
# uneven or the print hardly seen, of which the weighing was shown too little to be relied on.
_DOUBT_FLAT, _DOUBT_FLAT_UNSEEN = 2e-2, 2e-3
_DOUBT, _DOUBT_UNEVEN = 6e-3, 1e-3
_FLAT, _QUITE_UNEVEN, _HARDLY_SEEN = 0.012, 0.05, 0.5
# Gross limits, within which lines are weighed; settled on simulated pages that are none of those
# of the bench. Ink is on the scale 0 paper to 1 black, lengths in mm, areas in mm².
_FLOOR_SPREADS, _FLOOR = 8.0, 0.022
_DRAWN, _DRAWN_SPREADS, _DRAWN_FLOOR = 0.4, 4.5, 0.012
# A line or a blot is plain from so many spreads of empty circles, however light it is.
_PLAIN = 6.0
_FAINT, _FAINT_SPARSE, _SPARSE, _HEAVY = 0.2, 0.12, 0.35, 6.0
_NEXT, _NEXT_FLOOR, _NEXT_STROKE = 0.5, 0.016, 4.0
# A second mark by a light pen may be so much lighter, where it stands out of the empty circles.
_NEXT_LIGHT, _NEXT_SPREADS = 0.3, 8.0
# Strokes of a second mark's size in a second circle ask for a person, where their ink is such a
# share of the mark's and more than what wiping out leaves.
_NEXT_DRAWN, _NEXT_SHARE, _NEXT_INK = 0.6, 0.15, 0.05
# So does a line or blot in a second circle as plain as this, also against those that this pen
# usually draws, where the mark itself does not lead there.
_NEXT_PLAIN, _NEXT_PLAIN_USUAL, _LEADS = 8.0, 0.15, 0.8
# What is neither a stroke of this size nor a plain line or blot, also against those that this pen
# usually draws, is a shade, and no mark.
_STROKE, _SHAPE, _SHAPE_USUAL = 0.1, 4.0, 0.15
_FAR_FREE, _FAR_USUAL = 8.0, 2.0
_NEAR_FREE, _NEAR_USUAL = 12.0, 2.0
_REACH_FREE, _REACH_USUAL, _REACH_SPREADS = 11.0, 2.0, 8.0
_GROUND, _GROUND_SHARE, _FULL = 0.05, 0.4, 0.5
# Paper changes more than this, as a share of its grey, only at stains, folds and hard shadows.
_UNEVEN = 0.1
# What a page of rings must keep to: the way around that is drawn, the ink inside against how dark
# the ring is, and all ink on the line against what a ring usually leaves there.
_PART_RING, _RING_INSIDE, _RING_INK = 0.5, 0.8, 0.3
# What tells a person's eye where to look: with so much of other ink it is stray, else corrected.
_STRAY, _TWO, _SOME = 1.5, 0.5, 0.1
# A line is bare with no more than this, also against the usual mark of a dark pen, and with nothing
# plainer in any circle.
_BARE_SPREADS, _BARE, _BARE_INK = 3.5, 0.006, 0.25
_BARE_USUAL, _BARE_PLAIN, _BARE_RING = 0.05, 5.5, 0.4


def decide_line(
    evidence: Evidence,
    chance_wrong: float,
    lying: Lying,
    pen: Pen,
    habits: Habits,
    spread: float,
) -> Decision:
    """Decide one run of bubbles.

    Args:
        evidence: what lies on it.
        chance_wrong: the chance that its mark is not what was meant, by the weighing.
        lying: what the marked circle lies on.
        pen: of the page.
        habits: of the page.
        spread: of the ink in empty circles.
    """
    likely = _likely(evidence, _floor(evidence, spread))
    if not _is_marked(evidence, habits, spread):
        return _unmarked(evidence, pen, habits, spread, likely)
    broken = broken_limit(evidence, lying, pen, habits, spread)
    if not broken and chance_wrong <= most_doubt(lying):
        return Decision(evidence.top, '', 1 - chance_wrong, (evidence.top,))
    reason = _reason(broken, evidence, habits)
    return Decision(None, reason, 0.0, likely)


def most_doubt(lying: Lying) -> float:
    """The most that a mark may be in doubt on this paper."""
    is_seen = lying.seen >= _HARDLY_SEEN
    if lying.uneven <= _FLAT:
        return _DOUBT_FLAT if is_seen else _DOUBT_FLAT_UNSEEN
    return _DOUBT if is_seen and lying.uneven <= _QUITE_UNEVEN else _DOUBT_UNEVEN


def is_weighed(evidence: Evidence, lying: Lying, pen: Pen, habits: Habits, spread: float) -> bool:
    """Whether it is left to the weighing if a line's mark is taken."""
    marked = _is_marked(evidence, habits, spread)
    return marked and not broken_limit(evidence, lying, pen, habits, spread)


def _is_marked(evidence: Evidence, habits: Habits, spread: float) -> bool:
    """Whether there is anything that may be a mark."""
    if habits.rings:
        return evidence.ring.share >= _PART_RING or evidence.most >= _FLOOR
    return evidence.plain > _PLAIN or evidence.most >= _floor(evidence, spread)


def broken_limit(evidence: Evidence, lying: Lying, pen: Pen, habits: Habits, spread: float) -> str:
    """The first gross limit that a marked line breaks, '' when it keeps to all."""
    if lying.uneven > _UNEVEN:
        return 'stain'
    if habits.rings:
        return '' if _is_ringed(evidence, habits) else 'unclear'
    broken = {
        'faint': evidence.most < _faintest(pen) or _is_shade(evidence, habits),
        'two': evidence.next > _most_next(evidence, spread) or _is_drawn_twice(evidence, habits),
        'stain': evidence.most < _FULL * pen.dark
        and lying.dark > max(_GROUND, _GROUND_SHARE * evidence.most),
        'heavy': evidence.most > _HEAVY * pen.amount + _FLOOR,
        'stray': evidence.far > _FAR_FREE + _FAR_USUAL * habits.far,
        'near': evidence.near > _NEAR_FREE + _NEAR_USUAL * habits.near,
        'reach': evidence.reach > _farthest(habits),
    }
    return next((name for name, is_broken in broken.items() if is_broken), '')


def _floor(evidence: Evidence, spread: float) -> float:
    """The least ink that is a mark: less where it is plainly drawn, as a thin stroke is."""
    if evidence.inside >= _DRAWN:
        return max(_DRAWN_SPREADS * spread, _DRAWN_FLOOR)
    return max(_FLOOR_SPREADS * spread, _FLOOR)


def _most_next(evidence: Evidence, spread: float) -> float:
    """The most ink that may lie in a second circle."""
    most = max(_NEXT * evidence.most, 5 * spread, _NEXT_FLOOR)
    return min(most, max(_NEXT_LIGHT * evidence.most, _NEXT_SPREADS * spread))


def _faintest(pen: Pen) -> float:
    """The least ink of a mark by this pen; dots and dashes vary more than filled circles."""
    sparse = pen.amount < _SPARSE * pen.dark
    return (_FAINT_SPARSE if sparse else _FAINT) * pen.amount


def _farthest(habits: Habits) -> float:
    """How far a mark of this page may reach."""
    usual = habits.reach + _REACH_SPREADS * habits.reach_spread
    return max(_REACH_FREE + _REACH_USUAL * habits.reach, usual)


def _is_shade(evidence: Evidence, habits: Habits) -> bool:
    """Whether what darkens the circle is nothing that this pen would draw."""
    plain = max(_SHAPE, _SHAPE_USUAL * habits.plain)
    return evidence.inside < _STROKE and evidence.plain < plain


def _is_drawn_twice(evidence: Evidence, habits: Habits) -> bool:
    """Whether what is drawn in a second circle may be a second mark."""
    plain = evidence.next_plain > max(_NEXT_PLAIN, _NEXT_PLAIN_USUAL * habits.plain)
    if evidence.next_inside > _NEXT_STROKE or (plain and evidence.reach < _LEADS):
        return True
    inked = evidence.next > max(_NEXT_SHARE * evidence.most, _NEXT_INK)
    return evidence.next_inside > _NEXT_DRAWN and inked


def _is_ringed(evidence: Evidence, habits: Habits) -> bool:
    """Whether a line on a page of rings may be weighed: one ring, and little ink inside.

    Rings of the lines above and below reach into a line that has none of its own.
    """
    ring = evidence.ring
    alone = ring.next_share < HALF_RING and evidence.next < OTHER_INK * ring.dark
    own = ring.inside < _RING_INSIDE and evidence.ink >= _RING_INK * habits.ink
    return ring.share >= _PART_RING and alone and own


def _unmarked(
    evidence: Evidence, pen: Pen, habits: Habits, spread: float, likely: tuple[int, ...]
) -> Decision:
    if evidence.ring.share >= RING:
        return Decision(None, 'unclear', 0.0, (evidence.ring.bubble,))
    if evidence.far + evidence.near > _STRAY:
        return Decision(None, 'stray', 0.0, likely)
    bare = _is_bare(evidence, pen, habits, spread)
    return Decision(None, 'nothing' if bare else 'faint', 0.0, likely)


def _is_bare(evidence: Evidence, pen: Pen, habits: Habits, spread: float) -> bool:
    """Whether there is nothing that even a light mark of this page's pen would leave."""
    most = max(_BARE_SPREADS * spread, _BARE, _BARE_USUAL * pen.amount if pen.is_known else 0.0)
    plain = max(_BARE_PLAIN, _BARE_USUAL * habits.plain)
    drawn = evidence.ink > _BARE_INK or evidence.ring.share >= _BARE_RING
    return evidence.most <= most and evidence.plainest <= plain and not drawn


def _reason(broken: str, evidence: Evidence, habits: Habits) -> str:
    if broken in {'faint', 'stain'}:
        return broken
    if habits.rings:
        return 'unclear'
    if evidence.next > _TWO * evidence.most:
        return 'two'
    stray = evidence.far > _STRAY and evidence.next < _SOME * evidence.most
    return 'stray' if stray else 'corrected'


def _likely(evidence: Evidence, floor: float) -> tuple[int, ...]:
    order = np.argsort(evidence.amounts)[::-1]
    found = [int(n) for n in order if evidence.amounts[n] > floor / 2][:3]
    if evidence.ring.share >= HALF_RING and evidence.ring.bubble not in found:
        found.append(evidence.ring.bubble)
    return tuple(found)
