"""What the words mean, and what to try at home. Common practice, no source."""

from __future__ import annotations

from halfpoint.teach.guide.said import Word

WORDS = (
    Word(
        "Intensity",
        "How easily you find it. Strong: it meets you before the glass is at your nose. "
        "Clear: it is there when you look. Faint: you have to search.",
    ),
    Word(
        "Complexity",
        "How many things you find. One is simple. Two or three are a few. "
        "More, and new ones when you come back to the glass, are several.",
    ),
    Word(
        "Balance",
        "Acid, sugar, alcohol and tannin hold each other, and none stands out alone. "
        "A sharp wine can be in balance when fruit or sugar holds the acid.",
    ),
    Word(
        "Finish",
        "How long pleasant flavour stays when the wine is gone. "
        "Lingering acid or bitterness alone does not count.",
    ),
)

TRIES = (
    Word(
        "Jars from the kitchen",
        "Put lemon peel, vanilla, clove and jam in four cups. Close your eyes, mix them up, and "
        "name each by its smell.",
    ),
    Word(
        "One wine, two glasses",
        "Have someone pour you three glasses, two of them the same. Mark all three. "
        "How close are the two?",
    ),
    Word(
        "The clock",
        "Time the finish of every wine you drink for a week. Write the seconds down. "
        "Your sense of short and long will settle.",
    ),
)
