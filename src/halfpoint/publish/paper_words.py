"""What a second look at pages from paper says, as a person would say it."""

from __future__ import annotations

import math

from halfpoint.estimate.findings import AuditFinding
from halfpoint.publish.numbers import NARROW, plural

# Shares above this are said in per cent.
_MANY = 0.1


def second_look_in_words(audit: AuditFinding) -> str:
    """How many marks and boxes were looked at again, how many were wrong, and at most are.

    The bound is rounded so that it is never said to be smaller than it is.
    """
    sure = f"{100 * audit.confidence:g}{NARROW}%"
    kinds = (
        ("mark", "marks from paper", audit.marks, audit.wrong_marks, audit.marks_below),
        ("box", "boxes", audit.boxes, audit.wrong_boxes, audit.boxes_below),
    )
    said = [
        f"Of {plural(looked, one, many)} looked at a second time, {_wrong(wrong)}: "
        f"with {sure} confidence fewer than {share_in_words(below)} is."
        for one, many, looked, wrong, below in kinds
        if looked
    ]
    return ' '.join(said) or "Pages were looked at a second time, with no mark taken unseen."


def share_in_words(share: float) -> str:
    """A share as `1 in 800`, rounded up to two figures; in per cent when it is a large one."""
    if share >= _MANY:
        return f"{math.ceil(100 * share - 1e-9)}{NARROW}%"
    parts = 1 / share
    unit = 10 ** max(0, math.floor(math.log10(parts)) - 1)
    return f"1 in {math.floor(parts / unit + 1e-9) * unit:,}"


def _wrong(count: int) -> str:
    return "1 was wrong" if count == 1 else f"{count:,} were wrong"
