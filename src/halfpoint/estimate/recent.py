"""Remembers the last few evaluations, which the scores ask for again after the fit."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

Made = TypeVar('Made')


class Recent(Generic[Made]):
    """The results of a function of variance ratios, the last `most` of them kept."""

    def __init__(self, make: Callable[[NDArray[np.float64]], Made], most: int) -> None:
        self._make = make
        self._most = most
        self._kept: OrderedDict[bytes, Made] = OrderedDict()

    def __call__(self, ratios: NDArray[np.float64]) -> Made:
        """The result at these ratios, made anew only if it is not among the last."""
        key = ratios.tobytes()
        if key not in self._kept:
            self._kept[key] = self._make(ratios)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return self._kept[key]
