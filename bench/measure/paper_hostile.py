"""Pages that must not be taken for what they are not: every kind of the simulator, many seeds."""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from halfpoint.collect.paper.read.pool import CRASHED, TOO_SLOW
from halfpoint.demo.paper.hostile import HOSTILE
from measure.figures import describe, keep, machine, print_table
from measure.paper_desk import hostile_pages
from measure.paper_room import Size, tasting_file
from measure.paper_score import PageScore

SEEDS = 20
READ = 'read'
# What can be read in spite of it; anything else must be held.
MAY_BE_READ = ('upside down', 'glare over codes')
MUST_BE_READ = 'upside down'


def refuse_hostile(first_seed: int) -> int:
    """Read the hostile pages, print, keep; 1 when one is taken that must not be."""
    on = machine()
    tasks = [(seed, kind) for kind in HOSTILE for seed in range(first_seed, first_seed + SEEDS)]
    with tempfile.TemporaryDirectory() as folder:
        tasting_file(Path(folder), Size(6, 10, 7))
        scores = list(hostile_pages(Path(folder), 4, tasks))
    became = {kind: Counter(_became(s) for s in scores if s.style == kind) for kind in HOSTILE}
    wrong = [score for score in scores if score.wrong_identity]
    marks = [score for score in scores if score.wrongs]
    bad = [kind for kind, found in became.items() if not _as_meant(kind, found)]
    title = f'hostile pages, {SEEDS} of each kind (seeds {first_seed:,} on)'
    print_table(title, [('machine', describe(on)), *_rows(became, bad, wrong, marks)])
    keep('paper_hostile', on, {
        'seeds': SEEDS,
        'first_seed': first_seed,
        'became': {kind: dict(found) for kind, found in became.items()},
        'wrong_identities': [[score.style, score.seed] for score in wrong],
        'pages_with_wrong_marks': [[score.style, score.seed] for score in marks],
    })  # fmt: skip
    return 1 if wrong or marks or bad else 0


def _became(score: PageScore) -> str:
    return 'another page' if score.wrong_identity else score.held or READ


def _as_meant(kind: str, became: Counter[str]) -> bool:
    if became[CRASHED] or became[TOO_SLOW]:
        return False
    if kind == MUST_BE_READ:
        return became[READ] >= 0.9 * SEEDS
    return kind in MAY_BE_READ or not became[READ]


def _rows(
    became: dict[str, Counter[str]],
    bad: Sequence[str],
    wrong: Sequence[PageScore],
    marks: Sequence[PageScore],
) -> list[tuple[str, str]]:
    rows = [
        (
            kind,
            ', '.join(f'{what} {number}' for what, number in found.most_common())
            + ('  MISSED' if kind in bad else ''),
        )
        for kind, found in became.items()
    ]
    rows.append(('wrong identities', f'{len(wrong)} (meant: none)'))
    rows.append(('pages with a wrong mark or box', f'{len(marks)} (meant: none)'))
    return rows
