"""Handwritten digits and small letters: points a pen goes through, and how words are set.

A digit lies in a box from (0, 0) at the top left to (1, 1); a letter stands on a base line at
y = 0, small letters reach up to y = 1.  A point given twice makes a corner.
"""

from __future__ import annotations

import numpy as np

from halfpoint.demo.paper.curves import Line, through, wobbled

Strokes = tuple[tuple[tuple[float, float], ...], ...]

_NOUGHT: Strokes = (((0.55, 0), (0.12, 0.3), (0.1, 0.7), (0.5, 1), (0.9, 0.65), (0.85, 0.25),
                     (0.5, 0.02)),)  # fmt: skip
_BALL: Strokes = (((0.5, 0.55), (0.2, 0.3), (0.5, 0.02), (0.8, 0.28), (0.5, 0.52), (0.14, 0.78),
                   (0.5, 1), (0.88, 0.76), (0.5, 0.52)),)  # fmt: skip
DIGITS: dict[str, tuple[Strokes, ...]] = {
    '0': (_NOUGHT, (((0.4, 0.05), (0.05, 0.5), (0.45, 1), (0.9, 0.5), (0.55, 0), (0.3, 0.1)),)),
    '1': (
        (((0.5, 0), (0.48, 0.5), (0.46, 1)),),
        (((0.2, 0.3), (0.55, 0), (0.55, 0), (0.52, 0.5), (0.5, 1)),),
        (((0.2, 0.25), (0.5, 0), (0.5, 0), (0.5, 1)), ((0.2, 1), (0.8, 0.98))),
    ),
    '2': (
        (((0.1, 0.25), (0.45, 0), (0.85, 0.25), (0.5, 0.65), (0.08, 1), (0.08, 1), (0.9, 0.97)),),
        (((0.15, 0.2), (0.5, 0), (0.8, 0.3), (0.4, 0.75), (0.1, 0.95), (0.2, 0.8), (0.5, 0.95),
          (0.95, 0.92)),),
    ),
    '3': (
        (((0.15, 0.12), (0.55, 0), (0.8, 0.22), (0.4, 0.47), (0.4, 0.47), (0.88, 0.72),
          (0.5, 1), (0.08, 0.9)),),
        (((0.1, 0), (0.85, 0), (0.85, 0), (0.42, 0.42), (0.42, 0.42), (0.9, 0.7), (0.5, 1),
          (0.1, 0.88)),),
    ),
    '4': (
        (((0.55, 0), (0.1, 0.62), (0.1, 0.62), (0.95, 0.6)), ((0.72, 0.3), (0.68, 1))),
        (((0.7, 1), (0.7, 0), (0.7, 0), (0.08, 0.68), (0.08, 0.68), (0.95, 0.66)),),
    ),
    '5': (
        (((0.25, 0), (0.2, 0.42), (0.2, 0.42), (0.8, 0.5), (0.7, 0.95), (0.1, 0.95)),
         ((0.25, 0.02), (0.85, 0))),
        (((0.85, 0), (0.25, 0.03), (0.25, 0.03), (0.2, 0.42), (0.75, 0.5), (0.75, 0.9),
          (0.1, 0.98)),),
    ),
    '6': (
        (((0.7, 0), (0.25, 0.4), (0.15, 0.8), (0.5, 1), (0.85, 0.75), (0.5, 0.55), (0.18, 0.75)),),
        (((0.5, 0), (0.12, 0.55), (0.3, 1), (0.8, 0.85), (0.6, 0.58), (0.2, 0.7)),),
    ),
    '7': (
        (((0.1, 0.02), (0.88, 0), (0.88, 0), (0.5, 0.5), (0.38, 1)),),
        (((0.1, 0.05), (0.88, 0), (0.88, 0), (0.5, 0.5), (0.38, 1)), ((0.25, 0.52), (0.78, 0.46))),
    ),
    '8': (_BALL, (((0.8, 0.12), (0.4, 0.02), (0.25, 0.3), (0.7, 0.6), (0.75, 0.92), (0.35, 0.98),
                   (0.25, 0.7), (0.7, 0.4), (0.85, 0.1)),)),
    '9': (
        (((0.82, 0.2), (0.45, 0), (0.15, 0.3), (0.5, 0.52), (0.82, 0.2), (0.82, 0.2), (0.75, 1)),),
        (((0.8, 0.25), (0.45, 0), (0.15, 0.28), (0.5, 0.5), (0.85, 0.2), (0.8, 0.7), (0.35, 1)),),
    ),
    '-': ((((0.05, 0.5), (0.5, 0.47), (0.95, 0.5)),),),
    '.': ((((0.42, 0.94), (0.5, 0.98), (0.46, 1.0)),),),
    ',': ((((0.52, 0.9), (0.54, 1.0), (0.4, 1.18)),),),
}  # fmt: skip

LETTERS: dict[str, tuple[float, tuple[tuple[float, float], ...]]] = {
    'a': (1.0, ((0.85, 0.9), (0.4, 1), (0.1, 0.4), (0.4, 0), (0.8, 0.9), (0.8, 0.9), (0.8, 0.1),
                (1.0, 0.15))),
    'c': (0.8, ((0.8, 0.8), (0.45, 1), (0.1, 0.5), (0.4, 0), (0.8, 0.2))),
    'd': (1.0, ((0.8, 0.8), (0.4, 1), (0.1, 0.4), (0.4, 0), (0.8, 0.8), (0.85, 2.0), (0.85, 2.0),
                (0.8, 0.1), (1.0, 0.1))),
    'e': (0.8, ((0.1, 0.45), (0.65, 0.6), (0.45, 1), (0.12, 0.5), (0.4, 0), (0.8, 0.25))),
    'f': (0.6, ((0.1, 0.3), (0.6, 1.8), (0.35, 1.9), (0.3, 0.5), (0.25, -0.7), (0.2, -0.3),
                (0.6, 0.3))),
    'g': (1.0, ((0.8, 0.85), (0.4, 1), (0.1, 0.5), (0.45, 0.1), (0.8, 0.9), (0.75, -0.6),
                (0.35, -0.9), (0.3, -0.5), (1.0, 0.2))),
    'h': (1.0, ((0.1, 0.2), (0.35, 1.9), (0.15, 1.9), (0.12, 0), (0.12, 0), (0.5, 1), (0.75, 0.7),
                (0.78, 0), (1.0, 0.15))),
    'i': (0.5, ((0.1, 0.3), (0.25, 1), (0.25, 1), (0.25, 0.1), (0.5, 0.2))),
    'l': (0.55, ((0.05, 0.2), (0.45, 1.7), (0.25, 2.0), (0.2, 0.3), (0.3, 0), (0.55, 0.2))),
    'm': (1.5, ((0.1, 0.9), (0.15, 0), (0.15, 0), (0.45, 1), (0.65, 0.6), (0.65, 0), (0.65, 0),
                (0.95, 1), (1.2, 0.6), (1.2, 0.05), (1.45, 0.15))),
    'n': (1.0, ((0.1, 0.9), (0.15, 0), (0.15, 0), (0.5, 1), (0.78, 0.7), (0.78, 0.05),
                (1.0, 0.15))),
    'o': (0.9, ((0.5, 1), (0.1, 0.5), (0.45, 0), (0.8, 0.5), (0.5, 0.98), (0.9, 0.85))),
    'p': (0.95, ((0.15, 0.9), (0.15, -0.9), (0.15, -0.9), (0.2, 0.7), (0.6, 1), (0.8, 0.4),
                 (0.4, 0), (0.2, 0.2), (0.95, 0.2))),
    'r': (0.7, ((0.1, 0.2), (0.25, 1.1), (0.3, 0.9), (0.6, 0.9), (0.5, 0.1), (0.7, 0.15))),
    's': (0.7, ((0.1, 0.2), (0.5, 1.05), (0.5, 1.05), (0.6, 0.3), (0.3, 0), (0.1, 0.15),
                (0.7, 0.2))),
    't': (0.6, ((0.1, 0.3), (0.3, 1.6), (0.3, 1.6), (0.25, 0.1), (0.45, 0), (0.6, 0.2))),
    'u': (1.0, ((0.1, 0.95), (0.15, 0.2), (0.45, 0), (0.78, 0.9), (0.78, 0.9), (0.8, 0.1),
                (1.0, 0.15))),
    'w': (1.3, ((0.1, 0.95), (0.25, 0.05), (0.6, 0.9), (0.6, 0.9), (0.75, 0.05), (1.1, 0.95),
                (1.3, 0.85))),
    'y': (0.95, ((0.1, 0.95), (0.2, 0.3), (0.5, 0.15), (0.8, 0.95), (0.7, -0.6), (0.35, -0.9),
                 (0.3, -0.5), (0.95, 0.2))),
}  # fmt: skip
_CROSSBAR = ((-0.05, 1.15), (0.6, 1.2))
_DOT = ((0.27, 1.42), (0.31, 1.48))


def digit(
    rng: np.random.Generator, character: str, size: tuple[float, float], slant: float
) -> list[Line]:
    """A digit, point or comma in a box of this width and height, from its top left corner."""
    shapes = DIGITS[character]
    width, height = size
    lines = []
    for stroke in shapes[rng.integers(len(shapes))]:
        points = np.array(stroke) + rng.normal(0, 0.035, (len(stroke), 2))
        points[:, 0] -= slant * (points[:, 1] - 0.5)
        lines.append(through(points * (width, height), 5))
    return lines


def half(rng: np.random.Generator, size: tuple[float, float], slant: float) -> list[Line]:
    """A ½ in a box: a small 1, a stroke, a small 2."""
    width, height = size
    small = (0.36 * width, 0.48 * height)
    one = [line + np.array((0.02 * width, 0)) for line in digit(rng, '1', small, slant)]
    two = [line + np.array((0.6 * width, 0.52 * height)) for line in digit(rng, '2', small, slant)]
    stroke = through([(0.16 * width, 0.86 * height), (0.84 * width, 0.14 * height)], 8)
    return [*one, stroke + rng.normal(0, 0.03 * width, 2), *two]


def word(
    rng: np.random.Generator,
    text: str,
    hand: float,
    slant: float,
    *,
    joined: bool,
    tremor: float = 0.0,
) -> tuple[list[Line], float]:
    """A word on its base line from (0, 0) to the right, y down; and how wide it is."""
    at, run, lines, extra = 0.0, list[tuple[float, float]](), list[Line](), list[Line]()
    for letter in text:
        width, points = LETTERS[letter]
        stretch = rng.normal(1.0, 0.08)
        shaken = np.array(points) * (stretch, rng.normal(1, 0.06)) + rng.normal(
            0, 0.045, (len(points), 2)
        )
        run += [(x + at, y) for x, y in shaken.tolist()]
        for also in {'t': (_CROSSBAR,), 'i': (_DOT,)}.get(letter, ()):
            extra.append(through(np.array(also) + rng.normal(0, 0.05, 2) + np.array((at, 0)), 4))
        at += width * stretch + (0.12 if joined else 0.28)
        if not joined:
            lines.append(through(run, 4))
            run = []
    if run:
        lines.append(through(run, 4))
    shaped = [_leaning(line, hand, slant) for line in (*lines, *extra)]
    return [wobbled(rng, line, tremor) for line in shaped], at * hand * 0.85


def written(number: float, half: str) -> str:
    """A number as people write it, a half as this person writes halves.

    >>> written(16.5, '½'), written(0.5, '.5'), written(7.25, '½'), written(12, '½')
    ('16½', '.5', '7.25', '12')
    """
    whole, rest = divmod(abs(number), 1)
    sign = '-' if number < 0 else ''
    if abs(rest - 0.5) < 1e-9:
        return f'{sign}{f"{whole:.0f}" if whole else ""}{half}'
    return f'{number:.2f}'.rstrip('0').rstrip('.')


def invented_word(rng: np.random.Generator) -> str:
    """Something that looks like a word."""
    letters = list(LETTERS)
    return ''.join(letters[k] for k in rng.integers(len(letters), size=int(rng.integers(3, 9))))


def _leaning(line: Line, hand: float, slant: float) -> Line:
    return np.stack(((line[:, 0] * 0.85 + slant * line[:, 1]) * hand, -line[:, 1] * hand), axis=1)
