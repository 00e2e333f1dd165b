"""Blind codes: three digits that say nothing."""

from __future__ import annotations

import itertools
from collections.abc import Iterable

import numpy as np

from halfpoint.errors import InputError


def says_nothing(code: str) -> bool:
    """Whether a code hints at no order: three different digits, no run up or down, no zero first.

    >>> [says_nothing(code) for code in ('483', '484', '345', '987', '048')]
    [True, False, False, False, False]
    """
    if len(set(code)) < 3 or len(code) != 3 or code[0] == '0':
        return False
    if not (code.isascii() and code.isdigit()):
        return False
    steps = {int(b) - int(a) for a, b in itertools.pairwise(code)}
    return steps not in ({1}, {-1})


def all_codes() -> tuple[str, ...]:
    """Every usable code: 648 without repeated digits, less the runs."""
    return tuple(code for code in map(str, range(100, 1000)) if says_nothing(code))


def draw_codes(count: int, rng: np.random.Generator, *, avoid: Iterable[str] = ()) -> list[str]:
    """Draw different codes at random, none of them among those to avoid.

    Raises:
        InputError: when fewer usable codes are left than needed.
    """
    taken = set(avoid)
    usable = [code for code in all_codes() if code not in taken]
    if count > len(usable):
        raise InputError(
            f'{count} codes are needed at one site and {len(usable)} are left',
            where='plan, key avoid_codes',
            expected=f'at most {len(usable)} pours with codes of their own',
            remedy='name fewer codes to avoid',
        )
    chosen = rng.choice(len(usable), size=count, replace=False)
    return [usable[i] for i in chosen.tolist()]
