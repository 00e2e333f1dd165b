"""A writer's hand upon a page: everything that person draws goes through here."""

from __future__ import annotations

import numpy as np

from halfpoint.collect.paper.print.layout import Bubble, Rectangle
from halfpoint.demo.paper import letters, marks
from halfpoint.demo.paper.curves import Line, straight, wobbled
from halfpoint.demo.paper.ink import Ink, Owner
from halfpoint.demo.paper.rates import STRIKES
from halfpoint.demo.paper.writer import Writer, pick

Spot = tuple[float, float]
# Against the circle: larger marks would be as much the neighbour's.
LARGEST, WIDEST_RING = 1.35, 1.7
FILLING = ('fill', 'scribble', 'zigzag')


class Hand:
    """Draws marks, digits and words, all as one writer does."""

    def __init__(self, rng: np.random.Generator, ink: Ink, writer: Writer) -> None:
        self.rng = rng
        self.ink = ink
        self.writer = writer

    def put(self, lines: list[Line], at: Spot, owner: Owner, press: float = 1.0) -> None:
        """Lines around a spot of the frame, with this hand's tremor."""
        tremor = self.writer.tremor
        shaken = [wobbled(self.rng, line, tremor) + at for line in lines]
        self.ink.draw(shaken, self.writer.pen, owner, press=press)

    def mark(
        self, bubble: Bubble, owner: Owner, style: str | None = None, press: float = 1.0
    ) -> None:
        """An ordinary mark on a circle."""
        self.mark_at((bubble.centre.x, bubble.centre.y), bubble.diameter / 2, owner, style, press)

    def mark_at(
        self,
        at: Spot,
        radius: float,
        owner: Owner,
        style: str | None = None,
        press: float = 1.0,
        *,
        loose: bool = True,
    ) -> None:
        """A mark around any spot, in the writer's way or another; exactly there unless `loose`."""
        writer, rng = self.writer, self.rng
        spot = self._near(at, radius) if loose else at
        press *= float(np.clip(rng.normal(1.0, 0.06 + 0.3 * writer.pen.swing), 0.7, 1.35))
        self.put(self._shape(style or writer.mark, radius), spot, owner, press)

    def tick_box(self, area: Rectangle, owner: Owner) -> None:
        """The writer's mark in a box."""
        at = (area.left + area.width / 2, area.top + area.height / 2)
        radius = area.width / 2
        self.put(self._shape(self.writer.box_mark, radius), self._near(at, radius), owner)

    def strike(self, at: Spot, radius: float, owner: Owner, *, alone: bool = False) -> None:
        """Take a mark back, so that somebody else can see it.

        Lines over a thin mark hardly show, and a blot over a filled circle not at all: where no
        other mark follows (`alone`), people blot out the first and cross out the second.
        """
        thin = self.writer.mark not in FILLING
        how = pick(self.rng, STRIKES)
        if thin and (alone or self.rng.random() < 0.5):
            how = 'scribble'
        elif alone and how in {'scribble', 'line'}:
            how = 'cross'
        reach = radius * max(1.0, self.writer.size) * (1.25 if alone else 1.0)
        lines = marks.strike(self.rng, how, reach, self.writer.pen.width)
        self.put(lines, self._near(at, radius), owner, self.rng.uniform(1.0, 1.3))

    def ring(self, at: Spot, half_width: float, half_height: float, owner: Owner) -> None:
        """An oval around something."""
        self.put(marks.ring(self.rng, half_width, half_height), at, owner)

    def arrow(self, start: Spot, end: Spot, owner: Owner) -> None:
        """An arrow."""
        self.put(marks.arrow(self.rng, start, end), (0.0, 0.0), owner)

    def line(self, start: Spot, end: Spot, owner: Owner) -> None:
        """A stroke that is meant to be straight."""
        self.put([straight(start, end, self.rng.normal(0, 0.015))], (0.0, 0.0), owner)

    def word(self, text: str, at: Spot, owner: Owner, climb: float = 0.0, hand: float = 0) -> float:
        """A word from a place on its base line, rising by `climb` for each millimetre; its end."""
        writer = self.writer
        lines, width = letters.word(
            self.rng, text, hand or writer.hand, writer.slant, joined=writer.joined
        )
        risen = [np.stack((line[:, 0], line[:, 1] - climb * line[:, 0]), axis=1) for line in lines]
        self.put(risen, at, owner)
        return at[0] + width

    def digit(self, character: str, area: Rectangle, owner: Owner) -> None:
        """A digit, a point, a comma or ½, about as large as the place for it."""
        rng, writer = self.rng, self.writer
        height = area.height * float(np.clip(rng.normal(0.7, 0.09), 0.45, 1.05))
        width = min(height * rng.uniform(0.45, 0.68), area.width * 0.95)
        draw = letters.half if character == '½' else None
        if draw:
            width = area.width * 0.92
        size = (width, height)
        lines = (
            draw(rng, size, writer.slant)
            if draw
            else letters.digit(rng, character, size, writer.slant)
        )
        off = rng.normal(0, 0.3 + writer.spread * 0.5, 2)
        corner = (
            area.left + (area.width - width) / 2 + off[0],
            area.top + (area.height - height) / 2 + off[1],
        )
        self.put(lines, corner, owner)

    def _near(self, at: Spot, radius: float) -> Spot:
        writer, rng = self.writer, self.rng
        reach = 0.75 * radius
        x, y = np.clip(np.array(writer.lean) + rng.normal(0, writer.spread, 2) * 0.7, -reach, reach)
        return at[0] + float(x), at[1] + float(y)

    def _shape(self, style: str, radius: float) -> list[Line]:
        writer, rng = self.writer, self.rng
        own = radius * min(writer.size * float(rng.normal(1, 0.06)), LARGEST)
        if style == 'tick':
            return marks.tick(rng, own, writer.tail)
        if style == 'ring':
            height = own * rng.uniform(1.05, 1.45)
            width = min(height * rng.uniform(0.95, 1.2), WIDEST_RING * radius)
            return marks.ring(rng, width, height)
        return marks.SHAPES[style](rng, own, writer.pen.width, writer.dense)
