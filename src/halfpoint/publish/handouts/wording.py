"""Times, places and spans of numbers as people say them."""

from __future__ import annotations

from datetime import date

MINUTES_A_DAY = 24 * 60
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def clock(minutes: int) -> str:
    """Minutes after midnight as a time of day.

    >>> clock(19 * 60 + 6), clock(24 * 60 + 5), clock(-30)
    ('19:06', '00:05', '23:30')
    """
    hours, rest = divmod(minutes % MINUTES_A_DAY, 60)
    return f'{hours:02}:{rest:02}'


def ordinal(number: int) -> str:
    """A place in an order.

    >>> [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 102)]
    ['1st', '2nd', '3rd', '4th', '11th', '12th', '13th', '21st', '102nd']
    """
    if number % 100 in {11, 12, 13}:
        return f'{number}th'
    return f'{number}{({1: "st", 2: "nd", 3: "rd"}).get(number % 10, "th")}'


def spans(numbers: tuple[int, ...]) -> str:
    """Whole numbers in order, runs drawn together.

    >>> spans((1, 2, 3, 7, 9, 10))
    '1 to 3, 7, 9 to 10'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ', '.join(f'{run[0]} to {run[-1]}' if len(run) > 1 else f'{run[0]}' for run in runs)


def day(of: date) -> str:
    """`6 March 2026`, whatever language the machine speaks."""
    return f'{of.day}\u00a0{MONTHS[of.month - 1]}\u00a0{of.year}'


def days(opens: date | None, closes: date | None) -> str:
    """The days on which a tasting is held; empty when the file does not say."""
    if opens and closes and opens != closes:
        return f"{day(opens)} to {day(closes)}"
    known = opens or closes
    return day(known) if known else ""
