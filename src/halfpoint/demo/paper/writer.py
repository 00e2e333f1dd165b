"""Who fills in a page: a pen, a way of marking, and how steady the hand is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from halfpoint.demo.paper import rates


@dataclass(frozen=True, slots=True)
class Pen:
    """A pen as a grey scanner sees it.

    Attributes:
        kind: a key of `rates.PENS`.
        grey: what paper becomes under plenty of ink, 0 black to 1 white.
        width: of a line, in millimetres.
        cover: how much one pass covers, above 0 to 1.
        grain: how much the tooth of the paper shows, 0 to 1.
        skips: share of a line where no ink flows.
        swing: how much pressure changes along a line.
    """

    kind: str
    grey: float
    width: float
    cover: float
    grain: float
    skips: float
    swing: float

    @property
    def is_pencil(self) -> bool:
        """Whether it can be erased."""
        return self.kind in rates.PENCILS


@dataclass(frozen=True, slots=True)
class Writer:
    """One taster's hand. Lengths in millimetres.

    Attributes:
        pen: what is in the hand.
        mark: a key of `rates.MARKS`.
        box_mark: a key of `rates.BOX_MARKS`.
        size: of a mark against its circle.
        spread: how far marks lie off the middle.
        lean: where all marks lie off the middle, to the right and down.
        tremor: of the hand.
        slant: of letters and digits, as a shear.
        hand: height of a small letter.
        tail: length of a tick's long stroke.
        dense: how closely a circle is filled, 0 to 1.
        taste: where on each scale this writer's marks lie, 0 to 1.
        half: how a half is written: `½`, `.5` or `,5`.
        joined: whether letters hang together.
    """

    pen: Pen
    mark: str
    box_mark: str
    size: float
    spread: float
    lean: tuple[float, float]
    tremor: float
    slant: float
    hand: float
    tail: float
    dense: float
    taste: float
    half: str
    joined: bool
    same_value: bool
    writes_total: bool
    writes_seconds: bool
    ticks: float
    rings_words: bool


# Grey, width, cover, grain, skips, swing: lowest and highest of each.
_PENS = {
    'black ballpoint': ((0.1, 0.3), (0.24, 0.42), (0.7, 0.92), (0.1, 0.25), (0, 0.04), (0.1, 0.3)),
    'blue ballpoint': ((0.25, 0.46), (0.24, 0.42), (0.7, 0.9), (0.1, 0.25), (0, 0.04), (0.1, 0.3)),
    'red ballpoint': ((0.36, 0.6), (0.24, 0.42), (0.7, 0.9), (0.1, 0.25), (0, 0.04), (0.1, 0.3)),
    'black gel': ((0.03, 0.16), (0.38, 0.62), (0.92, 0.99), (0, 0.06), (0, 0.01), (0, 0.12)),
    'blue gel': ((0.16, 0.36), (0.38, 0.62), (0.9, 0.99), (0, 0.06), (0, 0.01), (0, 0.12)),
    'soft pencil': ((0.28, 0.48), (0.42, 0.8), (0.5, 0.72), (0.45, 0.8), (0, 0), (0.15, 0.4)),
    'hard pencil': ((0.45, 0.66), (0.28, 0.5), (0.38, 0.58), (0.5, 0.85), (0, 0), (0.15, 0.4)),
    'felt tip': ((0.05, 0.35), (0.7, 1.3), (0.8, 0.95), (0, 0.1), (0, 0.02), (0, 0.15)),
}


def draw_pen(rng: np.random.Generator) -> Pen:
    """Any pen that lies about in a tasting room."""
    kind = pick(rng, rates.PENS)
    grey, width, cover, grain, skips, swing = (rng.uniform(*ends) for ends in _PENS[kind])
    return Pen(kind, grey, width, cover, grain, skips, swing)


def draw_writer(rng: np.random.Generator) -> Writer:
    """Anybody."""
    careless = rng.beta(1.6, 3.2)
    pen = draw_pen(rng)
    mark = pick(rng, rates.MARKS)
    return Writer(
        pen=pen,
        mark=mark,
        box_mark=pick(rng, rates.BOX_MARKS),
        size=float(np.clip(rng.normal(0.96, 0.1) + 0.12 * careless, 0.72, 1.4)),
        spread=0.1 + 0.5 * careless,
        lean=(rng.normal(0, 0.16), rng.normal(0, 0.16)),
        tremor=float(0.02 + rng.gamma(1.4, 0.025)),
        slant=rng.normal(0.12, 0.16),
        hand=float(np.clip(rng.normal(2.0, 0.4), 1.3, 3.2)),
        tail=float(np.clip(rng.lognormal(1.35, 0.42), 1.8, 8.0)),
        dense=float(np.clip(1.05 - 0.7 * careless + rng.normal(0, 0.1), 0.2, 1.0)),
        taste=float(rng.beta(7, 3.4)),
        half=('½', '.5', ',5')[rng.choice(3, p=(0.5, 0.38, 0.12))],
        joined=rng.random() < 0.6,
        same_value=rng.random() < rates.SAME_VALUE_PAGE,
        writes_total=rng.random() < rates.WRITES_TOTAL,
        writes_seconds=rng.random() < rates.WRITES_SECONDS,
        ticks=float(rates.TICKED * rng.gamma(4, 0.25)),
        rings_words=rng.random() < rates.RINGS_WORDS,
    )


def pick(rng: np.random.Generator, shares: Mapping[str, float]) -> str:
    """One key, as often as its share of all."""
    names = list(shares)
    edges = np.cumsum(list(shares.values()))
    return names[
        min(int(np.searchsorted(edges, rng.random() * edges[-1], 'right')), len(names) - 1)
    ]
