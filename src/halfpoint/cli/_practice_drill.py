"""A drill as two pages of text: for whoever pours, and for whoever tastes."""

from __future__ import annotations

from collections.abc import Iterator

from halfpoint.teach.drills import Drill

CAUTION = (
    "Small pours (15 ml will do), spit, drink water, eat something. Nobody drives; no wine for "
    "the under-aged or in pregnancy; local law comes first."
)
TASKS = {
    'triangle': "Two glasses are the same wine, one is another. Which is the odd one?",
    'duo-trio': "The first glass is the reference. Which of the other two is the same wine?",
}


def pages_of(drill: Drill, seed: int) -> dict[str, str]:
    """File name → text: the pourer's page with the answers, and the taster's without."""
    return {
        'pourer.txt': '\n'.join(_pourer(drill, seed)) + '\n',
        'taster.txt': '\n'.join(_taster(drill)) + '\n',
    }


def _pourer(drill: Drill, seed: int) -> Iterator[str]:
    a, b = drill.pours
    yield f"For whoever pours: {drill.test} drill, {len(drill.rounds)} rounds (seed {seed})"
    yield f"Decide which wine is A and which is B: {a} glasses of A, {b} of B, all filled alike."
    yield "Pour out of the taster's sight, write the code on each glass, serve from left to right."
    yield ""
    for one in drill.rounds:
        glasses = "   ".join(
            f"{code} {wine}" for code, wine in zip(one.codes, one.contents, strict=True)
        )
        yield f"{one.number:3}.  {glasses}   right: {one.right}"
    yield ""
    if drill.fewest_right is None:
        yield "With so few rounds even all right could be luck; four or more are better."
    else:
        yield (
            f"{drill.fewest_right} right or more say that the two can be told apart (5 % level). "
            f"Someone who truly tells them half of the time gets there {100 * drill.power:.0f} "
            "times in 100."
        )
    yield CAUTION


def _taster(drill: Drill) -> Iterator[str]:
    yield f"For the taster: {drill.test} drill, {len(drill.rounds)} rounds"
    yield f"{TASKS[drill.test]} Answer each round, even by a guess."
    yield ""
    for one in drill.rounds:
        yield f"{one.number:3}.  {'   '.join(one.codes)}   my answer: ______"
    yield ""
    yield "Rest a minute between rounds, with water and bread."
