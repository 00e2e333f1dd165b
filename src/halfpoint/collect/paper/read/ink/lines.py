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
    """What is usual on a page: how far marks reach and spill beyond their circles."""

    reach: float
    spill: float


# Limits, settled on simulated pages that are none of those of the bench.
_FLOOR_SPREADS, _FLOOR = 8.0, 0.022
_FAINT = 0.33
_EMPTY_SPREADS, _EMPTY, _EMPTY_SHARE = 5.0, 0.014, 0.14
_TWO = 0.5
_FOREIGN = 0.5
_REACH_FREE, _REACH_USUAL = 1.6, 1.7
_SPILL_FREE, _SPILL_USUAL = 0.7, 2.2
_RING, _HALF_RING = 0.83, 0.6


def habits_of(evidence: Sequence[Evidence], pen: Pen, spread: float) -> Habits:
    """The habits of a page by the lines that are marked."""
    marked = [e for e in evidence if e.most > max(_FLOOR_SPREADS * spread, _FAINT * pen.amount)]
    if len(marked) < 4:
        return Habits(0.5, 0.1)
    return Habits(
        float(np.median([e.reach for e in marked])), float(np.median([e.spill for e in marked]))
    )


def decide_line(evidence: Evidence, pen: Pen, habits: Habits, spread: float) -> Decision:
    """Decide one run of bubbles by its evidence."""
    floor = max(_FLOOR_SPREADS * spread, _FLOOR)
    likely = _likely(evidence, floor)
    if evidence.most < floor:
        return _unmarked(evidence, spread, likely)
    limits = {
        'faint': _over(evidence.most, max(floor, _FAINT * pen.amount)),
        'two': _under(evidence.next, _empty(evidence, spread)),
        'stray': _under(evidence.foreign, _FOREIGN),
        'reach': _under(evidence.reach, _REACH_FREE + _REACH_USUAL * habits.reach),
        'spill': _under(evidence.spill, _SPILL_FREE + _SPILL_USUAL * habits.spill),
        'ringed': 1.0 if evidence.ringed == evidence.top else _under(evidence.ring, _HALF_RING),
    }
    worst = min(limits, key=lambda name: limits[name])
    if limits[worst] > 0:
        return Decision(evidence.top, '', min(1.0, limits[worst]), (evidence.top,))
    return Decision(None, _reason(worst, evidence), 0.0, likely)


def _unmarked(evidence: Evidence, spread: float, likely: tuple[int, ...]) -> Decision:
    if evidence.ring >= _RING:
        return Decision(None, 'unclear', 0.0, (evidence.ringed,))
    stray = evidence.foreign > _FOREIGN
    faint = evidence.most > 4 * spread
    return Decision(None, 'stray' if stray else 'faint' if faint else 'nothing', 0.0, likely)


def _reason(worst: str, evidence: Evidence) -> str:
    if worst == 'two':
        return 'two' if evidence.next > _TWO * evidence.most else 'corrected'
    return {'reach': 'corrected', 'spill': 'corrected', 'ringed': 'corrected'}.get(worst, worst)


def _empty(evidence: Evidence, spread: float) -> float:
    return max(_EMPTY_SPREADS * spread, _EMPTY, _EMPTY_SHARE * evidence.most)


def _over(value: float, limit: float) -> float:
    """How far above a limit: 0 at the limit, 1 at twice it."""
    return value / limit - 1


def _under(value: float, limit: float) -> float:
    """How far below a limit: 0 at the limit, 1 at nothing."""
    return 1 - value / limit


def _likely(evidence: Evidence, floor: float) -> tuple[int, ...]:
    order = np.argsort(evidence.amounts)[::-1]
    found = [int(n) for n in order if evidence.amounts[n] > floor / 2][:3]
    if evidence.ring >= _HALF_RING and evidence.ringed not in found:
        found.append(evidence.ringed)
    return tuple(found)
