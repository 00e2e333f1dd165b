"""How much ink lies in each bubble and box, above what is printed there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.targets import Targets
from halfpoint.collect.paper.read.middle import median, quantile
from halfpoint.collect.paper.read.scale import FINE, MARGIN

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
# The disc that counts, in diameters: all of it to the first radius, nothing beyond the second,
# where the printed outline begins.
_FULL, _NONE = 0.28, 0.42
# So much of a box is left out all around, in millimetres.
_INSET = 0.55
_ROUNDS = 12
_LEAST_SPREAD = 0.002


@dataclass(frozen=True, slots=True)
class Amounts:
    """Ink on the scale 0 paper to 1 black, printing subtracted, one value for each target.

    The spreads are standard deviations of those without ink, `printed` is how dark the page prints
    what the form says.  `box_sharpness` is how much the darkest pixels of a box stand out from
    their surroundings: a stroke is sharp, what shows through from the other side is not.
    """

    bubbles: Array
    boxes: Array
    box_sharpness: Array
    bubble_spread: float
    box_spread: float
    printed: float


def amounts_of(dark: Floats, form: Floats, targets: Targets) -> Amounts:
    """Ink in every target.

    Most targets of a page are empty: what an empty one looks like on this page is a line through
    the darkness of the same targets on the form, fitted to the empty ones by trimming.

    Args:
        dark: darkness of the page, `FINE` pixels a millimetre.
        form: that of the form.
        targets: of the page.
    """
    bubbles, slope, bubble_spread = _above_print(
        _disc_means(dark, targets), _disc_means(form, targets)
    )
    boxes, _, box_spread = _above_print(_box_means(dark, targets), _box_means(form, targets))
    return Amounts(bubbles, boxes, _sharpness(dark, targets), bubble_spread, box_spread, slope)


def _disc_means(image: Floats, targets: Targets) -> Array:
    means = np.empty(len(targets.centres))
    for diameter in np.unique(targets.diameters):
        chosen = targets.diameters == diameter
        half = int(np.ceil(_NONE * diameter * FINE))
        weights = _disc(diameter, half)
        patches = patches_at(image, targets.centres[chosen], half)
        means[chosen] = np.einsum('nij,ij->n', patches, weights)
    return means


def _disc(diameter: float, half: int) -> Floats:
    """Weights that sum to 1."""
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    radius = np.hypot(x, y) / (diameter * FINE)
    weights = np.clip((_NONE - radius) / (_NONE - _FULL), 0, 1)
    return np.asarray(weights / weights.sum(), np.float32)


def patches_at(image: Floats, centres: Array, half: int) -> Floats:
    """Square pieces around places in millimetres; (n, 2 half + 1, 2 half + 1)."""
    first = np.rint((centres + MARGIN) * FINE - 0.5).astype(int) - half
    squares = np.lib.stride_tricks.sliding_window_view(image, (2 * half + 1, 2 * half + 1))
    return np.asarray(squares[first[:, 1], first[:, 0]], np.float32)


def _box_means(image: Floats, targets: Targets) -> Array:
    return np.asarray(_insides(image, targets).mean(axis=(1, 2)), float)


def _insides(image: Floats, targets: Targets) -> Floats:
    """The boxes without their outlines; (n, side, side)."""
    if not len(targets.corners):
        return np.empty((0, 1, 1), np.float32)
    centres = (targets.corners[:, :2] + targets.corners[:, 2:]) / 2
    side = median(targets.corners[:, 2] - targets.corners[:, 0])
    return patches_at(image, centres, int((side / 2 - _INSET) * FINE))


def _sharpness(dark: Floats, targets: Targets) -> Array:
    """Averaged over squares of three pixels, the third darkest less the median, for each box."""
    patches = _insides(dark, targets)
    side = 3 * (patches.shape[1] // 3)
    if side < 3:
        return np.zeros(len(patches))
    cells = patches[:, :side, :side].reshape(len(patches), side // 3, 3, side // 3, 3)
    means = np.sort(cells.mean(axis=(2, 4)).reshape(len(patches), -1), axis=1)
    middle = means[:, means.shape[1] // 2]
    return np.asarray(means[:, -min(3, means.shape[1])] - middle, float)


def _above_print(found: Array, printed: Array) -> tuple[Array, float, float]:
    """What is left above a line fitted to the empty ones, its slope, and their spread."""
    if len(found) < 3:
        return np.zeros(len(found)), 1.0, _LEAST_SPREAD
    keep = found <= quantile(found - printed, 0.7) + printed
    slope, level, spread = 1.0, 0.0, _LEAST_SPREAD
    for _ in range(_ROUNDS):
        slope, level = _line(printed[keep], found[keep])
        left = found - slope * printed - level
        spread = max(1.4826 * median(np.abs(left[keep])), _LEAST_SPREAD)
        again = np.abs(left) < 3.5 * spread
        if (again == keep).all() or again.sum() < max(3, 0.4 * len(found)):
            break
        keep = again
    return found - slope * printed - level, slope, spread


def _line(x: Array, y: Array) -> tuple[float, float]:
    spread = float(np.var(x))
    if spread < 1e-6:
        return 1.0, float(np.mean(y) - np.mean(x))
    slope = float(np.mean((x - x.mean()) * (y - y.mean()))) / spread
    slope = min(1.6, max(0.2, slope))
    return slope, float(np.mean(y) - slope * np.mean(x))
