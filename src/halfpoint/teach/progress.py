"""From session to session: what a learner's marks say so far, and how that has changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from halfpoint.sheet.entry import Entry
from halfpoint.teach.calibration import FEWEST_WINES, Calibration, calibrate
from halfpoint.teach.diary import Diary, Marked, Stage, standing
from halfpoint.teach.prior import KEPT_TO_NEXT_SESSION, KEPT_TO_NEXT_YEAR, Prior, carried
from halfpoint.teach.reference import TOTAL, Reference


@dataclass(frozen=True, slots=True)
class SessionFound:
    """One session: the marks with a reference, and what all marks up to it say.

    `found` is by category key, and 'total'; empty where no wine had a reference. What was found
    before is the prior, so a later session counts most and an earlier one is not forgotten;
    `wines` of each is over all of them, `marks` and `second_pours` of this session.
    """

    session: str
    entries: tuple[Entry, ...]
    compared: int
    found: Mapping[str, Calibration]


@dataclass(frozen=True, slots=True)
class OwnSteadiness:
    """Second pours of any wine, with or without a reference: how far marks are apart.

    `sd` is the standard deviation of a total given again, from `pairs` degrees of freedom.
    """

    sd: float
    pairs: int


@dataclass(frozen=True, slots=True)
class Progress:
    """All sessions in order; `now` is what the last says, `wines` how many wines were compared."""

    sessions: tuple[SessionFound, ...]
    now: Mapping[str, Calibration]
    wines: int
    steadiness: OwnSteadiness | None


def follow(diary: Diary, *, earlier: bool = True) -> Progress:
    """Go through a practice file session by session.

    Args:
        diary: the practice file.
        earlier: whether what was found before (earlier sessions, one's own record in a past
            tasting) is the prior for what comes next; otherwise every session starts from the
            panel.
    """
    sessions: list[SessionFound] = []
    now: dict[str, Calibration] = {}
    met: set[tuple[int, str]] = set()
    for number, stage in enumerate(diary.stages):
        kept = KEPT_TO_NEXT_YEAR if number else KEPT_TO_NEXT_SESSION
        for name, group in groupby(_in_sessions(stage), key=lambda one: one.session):
            entries = tuple(one.entry for one in group)
            priors = _priors(stage, now if earlier else {}, kept, own=earlier)
            known = _compared(entries, stage.reference)
            met |= {(number, entry.wine) for entry in known}
            alone = len({entry.wine for entry in known})
            found = {
                key: _resting_on(one, len(met) if earlier else alone)
                for key, one in _found(known, stage.reference, priors).items()
            }
            sessions.append(SessionFound(name, entries, len(known), found))
            now |= found
            kept = KEPT_TO_NEXT_SESSION
    return Progress(tuple(sessions), now, len(met), _steadiness(sessions))


def _in_sessions(stage: Stage) -> list[Marked]:
    """What counts, sessions in the order in which each began."""
    kept = list(standing(stage.marked))
    order = {name: at for at, name in enumerate(dict.fromkeys(one.session for one in kept))}
    return sorted(kept, key=lambda one: order[one.session])


def _compared(entries: Sequence[Entry], reference: Reference | None) -> list[Entry]:
    if reference is None:
        return []
    # A spoiled bottle would make anybody look severe.
    return [entry for entry in entries if entry.wine in reference.wines and not entry.faults]


def _priors(
    stage: Stage, before: Mapping[str, Calibration], kept: float, *, own: bool
) -> dict[str, Prior]:
    if stage.reference is None:
        return {}
    priors = dict(stage.reference.priors)
    if own and stage.own is not None:
        priors[TOTAL] = stage.own
    for key, found in before.items():
        if key in priors:
            panel = stage.reference.priors[key]
            priors[key] = carried(panel, found.severity, found.spread, found.noise, kept)
    return priors


def _resting_on(found: Calibration, wines: int) -> Calibration:
    """The same, resting on so many wines over all sessions that it takes into account."""
    return replace(found, wines=wines, told=wines >= FEWEST_WINES and not found.same_mark)


def _found(
    known: Sequence[Entry], reference: Reference | None, priors: Mapping[str, Prior]
) -> dict[str, Calibration]:
    if reference is None or not known:
        return {}
    place = {name: at for at, name in enumerate(reference.wines)}
    wine = np.array([place[entry.wine] for entry in known], dtype=np.int64)
    found = {}
    for key, marks in reference.marks.items():
        own = np.array([entry.total if key == TOTAL else entry.marks[key] for entry in known])
        found[key] = calibrate(own, wine, marks, priors[key])
    return found


def _steadiness(sessions: Sequence[SessionFound]) -> OwnSteadiness | None:
    squares, pairs = 0.0, 0
    for session in sessions:
        by_wine: dict[str, list[float]] = {}
        for entry in session.entries:
            by_wine.setdefault(entry.wine, []).append(entry.total)
        for totals in by_wine.values():
            squares += float(np.square(np.array(totals) - np.mean(totals)).sum())
            pairs += len(totals) - 1
    return OwnSteadiness(float(np.sqrt(squares / pairs)), pairs) if pairs else None
