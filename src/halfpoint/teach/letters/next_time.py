"""One thing to try next time: what practice would advise, from the marks of this tasting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import fmean

import numpy as np

from halfpoint.panel.said import TasterFinding
from halfpoint.teach.advice import points
from halfpoint.teach.advice_words import GO_BACK, WHOLE_FLIGHT, Advice, advise
from halfpoint.teach.calibration import calibrate
from halfpoint.teach.letters.group import Group, Mark
from halfpoint.teach.reference import Reference


def next_time(group: Group, found: TasterFinding | None, marks: Sequence[Mark]) -> str:
    """One thing to try, in a few sentences.

    Args:
        group: the tasting.
        found: what is known of the taster; nothing is said from figures that are withheld.
        marks: the taster's entries.
    """
    if found is None or found.withheld:
        return WHOLE_FLIGHT
    advice = None if group.reference is None else _advice(group, group.reference, marks)
    return GO_BACK if advice is None else f"{advice.why} {advice.exercise}"


def _advice(group: Group, reference: Reference, marks: Sequence[Mark]) -> Advice | None:
    """What practice would advise after these marks, category by category."""
    # A spoiled bottle would make anybody look severe.
    sound = [mark for mark in marks if not mark.faults and mark.wine in reference.wines]
    place = {name: at for at, name in enumerate(reference.wines)}
    found, own = {}, {}
    for category in group.sheet.categories:
        key = category.key
        given = [(mark.parts[key], place[mark.wine]) for mark in sound if key in mark.parts]
        if given and key in reference.marks:
            values, wines = np.array(given).T
            prior = reference.priors[key]
            found[key] = calibrate(values, wines.astype(np.int64), reference.marks[key], prior)
            own[key] = _means(sound, key)
    ranked = points(found, reference.marks, reference.priors, group.sheet)
    return advise(ranked, found, reference, group.sheet, own=own, others="the group")


def _means(marks: Sequence[Mark], key: str) -> Mapping[str, float]:
    given: dict[str, list[float]] = {}
    for mark in marks:
        if key in mark.parts:
            given.setdefault(mark.wine, []).append(mark.parts[key])
    return {wine: fmean(values) for wine, values in given.items()}
