"""Real handwriting that the reader never saw, beside scikit-learn's support vectors.

E. Alpaydin, C. Kaynak, "Optical Recognition of Handwritten Digits", UCI Machine Learning
Repository, 1998. scikit-learn ships its test part: 1,797 digits, 8 × 8, one writer after another;
14 places where three rounds of 0 to 9 begin cut it into blocks of one writer.

Who was used for what:

    digits 0 to 1156      9 blocks   trained the weights, and train the support vectors here
    digits 1157 to 1414   2 blocks   set the temperature of the chances
    digits 1415 to 1796   3 blocks   held out: never trained on, only read here

The peer is scikit-learn's own example for this set, `SVC(gamma=0.001)` on the 64 counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from sklearn.datasets import load_digits
from sklearn.svm import SVC

from halfpoint.collect.paper.read.digits import read_cells

TRAINED, HELD_OUT = slice(0, 1157), slice(1415, 1797)
SURE = 0.98


@dataclass(frozen=True)
class Reading:
    """What was written, what was read, how sure."""

    truth: NDArray[np.str_]
    text: NDArray[np.str_]
    chance: NDArray[np.float64]


def in_a_cell(counts: NDArray[np.float64], height: int = 38) -> NDArray[np.float32]:
    """A digit of the set drawn finer, about 5 mm high, in a cell of 40 × 52 pixels."""
    fine = cv2.resize(counts / 16, (height, height), interpolation=cv2.INTER_CUBIC)
    top, left = (52 - height) // 2, (40 - height) // 2
    cell = np.zeros((52, 40))
    cell[top : top + height, left : left + height] = np.clip((fine - 0.3) / 0.4, 0, 1)
    return cell.astype(np.float32)


@cache
def held_out() -> Reading:
    """The held-out digits, read once."""
    images, targets = load_digits(return_X_y=True)
    cells = read_cells([in_a_cell(each.reshape(8, 8)) for each in images[HELD_OUT]])
    return Reading(
        truth=targets[HELD_OUT].astype(str),
        text=np.array([cell.text for cell in cells]),
        chance=np.array([cell.confidence for cell in cells]),
    )


def test_writers_never_seen_are_read_as_well_as_by_support_vectors() -> None:
    """Held-out digits are read at least as well as by scikit-learn's SVC on the same split."""
    images, targets = load_digits(return_X_y=True)
    peer = SVC(gamma=0.001).fit(images[TRAINED], targets[TRAINED])
    peer_right = float((peer.predict(images[HELD_OUT]) == targets[HELD_OUT]).mean())
    right = float((held_out().text == held_out().truth).mean())
    assert 0.90 < peer_right < 1.0
    assert right >= peer_right


def test_sure_is_hardly_ever_wrong() -> None:
    """Fewer than 0.2 % of the held-out digits are read wrong at a chance of 0.98 or more."""
    read = held_out()
    sure = read.chance >= SURE
    assert sure.mean() > 0.7
    assert (sure & (read.text != read.truth)).mean() < 0.002


def test_chances_mean_what_they_say() -> None:
    """The mean chance of the readings is within 2.5 points of the share that is right."""
    read = held_out()
    readable = read.text != '?'
    right = (read.text == read.truth)[readable]
    assert abs(read.chance[readable].mean() - right.mean()) < 0.025
