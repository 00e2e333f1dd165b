"""Scores of many pages added up, with exact bounds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from scipy.stats import binomtest

from measure.paper_mix import ALL, GROUPS, group_of
from measure.paper_score import PageScore, Tally

LEVEL = 0.95
BINS = 10


@dataclass(slots=True)
class Sum:
    """Pages of one group added up; `with_wrong` are pages with any mark or box wrong."""

    pages: int = 0
    held: Counter[str] = field(default_factory=Counter)
    wrong_identities: int = 0
    with_wrong: int = 0
    marks: Tally = field(default_factory=Tally)
    boxes: Tally = field(default_factory=Tally)
    looks: Counter[str] = field(default_factory=Counter)
    true_totals: int = 0

    def add(self, score: PageScore) -> None:
        """One more page."""
        self.pages += 1
        self.wrong_identities += score.wrong_identity
        self.with_wrong += bool(score.wrongs)
        self.marks.add(score.marks)
        self.boxes.add(score.boxes)
        self.looks.update(score.looks)
        self.true_totals += score.true_totals
        if score.held:
            self.held[score.held] += 1

    @property
    def read(self) -> int:
        """Pages that were not held."""
        return self.pages - self.held.total()

    def looks_a_page(self, kind: str = '') -> float:
        """Looks at rows, boxes and totals, or of one kind, for each page that was read."""
        kinds = (kind,) if kind else ('rows', 'boxes', 'totals')
        return sum(self.looks[each] for each in kinds) / max(self.read, 1)


@dataclass(frozen=True, slots=True)
class Bin:
    """Marks accepted with about the same confidence: how many, how many of them wrong.

    `doubt` is the mean of one less the confidence: the share said to be wrong.
    """

    doubt: float
    marks: int
    wrong: int


def added_up(scores: Iterable[PageScore]) -> dict[str, Sum]:
    """The sums of each group, and of all pages together."""
    sums = {group: Sum() for group in GROUPS}
    for score in scores:
        sums[group_of(score.style)].add(score)
        sums[ALL].add(score)
    return sums


def upper_bound(wrong: int, number: int, level: float = LEVEL) -> float:
    """One-sided exact upper bound of a share (Clopper and Pearson 1934), by SciPy.

    It takes marks as independent of each other, which those of one page are not quite.
    """
    if not number:
        return 1.0
    found = binomtest(wrong, number, alternative='less')
    return float(found.proportion_ci(confidence_level=level, method='exact').high)


def calibration(scores: Iterable[PageScore]) -> list[Bin]:
    """Accepted marks in ten bins of about the same number, from the least sure to the surest."""
    found: dict[str, tuple[int, int]] = {}
    for score in scores:
        for nines, (marks, right) in score.confidences.items():
            before = found.get(nines, (0, 0))
            found[nines] = (before[0] + marks, before[1] + right)
    whole = sum(marks for marks, _ in found.values())
    bins: list[list[tuple[float, int, int]]] = [[] for _ in range(BINS)]
    passed = 0
    for nines in sorted(found, key=float):
        marks, right = found[nines]
        # A step of equal confidences is not cut: it goes where its middle falls.
        middle = (passed + marks / 2) / whole
        bins[min(int(middle * BINS), BINS - 1)].append((float(nines), marks, right))
        passed += marks
    return [_bin(steps) for steps in bins if steps]


def _bin(steps: list[tuple[float, int, int]]) -> Bin:
    marks = sum(number for _, number, _ in steps)
    doubt = sum(10**-nines * number for nines, number, _ in steps) / marks
    return Bin(doubt, marks, marks - sum(right for *_, right in steps))
