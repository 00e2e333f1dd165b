"""Whether each line is where it is taken to be: its label, then its circles."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Rectangle
from halfpoint.collect.paper.read.form_image import FormImage
from halfpoint.collect.paper.read.ink.targets import Run, Targets
from halfpoint.collect.paper.read.register.matching import Match, find_patch

Floats = NDArray[np.float32]
_REACH = 0.9
# So alike a part of the form must be to count, one way or the other.
_SURE = 0.55
_MOST_SHIFT = 0.5


def out_of_place(dark: Floats, form: FormImage, targets: Targets) -> list[bool]:
    """For each run, whether its label or its circles are not found where they should be.

    Args:
        dark: darkness of the page, `COARSE` pixels a millimetre.
        form: the form.
        targets: of the page.
    """
    return [not _is_in_place(dark, form, targets, run) for run in targets.runs]


def _is_in_place(dark: Floats, form: FormImage, targets: Targets, run: Run) -> bool:
    label = find_patch(dark, form.coarse, run.row.label.area.grown(0.5), _REACH)
    line = find_patch(dark, form.coarse, _circles(targets, run), _REACH)
    if _contradicts(label) or _contradicts(line):
        return False
    return _confirms(label) or _confirms(line)


def _confirms(match: Match | None) -> bool:
    return match is not None and match.likeness >= _SURE and _is_near(match)


def _contradicts(match: Match | None) -> bool:
    return match is not None and match.likeness >= _SURE and not _is_near(match)


def _is_near(match: Match) -> bool:
    return abs(match.shift_x) <= _MOST_SHIFT and abs(match.shift_y) <= _MOST_SHIFT


def _circles(targets: Targets, run: Run) -> Rectangle:
    own = targets.centres[run.first : run.first + run.count]
    radius = float(targets.diameters[run.first]) / 2 + 0.5
    left, right = float(own[0, 0]) - radius, float(own[-1, 0]) + radius
    middle = float(own[0, 1])
    return Rectangle(left, middle - radius, right - left, 2 * radius)
