"""Names for the array types that pass between the parts of this package."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Codes = NDArray[np.int64]
Indices = NDArray[np.intp]
AnyArray = NDArray[Any]
