"""Three-digit blind codes: arithmetic and rules.

Of the 900 codes from 100 to 999, 9 x 9 x 8 = 648 repeat no digit; 7 + 8 of these run up
or down (123 to 789; 987 to 321, and 210).
"""

from __future__ import annotations

import numpy as np
import pytest

from halfpoint.errors import InputError
from halfpoint.plan.codes import all_codes, draw_codes, says_nothing

UNREPEATED = [f'{n}' for n in range(100, 1000) if len(set(f'{n}')) == 3]
RUNS = {f'{n}{n + s}{n + 2 * s}' for n in range(1, 10) for s in (1, -1) if 0 <= n + 2 * s <= 9}


def test_counts() -> None:
    """648 without a repeated digit, 15 runs among them, 633 left."""
    assert 648 == len(UNREPEATED)
    assert 15 == len(RUNS)
    assert sorted(set(UNREPEATED) - RUNS) == list(all_codes())


@pytest.mark.parametrize('code', ['100', '477', '345', '987', '048', '12', '1234', 'abc', '４８３'])
def test_codes_that_hint_are_not_used(code: str) -> None:
    """Repeated digits, runs, a zero first, or no three plain digits."""
    assert code not in all_codes()
    assert not says_nothing(code)


def test_drawn_codes_are_distinct_and_avoid_what_is_named() -> None:
    """All usable codes but those named, each once; one more is refused."""
    avoid = all_codes()[:33]
    drawn = draw_codes(600, np.random.default_rng(1), avoid=avoid)
    assert sorted(set(all_codes()) - set(avoid)) == sorted(drawn)
    with pytest.raises(InputError, match="601 codes are needed at one site and 600 are left"):
        draw_codes(601, np.random.default_rng(1), avoid=avoid)
