"""The small network that names a shape: traits, one hidden layer, kinds.

Weights are made by `tools/train_digits.py`. Chances are calibrated by one temperature on writers
that the weights never saw: C. Guo et al., "On calibration of modern neural networks", ICML 2017
(from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from halfpoint.collect.paper.read.digits.shape import Floats

# What an answer of the network stands for; `.5` is a half written as a decimal in one cell.
KINDS = ('0', '1', '2', '3', '4', '5', '6', '7', '8', '9', '½', '.5', '.', '', '?')


@dataclass(frozen=True, slots=True)
class Network:
    """Weights: traits → `hidden` → kinds.

    `middle` and `spread` standardise the traits; `hidden` is (traits, h), `hidden_bias` (h,),
    `out` (h, kinds), `out_bias` (kinds,).
    """

    middle: Floats
    spread: Floats
    hidden: Floats
    hidden_bias: Floats
    out: Floats
    out_bias: Floats
    temperature: float

    def chances(self, traits: Floats) -> Floats:
        """The chance of each of KINDS, a row for each row of traits."""
        return softmax(self.scores(traits) / np.float32(self.temperature))

    def scores(self, traits: Floats) -> Floats:
        """The scores of each of KINDS, before the temperature."""
        seen = (traits - self.middle) / self.spread
        active = np.maximum(seen @ self.hidden + self.hidden_bias, 0.0)
        scores: Floats = active @ self.out + self.out_bias
        return scores


def softmax(scores: Floats) -> Floats:
    """Chances in proportion to the exponentials of a row's scores."""
    raised = np.exp(scores - scores.max(axis=-1, keepdims=True))
    chances: Floats = raised / raised.sum(axis=-1, keepdims=True)
    return chances


@cache
def trained() -> Network:
    """The network as it is shipped."""
    with (files(__package__) / 'weights.npz').open('rb') as opened, np.load(opened) as kept:
        arrays = {name: kept[name].astype(np.float32) for name in kept.files}
    return Network(temperature=float(arrays.pop('temperature')), **arrays)
