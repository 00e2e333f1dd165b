"""Arithmetic of the glass: alcohol, pours per bottle, bottles, spares and money.

Ethanol weighs 0.789 g/ml at 20 °C. A standard drink is 10 g (WHO) or 14 g (US).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

ETHANOL_GRAMS_PER_ML = 0.789
WHO_DRINK_GRAMS = 10.0
US_DRINK_GRAMS = 14.0


@dataclass(frozen=True, slots=True)
class Alcohol:
    """Alcohol of one or several pours if all were swallowed."""

    grams: float

    @property
    def drinks_10g(self) -> float:
        """Standard drinks of 10 g (WHO)."""
        return self.grams / WHO_DRINK_GRAMS

    @property
    def drinks_14g(self) -> float:
        """Standard drinks of 14 g (US)."""
        return self.grams / US_DRINK_GRAMS


def alcohol(ml: float, percent: float) -> Alcohol:
    """Alcohol of `ml` millilitres at `percent` by volume."""
    return Alcohol(ml * percent / 100.0 * ETHANOL_GRAMS_PER_ML)


def pours_per_bottle(bottle_ml: float, pour_ml: float, loss_percent: float) -> int:
    """Whole pours that a bottle gives once losses are taken off."""
    # A hair is added so that 750 ml at 25 ml is 30 pours and not 29.999 of them.
    return math.floor(bottle_ml * (1.0 - loss_percent / 100.0) / pour_ml + 1e-9)


@dataclass(frozen=True, slots=True)
class Bottles:
    """Bottles of one wine at one site."""

    pours: int
    bottles: int
    spare: int

    @property
    def all(self) -> int:
        """Bottles to bring, spares included."""
        return self.bottles + self.spare


def bottles_for(pours: int, per_bottle: int, spare_every: int) -> Bottles:
    """Bottles for so many pours, and one spare for every `spare_every` begun (0: none)."""
    bottles = -(-pours // per_bottle)
    spare = -(-bottles // spare_every) if spare_every and bottles else 0
    return Bottles(pours, bottles, spare)


def whole_cases(bottles: int, case: int = 6) -> int:
    """Cases to buy for so many bottles."""
    return -(-bottles // case)
