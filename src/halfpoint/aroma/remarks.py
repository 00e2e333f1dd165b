"""Words in remarks that are terms of the sheet, perhaps written a little otherwise."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from rapidfuzz import fuzz, process

# A letter lost or two changed places in a word of five letters pass; another word does not.
ENOUGH = 82.0
SHORTEST = 4


@dataclass(frozen=True, slots=True)
class Match:
    """`written` in the remark was taken for the term, `score` out of 100."""

    term: str
    written: str
    score: float


def match_terms(remark: str, labels: Mapping[str, str]) -> tuple[Match, ...]:
    """Terms that a remark speaks of, best match of each, in the order of the remark.

    Runs of as many words as a label has are held against it by the ratio of edits
    (insertions and deletions); words below four letters must be written as on the sheet.
    What comes out is shown beside what was written, and never taken for a tick.

    Args:
        remark: as written.
        labels: key of each term to its label.
    """
    words = re.findall(r"[^\W\d_][\w'’-]*", remark.casefold())
    found: dict[str, tuple[int, Match]] = {}
    by_length: dict[int, dict[str, str]] = {}
    for key, label in labels.items():
        by_length.setdefault(len(label.split()), {})[key] = label.casefold()
    for length, several in by_length.items():
        for at in range(len(words) - length + 1):
            written = ' '.join(words[at : at + length])
            best = process.extractOne(written, several, scorer=fuzz.ratio, score_cutoff=ENOUGH)
            if best is None or (len(written) < SHORTEST and best[1] < 100.0):
                continue
            match = Match(best[2], written, best[1])
            if best[2] not in found or found[best[2]][1].score < match.score:
                found[best[2]] = (at, match)
    return tuple(match for _, match in sorted(found.values(), key=lambda each: each[0]))
