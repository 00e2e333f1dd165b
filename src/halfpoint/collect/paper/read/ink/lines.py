"""Deciding a line: which circle is meant, or why a person has to look."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from halfpoint.collect.paper.read.ink.evidence import Evidence
from halfpoint.collect.paper.read.ink.pen import Pen


@dataclass(frozen=True, slots=True)
class Decision:
    """The bubble that is marked, None when none is; `reason` when a person must decide.

    `slack` says how far the evidence lies from the nearest limit that would have asked a person:
    0 at the limit, 1 far away. `likely` are bubbles that may be meant, likeliest first.
    """

    bubble: int | None
    reason: str
    slack: float
    likely: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Habits:
    """What is usual on a page: how far marks reach, ink near and far, whether marks are rings."""

    reach: float
    reach_spread: float
    near: float
    far: float
    arms: float
    strokes: float
    ink: float
    rings: bool


# Limits, settled on simulated pages that are none of those of the bench.
_FLOOR_SPREADS, _FLOOR = 8.0, 0.022
_DRAWN, _DRAWN_SPREADS, _DRAWN_FLOOR = 0.4, 4.5, 0.012
_FAINT, _FAINT_SPARSE, _SPARSE, _HEAVY = 0.27, 0.17, 0.35, 3.3
_EMPTY_SPREADS, _EMPTY, _EMPTY_SHARE, _EMPTY_OF_USUAL = 5.0, 0.014, 0.18, 0.25
_TWO = 0.5
_FAR_FREE, _FAR_USUAL = 1.5, 1.5
_NEAR_FREE, _NEAR_USUAL, _NEAR_ONE_ARM = 2.4, 2.0, 4.0
_CROSSED, _ARMS, _ARMS_USUAL = 2.0, 4.5, 1.6
_REACH_FREE, _REACH_USUAL, _REACH_SPREADS = 1.2, 1.2, 4.5
_RING, _HALF_RING = 0.8, 0.6
# A page is one of rings when so many lines, and so large a share of them, are ringed alone.
_RING_LINES, _RING_PAGE, _RING_EMPTY = 4, 0.6, 0.09
_RING_OTHERS, _RING_INSIDE, _RING_INK = 0.8, 0.13, 1.5


def habits_of(evidence: Sequence[Evidence], pen: Pen, spread: float) -> Habits:
    """The habits of a page by the lines that are marked."""
    marked = [e for e in evidence if e.most > max(_FLOOR_SPREADS * spread, _FAINT * pen.amount)]
    ringed = sum(_is_ring(e) and e.most < _RING_EMPTY for e in evidence)
    lines = max(1, sum(e.most > _FLOOR or e.ring.share > _HALF_RING for e in evidence))
    rings = ringed >= _RING_LINES and ringed >= _RING_PAGE * lines
    ink = float(np.median([e.ink for e in evidence]))
    if len(marked) < 4:
        return Habits(0.5, 0.3, 0.1, 0.0, 1.0, 8.0, ink, rings)
    reach = np.array([e.reach for e in marked])
    return Habits(
        reach=float(np.median(reach)),
        reach_spread=1.4826 * float(np.median(np.abs(reach - np.median(reach)))),
        near=float(np.median([e.near for e in marked])),
        far=float(np.median([e.far for e in marked])),
        arms=float(np.median([e.arms for e in marked])),
        strokes=float(np.median([e.strokes for e in marked])),
        ink=ink,
        rings=rings,
    )


def decide_line(evidence: Evidence, pen: Pen, habits: Habits, spread: float) -> Decision:
    """Decide one run of bubbles by its evidence."""
    floor = _floor(evidence, spread)
    likely = _likely(evidence, floor)
    if habits.rings:
        return _ringed(evidence, habits, likely)
    if evidence.most < floor:
        return _unmarked(evidence, spread, likely)
    limits = slack_of(evidence, pen, habits, spread)
    worst = min(limits, key=lambda name: limits[name])
    if limits[worst] > 0:
        return Decision(evidence.top, '', min(1.0, limits[worst]), (evidence.top,))
    return Decision(None, _reason(worst, evidence), 0.0, likely)


def slack_of(evidence: Evidence, pen: Pen, habits: Habits, spread: float) -> dict[str, float]:
    """How far a marked line keeps from each limit; at 0 and below a person must look."""
    floor = _floor(evidence, spread)
    return {
        'faint': _over(evidence.most, max(floor, _faintest(pen))),
        'two': _under(evidence.next, _empty(evidence, pen, spread)),
        'heavy': _under(evidence.most, _HEAVY * pen.amount + _FLOOR),
        'stray': _under(evidence.far, _FAR_FREE + _FAR_USUAL * habits.far),
        'near': _under(evidence.near, _most_near(evidence, habits)),
        'arms': _under(evidence.arms, _ARMS + _ARMS_USUAL * habits.arms),
        'reach': _under(evidence.reach, _farthest(habits)),
        'ringed': _under(_other_ring(evidence), _HALF_RING),
    }


def _floor(evidence: Evidence, spread: float) -> float:
    """The least ink that is a mark: less where it is plainly drawn, as a thin stroke is."""
    if evidence.inside >= _DRAWN:
        return max(_DRAWN_SPREADS * spread, _DRAWN_FLOOR)
    return max(_FLOOR_SPREADS * spread, _FLOOR)


def _faintest(pen: Pen) -> float:
    """The least ink of a mark by this pen; dots and dashes vary more than filled circles."""
    sparse = pen.amount < _SPARSE * pen.dark
    return (_FAINT_SPARSE if sparse else _FAINT) * pen.amount


def _most_near(evidence: Evidence, habits: Habits) -> float:
    """How much ink may lie just outside: more where it is one blot than where strokes cross."""
    crossed = evidence.arms >= _CROSSED + _ARMS_USUAL * habits.arms
    free = _NEAR_FREE if crossed else _NEAR_ONE_ARM
    return free + _NEAR_USUAL * habits.near


def _farthest(habits: Habits) -> float:
    """How far a mark of this page may reach."""
    usual = habits.reach + _REACH_SPREADS * habits.reach_spread
    return max(_REACH_FREE + _REACH_USUAL * habits.reach, usual)


def _is_ring(evidence: Evidence) -> bool:
    """One ring and nothing else that could be a mark."""
    ring = evidence.ring
    return (
        ring.share >= _RING
        and ring.next_share < _HALF_RING
        and ring.others < _RING_OTHERS
        and _inside(evidence) < _RING_INSIDE
    )


def _inside(evidence: Evidence) -> float:
    """The most ink in any circle: a ring leaves all of them empty, a struck ring does not."""
    return float(evidence.amounts.max(initial=0.0))


def _ringed(evidence: Evidence, habits: Habits, likely: tuple[int, ...]) -> Decision:
    """On a page of rings, a ring alone is a mark; anything else is for a person."""
    ring = evidence.ring
    if not _is_ring(evidence):
        empty = ring.share == 0 and evidence.most < _FLOOR
        return Decision(None, 'nothing' if empty else 'unclear', 0.0, likely)
    slack = min(
        _under(ring.next_share, _HALF_RING),
        _under(ring.others, _RING_OTHERS),
        _under(_inside(evidence), _RING_INSIDE),
        _under(evidence.ink, _RING_INK * habits.ink + 1.0),
    )
    if slack <= 0:
        return Decision(None, 'corrected', 0.0, likely)
    return Decision(ring.bubble, '', slack, (ring.bubble,))


def _other_ring(evidence: Evidence) -> float:
    """How nearly another circle than the marked one is ringed."""
    ring = evidence.ring
    return ring.next_share if abs(ring.bubble - evidence.top) <= 1 else ring.share


def _unmarked(evidence: Evidence, spread: float, likely: tuple[int, ...]) -> Decision:
    if evidence.ring.share >= _RING:
        return Decision(None, 'unclear', 0.0, (evidence.ring.bubble,))
    stray = evidence.far + evidence.near > _FAR_FREE
    faint = evidence.most > 4 * spread
    return Decision(None, 'stray' if stray else 'faint' if faint else 'nothing', 0.0, likely)


def _reason(worst: str, evidence: Evidence) -> str:
    if worst == 'two':
        return 'two' if evidence.next > _TWO * evidence.most else 'corrected'
    return dict.fromkeys(('reach', 'near', 'arms', 'ringed', 'heavy'), 'corrected').get(worst, worst)


def _empty(evidence: Evidence, pen: Pen, spread: float) -> float:
    """How much ink a circle may have that is not marked."""
    share = min(_EMPTY_SHARE * evidence.most, _EMPTY_OF_USUAL * pen.amount)
    return max(_EMPTY_SPREADS * spread, _EMPTY, share)


def _over(value: float, limit: float) -> float:
    """How far above a limit: 0 at the limit, 1 at twice it."""
    return value / limit - 1


def _under(value: float, limit: float) -> float:
    """How far below a limit: 0 at the limit, 1 at nothing."""
    return 1 - value / limit


def _likely(evidence: Evidence, floor: float) -> tuple[int, ...]:
    order = np.argsort(evidence.amounts)[::-1]
    found = [int(n) for n in order if evidence.amounts[n] > floor / 2][:3]
    if evidence.ring.share >= _HALF_RING and evidence.ring.bubble not in found:
        found.append(evidence.ring.bubble)
    return tuple(found)
