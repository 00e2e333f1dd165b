"""From marks to ordered steps: what nobody gave is merged, and many steps become few bins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfpoint.errors import EstimateError, NoVariation, TooFewMarks

Floats = NDArray[np.float64]
Codes = NDArray[np.int64]

# Marks closer than this share of the largest are the same step.
SAME = 1e-9
# Marks are shown to so many decimals.
DECIMALS = 9
QUARTERS = {0.25: '¼', 0.5: '½', 0.75: '¾'}


@dataclass(frozen=True, slots=True)
class Steps:
    """`codes` (n,) from 0 to k − 1; step j holds marks from `lowest[j]` to `highest[j]`.

    `merged` says in words what was merged, or is empty.
    """

    codes: Codes
    lowest: tuple[float, ...]
    highest: tuple[float, ...]
    merged: tuple[str, ...]

    @property
    def count(self) -> int:
        """The number of steps, k."""
        return len(self.lowest)


def mark_in_words(mark: float) -> str:
    """A mark as people write it: 12½."""
    whole, part = divmod(abs(mark), 1.0)
    if part in QUARTERS:
        sign = '−' if mark < 0.0 else ''
        return f'{sign}{int(whole) if whole else ""}{QUARTERS[part]}'
    return f'{mark:g}'


def ordered_steps(marks: Floats, possible: Floats | None = None, most: int | None = None) -> Steps:
    """Steps of marks (n,).

    Args:
        marks: as given, of any size and unit; only their order counts.
        possible: every mark that could have been given, to say which nobody gave.
        most: gather neighbouring steps into at most so many bins, about equally full.

    Raises:
        TooFewMarks: no marks.
        EstimateError: a mark that is missing or no number.
        NoVariation: every mark is the same.
    """
    levels, codes = _levels(np.asarray(marks, dtype=float))
    merged = () if possible is None else _merged(levels, np.asarray(possible, dtype=float))
    if most is None or levels.size <= most:
        each = tuple(levels.tolist())
        return Steps(codes, each, each, merged)
    bins = _bins(np.bincount(codes), most)
    last = np.flatnonzero(np.diff(bins, append=bins[-1] + 1))
    first = np.append(0, last[:-1] + 1)
    lowest, highest = tuple(levels[first].tolist()), tuple(levels[last].tolist())
    said = f'{levels.size} steps were taken together in {len(lowest)}: {_ranges(lowest, highest)}.'
    return Steps(bins[codes], lowest, highest, (*merged, said))


def _levels(marks: Floats) -> tuple[Floats, Codes]:
    if marks.size == 0:
        raise TooFewMarks('there are no marks', remedy='gather marks first')
    if not np.isfinite(marks).all():
        raise EstimateError(
            f'{np.count_nonzero(~np.isfinite(marks))} marks are missing or no numbers',
            remedy='fill them in, or leave those rows out',
        )
    unit = SAME * max(float(np.abs(marks).max()), 1e-300)
    kept, found = np.unique(np.round(marks / unit), return_inverse=True)
    if kept.size < 2:
        raise NoVariation(
            f'every mark is {mark_in_words(float(marks[0]))}',
            expected='marks on at least two steps',
            remedy='nothing tells the wines apart here; look at another category',
        )
    codes = found.astype(np.int64)
    levels = np.empty(kept.size)
    levels[codes] = np.round(marks, DECIMALS)
    return levels, codes


def _merged(levels: Floats, possible: Floats) -> tuple[str, ...]:
    """What nobody gave, in words."""
    possible = np.sort(possible)
    near = np.abs(possible[:, None] - levels[None, :]).min(axis=1)
    unused = np.flatnonzero(near > SAME * max(1.0, float(np.abs(possible).max())))
    if not unused.size:
        return ()
    listed = _list([*_runs(possible, unused)])
    if unused.size == 1:
        return (f'Nobody gave {listed}; that step is merged with the one next to it.',)
    return (f'Nobody gave {listed}; those steps are merged with the ones next to them.',)


def _runs(possible: Floats, unused: Codes) -> Iterator[str]:
    """Unused marks in words, three neighbours or more as a range."""
    for run in np.split(unused, np.flatnonzero(np.diff(unused) > 1) + 1):
        words = [mark_in_words(float(possible[place])) for place in run]
        yield from words if len(words) < 3 else [f'{words[0]} to {words[-1]}']


def _bins(counts: Codes, most: int) -> Codes:
    """Bin of each level: the middle of its share of all marks says which, (k,)."""
    middle = (np.cumsum(counts) - 0.5 * counts) / counts.sum()
    raw = np.minimum((middle * most).astype(np.int64), most - 1)
    return np.unique(raw, return_inverse=True)[1].astype(np.int64)


def _ranges(lowest: tuple[float, ...], highest: tuple[float, ...]) -> str:
    said = []
    for low, high in zip(lowest, highest, strict=True):
        one, other = mark_in_words(low), mark_in_words(high)
        said.append(one if low == high else f'{one} to {other}')
    return _list(said)


def _list(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f'{", ".join(words[:-1])} and {words[-1]}'
