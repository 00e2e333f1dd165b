"""A mark that stands alone in its glass: who marks one line mostly marks them all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from halfpoint.collect.paper.read.ink.lines import Decision
from halfpoint.collect.paper.read.ink.targets import Run

# With fewer lines nothing stands alone.
_FEWEST = 3


def without_lone(lines: Sequence[Decision], runs: Sequence[Run]) -> tuple[Decision, ...]:
    """The decisions, with a question where one mark alone was found in a glass.

    In a glass left empty such a mark is a fold, a stain or a line of the scanner.

    Args:
        lines: of the page.
        runs: of the page, one for each.
    """
    of_glass = Counter(run.place for run in runs)
    marked = Counter(
        run.place for run, each in zip(runs, lines, strict=True) if each.bubble is not None
    )
    return tuple(
        Decision(None, 'stray', 0.0, each.likely)
        if each.bubble is not None and marked[run.place] == 1 and of_glass[run.place] >= _FEWEST
        else each
        for run, each in zip(runs, lines, strict=True)
    )
