"""Fits the small network to traits of cells, and its temperature to writers it never saw."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from halfpoint.collect.paper.read.digits.network import KINDS, Network, softmax
from halfpoint.collect.paper.read.digits.shape import Floats

MEMBERS, HIDDEN = 3, 64
EPOCHS, BATCH, RATE, DECAY = 25, 256, 2e-3, 3e-4
# Parts of what a unit sees that are left out at random, so that none counts on a single trait.
LEAVE_TRAITS, LEAVE_HIDDEN = 0.08, 0.15
Kinds = NDArray[np.intp]


def fitted(traits: Floats, kinds: Kinds, seed: int) -> Network:
    """MEMBERS networks that average their scores, written as one; at temperature 1."""
    middle, spread = traits.mean(axis=0), traits.std(axis=0) + np.float32(1e-3)
    seen = (traits - middle) / spread
    members = [_member(seen, kinds, np.random.default_rng([seed, n])) for n in range(MEMBERS)]
    hidden, hidden_bias, out, out_bias = zip(*members, strict=True)
    return Network(
        middle=middle,
        spread=spread,
        hidden=np.hstack(hidden),
        hidden_bias=np.concatenate(hidden_bias),
        out=(np.vstack(out) / MEMBERS).astype(np.float32),
        out_bias=np.mean(out_bias, axis=0),
        temperature=1.0,
    )


def fitted_temperature(network: Network, traits: Floats, kinds: Kinds) -> float:
    """The temperature under which the kinds are likeliest."""
    scores = network.scores(traits)

    def surprise(logarithm: float) -> float:
        chances = softmax(scores / np.float32(np.exp(logarithm)))
        return float(-np.log(chances[np.arange(len(kinds)), kinds] + 1e-12).mean())

    return float(np.exp(minimize_scalar(surprise, bounds=(-1.5, 2.5), method='bounded').x))


def _member(seen: Floats, kinds: Kinds, rng: np.random.Generator) -> list[Floats]:
    """Weights of one hidden layer by Adam (D. Kingma, J. Ba, ICLR 2015), falling rate."""
    count, width = seen.shape
    drawn = [
        rng.normal(0, (2 / width) ** 0.5, (width, HIDDEN)), np.zeros(HIDDEN),
        rng.normal(0, (1 / HIDDEN) ** 0.5, (HIDDEN, len(KINDS))), np.zeros(len(KINDS)),
    ]  # fmt: skip
    weights: list[Floats] = [each.astype(np.float32) for each in drawn]
    first = [np.zeros_like(each) for each in weights]
    second = [np.zeros_like(each) for each in weights]
    steps = EPOCHS * -(-count // BATCH)
    step = 0
    for _ in range(EPOCHS):
        order = rng.permutation(count)
        for start in range(0, count, BATCH):
            some = order[start : start + BATCH]
            step += 1
            slopes = _slopes(weights, seen[some], kinds[some], rng)
            rate = RATE * 0.5 * (1 + np.cos(np.pi * step / steps))
            for n, slope in enumerate(slopes):
                first[n] += 0.1 * (slope - first[n])
                second[n] += 0.001 * (slope**2 - second[n])
                size = np.sqrt(second[n] / (1 - 0.999**step)) + 1e-8
                weights[n] -= np.float32(rate) * (
                    first[n] / np.float32(1 - 0.9**step) / size
                    + np.float32(DECAY * (n % 2 == 0)) * weights[n]
                )
    return weights


def _slopes(
    weights: list[Floats], seen: Floats, kinds: Kinds, rng: np.random.Generator
) -> list[Floats]:
    hidden, hidden_bias, out, out_bias = weights
    seen = seen * (rng.random(seen.shape, np.float32) > LEAVE_TRAITS) / (1 - LEAVE_TRAITS)
    seen = seen.astype(np.float32)
    active = np.maximum(seen @ hidden + hidden_bias, 0)
    kept = (rng.random(active.shape, np.float32) > LEAVE_HIDDEN).astype(np.float32)
    kept /= np.float32(1 - LEAVE_HIDDEN)
    active = active * kept
    wrong = softmax(active @ out + out_bias)
    wrong[np.arange(len(kinds)), kinds] -= 1
    wrong /= np.float32(len(kinds))
    back = (wrong @ out.T) * (active > 0) * kept
    return [seen.T @ back, back.sum(axis=0), active.T @ wrong, wrong.sum(axis=0)]
