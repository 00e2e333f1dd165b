"""The bottles at hand: how many sites each wine reaches, and what a second pour takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import TastingFileError
from halfpoint.plan.glass import pours_per_bottle
from halfpoint.tasting.model import Tasting

Met = NDArray[np.bool_]
Counts = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Cellar:
    """Bottles for one pour to each seat and for two, by site; bottles at hand by wine.

    `once` and `twice` (sites,) are without spares; `at_hand` (wines,) is -1 without a limit.
    """

    once: Counts
    twice: Counts
    at_hand: Counts

    def most_sites(self, allowed: Met) -> Counts:
        """How many sites each wine reaches (wines,), counted at the largest site's need.

        Args:
            allowed: (sites, wines) where each wine may be poured.
        """
        everywhere = self.once @ allowed
        unlimited = (self.at_hand < 0) | (everywhere <= self.at_hand)
        sites = self.once.size
        reach = np.minimum(sites, self.at_hand // self.once.max())
        return np.asarray(np.where(unlimited, sites, reach), dtype=np.int64)

    def left(self, poured: Met) -> NDArray[np.float64]:
        """Bottles left of each wine (wines,), infinite without a limit."""
        return np.where(self.at_hand < 0, np.inf, self.at_hand - self.once @ poured)


def cellar_of(tasting: Tasting, seats: Sequence[int]) -> Cellar:
    """The bottles at hand for sites of so many seats.

    Raises:
        TastingFileError: a bottle does not give a single pour.
    """
    settings = tasting.plan
    per_bottle = pours_per_bottle(settings.bottle_ml, settings.pour_ml, settings.loss_percent)
    if per_bottle < 1:
        raise TastingFileError(
            f'a bottle of {settings.bottle_ml:g} ml gives no pour of {settings.pour_ml:g} ml',
            where=f'{tasting.source}: plan, key pour_ml',
            expected='a pour smaller than a bottle',
            remedy='lower pour_ml',
        )
    count = np.array(seats, dtype=np.int64)
    at_hand = [-1 if wine.bottles is None else wine.bottles for wine in tasting.wines]
    return Cellar(-(-count // per_bottle), -(-2 * count // per_bottle), np.array(at_hand))
