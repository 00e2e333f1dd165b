"""Serving orders: Williams squares.

Williams (1949), Australian Journal of Scientific Research A 2, 149-168: an even number n of
treatments needs n sequences, an odd number 2n (abstract read).  The arrays for 6 and 7 were
read in a web text on Williams' algorithm, those for 3 and the first six rows for 10 in the
help page of the R package crossdes 1.1-2; rows 7 to 10 go on cyclically.

Numbering the wines backwards (w to n - w) makes ours of theirs; the order of rows says nothing.
"""

from __future__ import annotations

import numpy as np
import pytest

from halfpoint.plan.williams import position_counts, predecessor_counts, williams

PUBLISHED = {
    3: "123 231 312 321 132 213",
    6: "126354 231465 342516 453621 564132 615243",
    7: (
        "1273645 2314756 3425167 4536271 5647312 6751423 7162534 "
        "5463721 6574132 7615243 1726354 2137465 3241576 4352617"
    ),
    # 0 stands for 10.
    10: (
        "1203948576 2314059687 3425160798 4536271809 5647382910 6758493021 "
        "7869504132 8970615243 9081726354 0192837465"
    ),
}


@pytest.mark.parametrize('wines', PUBLISHED)
def test_orders_are_those_of_williams(wines: int) -> None:
    """The same orders as printed, but for the numbering of wines and the sequence of rows."""
    published = {tuple((int(digit) or 10) - 1 for digit in row) for row in PUBLISHED[wines].split()}
    ours = {tuple(row) for row in ((-williams(wines)) % wines).tolist()}
    assert published == ours


@pytest.mark.parametrize('wines', range(2, 27))
def test_every_place_and_every_neighbour_equally_often(wines: int) -> None:
    """For 2 to 26 wines: n or 2n orders; each count is 1 for even numbers, 2 for odd ones."""
    orders = williams(wines)
    times = 1 if wines % 2 == 0 else 2

    assert times * wines == len(orders)
    assert [list(range(wines))] * len(orders) == np.sort(orders, axis=1).tolist()
    assert (times == position_counts(orders, wines)).all()
    apart = ~np.eye(wines, dtype=bool)
    assert (times == predecessor_counts(orders, wines)[apart]).all()
    assert not predecessor_counts(orders, wines)[~apart].any()
