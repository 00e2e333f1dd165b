"""Deciding a line: which circle is meant, or why a person has to look."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.habits import (
    HALF_RING,
    PART_RING,
    RING,
    RING_INSIDE,
    Habits,
    is_ring,
)
from halfpoint.collect.paper.read.ink.pen import Pen


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


# The most that a mark may be in doubt, as a chance that it is not what was meant.
MOST_DOUBT = 6e-3
# Gross limits, within which lines are weighed; settled on simulated pages that are none of those
# of the bench. Ink is on the scale 0 paper to 1 black, lengths in mm, areas in mm².
_FLOOR_SPREADS, _FLOOR = 8.0, 0.022
_DRAWN, _DRAWN_SPREADS, _DRAWN_FLOOR = 0.4, 4.5, 0.012
_FAINT, _FAINT_SPARSE, _SPARSE, _HEAVY = 0.3, 0.16, 0.35, 6.0
_NEXT, _NEXT_OF_USUAL, _NEXT_FLOOR = 0.17, 0.27, 0.016
_FAR_FREE, _FAR_USUAL = 4.0, 1.5
_NEAR_FREE, _NEAR_USUAL = 9.0, 2.0
_REACH_FREE, _REACH_USUAL, _REACH_SPREADS = 8.0, 1.8, 5.0
_NEXT_STROKE, _STROKE, _DARK_PEN = 0.5, 0.3, 0.45
_GROUND, _GROUND_SHARE, _FULL = 0.05, 0.4, 0.5
# What a page of rings must keep to.
_RINGED_INK = 1.5
# What tells a person's eye where to look: with so much of other ink it is stray, else corrected.
_STRAY, _TWO, _SOME = 1.5, 0.5, 0.1
_RING_CONFIDENCE = 0.9999
# A line is bare with no more than this.
_BARE_SPREADS, _BARE, _BARE_INK = 3.5, 0.006, 0.25


def decide_line(
    evidence: Evidence,
    chance_wrong: float,
    ground: float,
    pen: Pen,
    habits: Habits,
    spread: float,
) -> Decision:
    """Decide one run of bubbles.

    Args:
        evidence: what lies on it.
        chance_wrong: the chance that its mark is not what was meant, by the weighing.
        ground: how dark the paper is just outside the marked circle.
        pen: of the page.
        habits: of the page.
        spread: of the ink in empty circles.
    """
    likely = _likely(evidence, _floor(evidence, spread))
    if habits.rings:
        return _ringed(evidence, pen, habits, likely)
    if evidence.most < _floor(evidence, spread):
        return _unmarked(evidence, spread, likely)
    broken = broken_limit(evidence, ground, pen, habits, spread)
    if not broken and chance_wrong <= MOST_DOUBT:
        return Decision(evidence.top, '', 1 - chance_wrong, (evidence.top,))
    return Decision(None, _reason(broken, evidence), 0.0, likely)


def is_weighed(evidence: Evidence, ground: float, pen: Pen, habits: Habits, spread: float) -> bool:
    """Whether it is left to the weighing if a line's mark is taken."""
    marked = evidence.most >= _floor(evidence, spread)
    return marked and not habits.rings and not broken_limit(evidence, ground, pen, habits, spread)


def broken_limit(evidence: Evidence, ground: float, pen: Pen, habits: Habits, spread: float) -> str:
    """The first gross limit that a marked line breaks, '' when it keeps to all."""
    next_most = min(_NEXT * evidence.most, _NEXT_OF_USUAL * pen.amount)
    no_stroke = evidence.inside < _STROKE and pen.dark > _DARK_PEN
    broken = {
        'faint': evidence.most < _faintest(pen) or no_stroke,
        'two': evidence.next > max(next_most, 5 * spread, _NEXT_FLOOR)
        or evidence.next_inside > _NEXT_STROKE,
        'stain': evidence.most < _FULL * pen.dark
        and ground > max(_GROUND, _GROUND_SHARE * evidence.most),
        'heavy': evidence.most > _HEAVY * pen.amount + _FLOOR,
        'stray': evidence.far > _FAR_FREE + _FAR_USUAL * habits.far,
        'near': evidence.near > _NEAR_FREE + _NEAR_USUAL * habits.near,
        'reach': evidence.reach > _farthest(habits),
        'ringed': _other_ring(evidence) > HALF_RING,
    }
    return next((name for name, is_broken in broken.items() if is_broken), '')


def _floor(evidence: Evidence, spread: float) -> float:
    """The least ink that is a mark: less where it is plainly drawn, as a thin stroke is."""
    if evidence.inside >= _DRAWN:
        return max(_DRAWN_SPREADS * spread, _DRAWN_FLOOR)
    return max(_FLOOR_SPREADS * spread, _FLOOR)


def _faintest(pen: Pen) -> float:
    """The least ink of a mark by this pen; dots and dashes vary more than filled circles."""
    sparse = pen.amount < _SPARSE * pen.dark
    return (_FAINT_SPARSE if sparse else _FAINT) * pen.amount


def _farthest(habits: Habits) -> float:
    """How far a mark of this page may reach."""
    usual = habits.reach + _REACH_SPREADS * habits.reach_spread
    return max(_REACH_FREE + _REACH_USUAL * habits.reach, usual)


def _ringed(evidence: Evidence, pen: Pen, habits: Habits, likely: tuple[int, ...]) -> Decision:
    """On a page of rings, a ring alone is a mark; anything else is for a person."""
    ring = evidence.ring
    if not is_ring(evidence, RING_INSIDE * pen.dark, PART_RING):
        empty = ring.share == 0 and evidence.most < _FLOOR
        return Decision(None, 'nothing' if empty else 'unclear', 0.0, likely)
    if evidence.ink > _RINGED_INK * habits.ink + 1.0:
        return Decision(None, 'corrected', 0.0, likely)
    return Decision(ring.bubble, '', _RING_CONFIDENCE, (ring.bubble,))


def _other_ring(evidence: Evidence) -> float:
    """How nearly another circle than the marked one is ringed."""
    ring = evidence.ring
    if ring.bubble != evidence.top and ring.share >= RING:
        return ring.share
    return ring.next_share if abs(ring.bubble - evidence.top) <= 1 else ring.share


def _unmarked(evidence: Evidence, spread: float, likely: tuple[int, ...]) -> Decision:
    if evidence.ring.share >= RING:
        return Decision(None, 'unclear', 0.0, (evidence.ring.bubble,))
    stray = evidence.far + evidence.near > _STRAY
    faint = evidence.most > max(_BARE_SPREADS * spread, _BARE) or evidence.ink > _BARE_INK
    return Decision(None, 'stray' if stray else 'faint' if faint else 'nothing', 0.0, likely)


def _reason(broken: str, evidence: Evidence) -> str:
    if broken in {'faint', 'stain'}:
        return broken
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
