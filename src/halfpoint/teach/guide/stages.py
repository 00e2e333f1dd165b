"""The stages of tasting, and which stage decides a category of the sheet.

The advice is common practice, no source; all words are our own.
"""

from __future__ import annotations

import re

from halfpoint.sheet.form import Category, Sheet
from halfpoint.sheet.words import fold
from halfpoint.teach.guide.said import Band, Line, Stage

LOOK, SMELL, TASTE, FINISH, DECIDE = 'look', 'smell', 'taste', 'finish', 'decide'

# Words in a category's key or label that say which stage decides it; the first stage wins.
_SIGNS = {
    FINISH: ('aftertaste', 'finish', 'length', 'persistence'),
    LOOK: ('appearance', 'look', 'looks', 'eye', 'colour', 'color', 'clarity', 'cleanness'),
    SMELL: ('aroma', 'aromas', 'nose', 'smell', 'bouquet', 'scent'),
    TASTE: (
        'taste', 'flavour', 'flavor', 'palate', 'mouth', 'balance', 'texture', 'structure', 'body',
    ),
}  # fmt: skip

_ADVICE = {
    LOOK: (
        "Look",
        "Tilt the glass over white paper. Is the wine clear and sound?",
        (
            "Hold the glass by the stem and tilt it over something white.",
            "Look at the middle first, then at the rim.",
            "Ask one thing: is there trouble? Haze, a brown tint or stray bubbles may mean so.",
        ),
        (
            "The exact shade matters little. Almost every sound wine earns the full mark here.",
            "A brown tint points to too much air. Haze points to a wine that is not stable.",
        ),
    ),
    SMELL: (
        "Smell",
        "Swirl, then take one full sniff. How easily do aromas come, and how many?",
        (
            "Swirl the glass, put your nose in, and take one full sniff.",
            "Ask two things. How easily do I find aromas? How many are there?",
            "Rest, then sniff again. The first words that come are often the best.",
        ),
        (
            (
                "Some grapes are loud by nature, and some are quiet. "
                "Mark what you find, not what you know."
            ),
            "If no word comes, go through the families one by one and ask of each: is it this?",
        ),
    ),
    TASTE: (
        "Taste",
        (
            "Take a small sip and let it warm. Do flavours come clear, and does any one thing "
            "stand out alone?"
        ),
        (
            "Take a small sip, and let it reach all of your mouth.",
            "Look for flavours again. Warmth can bring out more than the nose found.",
            (
                "Then feel. Acid makes the mouth water. Tannin dries it. "
                "Alcohol feels hot. Sugar cloys when acid does not hold it."
            ),
            "Ask last: does any one of these stand out alone?",
        ),
        (
            (
                "The figure on the label does not tell. 12.5 % of alcohol can feel hot in a thin "
                "wine, and 14.5 % can hide in a big one."
            ),
            (
                "Riesling and Sauvignon Blanc are sharp by nature. Merlot and Marsanne are soft. "
                "Tannin is not looked for in a white wine."
            ),
        ),
    ),
    FINISH: (
        "Time the finish",
        "Spit, and count the seconds for which pleasant flavour stays.",
        (
            "Spit or swallow, and start to count.",
            "Stop when pleasant flavour is gone. Only what pleases counts.",
            "If bitterness or acid alone is left, the finish is over. Note it instead.",
        ),
        ("A quiet count will do: one and two and three. A watch is better.",),
    ),
    DECIDE: (
        "Decide",
        "Weigh what pleased against what did not.",
        (
            "Look back at what you found. Count the pluses, then the minuses.",
            "Ask yourself if you would pour it for a friend.",
            "Give the mark your glass has earned. Nobody else has your glass.",
        ),
        (
            (
                "There are no right answers. A mark that differs from your neighbour's is news, "
                "and all of it is of use."
            ),
        ),
    ),
}


def stages(sheet: Sheet) -> tuple[Stage, ...]:
    """The five stages, each with the categories of this sheet that it decides."""
    places = stage_of_category(sheet)
    return tuple(
        Stage(
            key,
            *_ADVICE[key],
            tuple(_line(each) for each in sheet.categories if places[each.key] == key),
        )
        for key in _ADVICE
    )


def stage_of_category(sheet: Sheet) -> dict[str, str]:
    """Category key to the stage that decides it; `decide` where no word of the sheet tells."""
    timed = {band.category for band in sheet.finish}
    return {
        each.key: FINISH if each.key in timed else _stage_in_words(each)
        for each in sheet.categories
    }


def _stage_in_words(category: Category) -> str:
    words = set(
        re.split(r'[^\w]+', f'{fold(category.key)} {fold(category.label)}'.replace('_', ' '))
    )
    return next((stage for stage, signs in _SIGNS.items() if words & {*signs}), DECIDE)


def _line(category: Category) -> Line:
    bands = tuple(Band(g.low, g.high, g.text) for g in category.guidance)
    return Line(
        category.key, category.label, category.question,
        category.lowest, category.top, category.step, bands,
    )  # fmt: skip
