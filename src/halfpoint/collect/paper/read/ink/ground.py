"""What marks lie on: whether the print can be seen there, and how even the paper is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.form_image import FormImage
from halfpoint.collect.paper.read.ink.amounts import patches_at
from halfpoint.collect.paper.read.ink.targets import Run, Targets
from halfpoint.collect.paper.read.middle import median, quantile
from halfpoint.collect.paper.read.scale import FINE, MARGIN
from halfpoint.collect.paper.read.tone import REDUCED, Tone

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
# So much around a box or circle is looked at for its outline, in millimetres.
_AROUND = 0.6
# Paper is even when it changes little within this, in millimetres.
_NEARBY = 8.0
# The ground just outside is looked at so far from the outline, in millimetres, at so many places
# of which the darker ones may be strokes; means of squares with this side (pixels).
_OUTSIDE, _PLACES, _SHARE, _BLUR = 0.75, 16, 0.35, 5


@dataclass(frozen=True, slots=True)
class Ground:
    """The ground of runs of circles and of boxes.

    `seen` is the correlation of page and form (1 alike, 0 not at all), of a run the lower
    quartile over its circles; `uneven` how much the paper changes nearby, as a share of its grey;
    `around` how dark the paper is just outside, for each circle and box: a stain or a shade is
    there too, a mark is not.  `boxes_light` is how light the paper is at each box, 0 to 1.
    """

    runs_seen: Array
    boxes_seen: Array
    runs_uneven: Array
    boxes_uneven: Array
    circles_around: Array
    boxes_around: Array
    boxes_light: Array


def ground_of(tone: Tone, form: FormImage, above: Floats, targets: Targets) -> Ground:
    """The ground of every target of a page; `above` is its darkness above the print."""
    circles, boxes_seen = (
        _seen(tone.dark, printed, places)
        for printed, places in zip(
            _printed(form, targets), (_circles(targets), _boxes(targets)), strict=True
        )
    )
    boxes = _boxes(targets).centres
    change = _change(tone.paper)
    at_circles, at_boxes = _at(change, targets.centres), _at(change, boxes)
    return Ground(
        runs_seen=_lower_quartiles(circles, targets.runs),
        boxes_seen=boxes_seen,
        runs_uneven=np.array([at_circles[r.first : r.first + r.count].max() for r in targets.runs]),
        boxes_uneven=at_boxes,
        circles_around=_around_circles(above, targets),
        boxes_around=_around_boxes(above, targets),
        boxes_light=_at(tone.paper, boxes) / 255,
    )


def _lower_quartiles(circles: Array, runs: Sequence[Run]) -> Array:
    """The lower quartile of each run, of all runs of one length at once."""
    found = np.zeros(len(runs))
    counts = np.array([run.count for run in runs])
    firsts = np.array([run.first for run in runs])
    for count in np.unique(counts):
        alike = counts == count
        values = circles[firsts[alike][:, None] + np.arange(count)]
        found[alike] = quantile(values, 0.25)
    return found


@dataclass(frozen=True, slots=True)
class _Places:
    """Middles of circles or boxes, and half of their side, in millimetres."""

    centres: Array
    half: float


def _circles(targets: Targets) -> _Places:
    return _Places(targets.centres, float(targets.diameters.max()) / 2)


def _boxes(targets: Targets) -> _Places:
    corners = targets.corners
    half = median(corners[:, 2] - corners[:, 0]) / 2 if len(corners) else 1.0
    return _Places((corners[:, :2] + corners[:, 2:]) / 2, half)


@lru_cache(maxsize=8)
def _printed(form: FormImage, targets: Targets) -> tuple[Floats, Floats]:
    """What the form shows at circles and at boxes."""
    return _outlines(form.fine, _circles(targets)), _outlines(form.fine, _boxes(targets))


def _seen(dark: Floats, printed: Floats, places: _Places) -> Array:
    page = _outlines(dark, places)
    return np.asarray(np.einsum('np,np->n', page, printed) / page.shape[1], float)


def _outlines(image: Floats, places: _Places) -> Floats:
    side = int((places.half + _AROUND) * FINE)
    return _standard(patches_at(image, places.centres, side))


def _standard(patches: Floats) -> Floats:
    """Each patch with mean 0 and spread 1; (n, pixels)."""
    flat = patches.reshape(len(patches), patches.shape[1] * patches.shape[2])
    flat -= flat.mean(axis=1, keepdims=True)
    spread = np.sqrt(np.einsum('np,np->n', flat, flat) / flat.shape[1])
    flat /= np.maximum(spread, 1e-4)[:, None]
    return flat


def _change(paper: Floats) -> Floats:
    side = round(_NEARBY * FINE / REDUCED) | 1
    kernel = np.ones((side, side), np.uint8)
    span = cv2.dilate(paper, kernel) - cv2.erode(paper, kernel)
    return np.asarray(span / paper, np.float32)


def _at(image: Floats, centres: Array) -> Array:
    at = np.rint((centres + MARGIN) * FINE / REDUCED - 0.5).astype(int)
    return np.asarray(image[at[:, 1], at[:, 0]], float)


def _around_circles(above: Floats, targets: Targets) -> Array:
    turn = 2 * np.pi * (np.arange(_PLACES) + 0.5) / _PLACES
    far = targets.diameters[:, None, None] / 2 + _OUTSIDE
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    return _quiet(above, targets.centres[:, None, :] + far * ring)


def _around_boxes(above: Floats, targets: Targets) -> Array:
    """Left, above and below: to the right stands the word."""
    if not len(targets.corners):
        return np.zeros(0)
    left, top, right, bottom = targets.corners.T[:, :, None]
    along = np.linspace(0.1, 0.9, 4)
    x, y = left + (right - left) * along, top + (bottom - top) * along
    sides = (
        np.stack([np.broadcast_to(left - _OUTSIDE, x.shape), y], axis=-1),
        np.stack([x, np.broadcast_to(top - _OUTSIDE, x.shape)], axis=-1),
        np.stack([x, np.broadcast_to(bottom + _OUTSIDE, x.shape)], axis=-1),
    )
    return _quiet(above, np.concatenate(sides, axis=1))


def _quiet(above: Floats, places: Array) -> Array:
    """A low quantile of the darkness near some places for each target; (n,) from (n, k, 2)."""
    near = patches_at(above, places.reshape(-1, 2), _BLUR // 2).mean(axis=(1, 2))
    return quantile(near.reshape(places.shape[:2]), _SHARE)
