"""What happens on the line of one category."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from halfpoint.collect.paper.print.layout import Bubble, Row
from halfpoint.demo.paper import letters, marks, rates
from halfpoint.demo.paper.hand import Hand
from halfpoint.demo.paper.ink import Owner
from halfpoint.demo.paper.truth import RowTruth
from halfpoint.demo.paper.writer import Writer, pick

CLEAN = 'clean'


@dataclass(frozen=True, slots=True)
class Line:
    """A row that is about to be marked: the circles that say `value`, one or two."""

    row: Row
    value: float
    meant: tuple[Bubble, ...]
    owner: Owner

    @property
    def radius(self) -> float:
        """Of its circles."""
        return self.row.bubbles[0].diameter / 2


def line_of(row: Row, value: float, place: int) -> Line:
    """The line on which `value` will be marked."""
    return Line(row, value, circles_of(row, value), ('row', str(place), row.category))


def circles_of(row: Row, value: float) -> tuple[Bubble, ...]:
    """The circles that add up to a value: one, or a coarse and a fine one."""
    whole = [b for b in row.bubbles if b.part == 'whole']
    if whole:
        return (min(whole, key=lambda b: abs(b.adds - value)),)
    pairs = [
        (coarse, fine)
        for coarse in row.bubbles
        for fine in row.bubbles
        if coarse.part == 'coarse' and fine.part == 'fine'
    ]
    return min(pairs, key=lambda pair: abs(pair[0].adds + pair[1].adds - value))


def draw_event(rng: np.random.Generator, writer: Writer) -> str:
    """What happens on a line: mostly nothing but a mark."""
    chance = rng.random()
    for event, rate in rates.ROW_EVENTS.items():
        if event in rates.ONLY_PENCILS and not writer.pen.is_pencil:
            continue
        chance -= rate
        if chance < 0:
            return event
    return CLEAN


def write_row(hand: Hand, line: Line, event: str) -> RowTruth:
    """Write on a line what the event says."""
    return RowTruth(line.row.category, _EVENTS[event](hand, line), event, event == CLEAN)


def _clean(hand: Hand, line: Line) -> float:
    for bubble in line.meant:
        hand.mark(bubble, line.owner)
    return line.value


def _blank(hand: Hand, line: Line) -> None:
    return None


def _corrected(hand: Hand, line: Line) -> float:
    """First another mark; that is crossed out, and the right one made, plainer by some."""
    old, new = _changed(hand, line)
    hand.mark(old, line.owner)
    hand.strike(_spot(old), line.radius, line.owner)
    _clean(hand, line)
    extra = pick(hand.rng, rates.EXTRAS)
    if extra == 'ring':
        hand.ring(_spot(new), line.radius * 1.35, line.radius * 1.3, line.owner)
    elif extra == 'arrow':
        _point_over(hand, line, old, new)
    elif extra == 'word':
        hand.word(_short_word(hand), _beside(hand, line), line.owner)
    elif extra == 'number':
        _number(hand, line, _beside(hand, line))
    return line.value


def _erased(hand: Hand, line: Line) -> float:
    old, _ = _changed(hand, line)
    hand.mark(old, line.owner)
    keep = float(hand.rng.uniform(0.04, 0.4))
    hand.ink.rub_out(_spot(old), line.radius * hand.rng.uniform(1.1, 1.5), keep)
    return _clean(hand, line)


def _double(hand: Hand, line: Line) -> None:
    """Two marks, and nothing says which."""
    other, _ = _changed(hand, line)
    hand.mark(other, line.owner)
    _clean(hand, line)


def _between(hand: Hand, line: Line) -> float:
    """A mark between two circles, a little nearer to the right one."""
    *others, last = line.meant
    for bubble in others:
        hand.mark(bubble, line.owner)
    beside = min(_same_part(line, last), key=lambda b: abs(b.centre.x - last.centre.x))
    share = hand.rng.uniform(0.3, 0.44)
    x = last.centre.x + share * (beside.centre.x - last.centre.x)
    hand.mark_at((x, last.centre.y), line.radius * 0.85, line.owner, loose=False)
    return line.value


def _started(hand: Hand, line: Line) -> float:
    """A stroke or two in a wrong circle, noticed at once."""
    other, _ = _changed(hand, line)
    hand.mark_at(_spot(other), line.radius * 0.45, line.owner, 'dash', 0.9)
    return _clean(hand, line)


def _heavier(hand: Hand, line: Line) -> float:
    """Two marks of which the meant one is gone over until it is much the heavier."""
    other, new = _changed(hand, line)
    hand.mark(other, line.owner, press=0.75)
    _clean(hand, line)
    for _ in range(2):
        hand.mark(new, line.owner, 'scribble', 1.35)
    return line.value


def _other_style(hand: Hand, line: Line) -> float:
    """Marked, but not in this writer's usual way."""
    style = pick(hand.rng, rates.MARKS | {hand.writer.mark: 0.0})
    for bubble in line.meant:
        hand.mark(bubble, line.owner, style)
    return line.value


def _withdrawn(hand: Hand, line: Line) -> None:
    """Marked, crossed out, and left at that."""
    _clean(hand, line)
    hand.strike(_spot(line.meant[-1]), line.radius, line.owner, alone=True)


def _written(hand: Hand, line: Line) -> float:
    """A number at the end of the line in place of a mark."""
    _number(hand, line, _beside(hand, line))
    return line.value


def _restored(hand: Hand, line: Line) -> float:
    """Crossed out for another, which is crossed out in turn; the first is ringed again."""
    other, meant = _changed(hand, line)
    _clean(hand, line)
    hand.strike(_spot(meant), line.radius, line.owner)
    hand.mark(other, line.owner)
    hand.strike(_spot(other), line.radius, line.owner)
    hand.ring(_spot(meant), line.radius * 1.4, line.radius * 1.35, line.owner)
    return line.value


def _with_number(hand: Hand, line: Line) -> float:
    _clean(hand, line)
    return _written(hand, line)


_EVENTS: dict[str, Callable[[Hand, Line], float | None]] = {
    CLEAN: _clean,
    'corrected': _corrected,
    'erased': _erased,
    'double': _double,
    'blank': _blank,
    'between': _between,
    'started': _started,
    'heavier': _heavier,
    'other style': _other_style,
    'withdrawn': _withdrawn,
    'written': _written,
    'restored': _restored,
    'with number': _with_number,
}


def _spot(bubble: Bubble) -> tuple[float, float]:
    return bubble.centre.x, bubble.centre.y


def _same_part(line: Line, bubble: Bubble) -> list[Bubble]:
    return [b for b in line.row.bubbles if b.part == bubble.part and b != bubble]


def _changed(hand: Hand, line: Line) -> tuple[Bubble, Bubble]:
    """A wrong circle, mostly near, and the right one it is mistaken for."""
    new = line.meant[hand.rng.integers(len(line.meant))]
    others = _same_part(line, new)
    near = np.array([np.exp(-abs(b.centre.x - new.centre.x) / 8) for b in others])
    return others[hand.rng.choice(len(others), p=near / near.sum())], new


def _point_over(hand: Hand, line: Line, old: Bubble, new: Bubble) -> None:
    side = np.sign(new.centre.x - old.centre.x) * line.radius
    up = line.radius * hand.rng.uniform(-1.1, 1.1)
    hand.arrow(
        (old.centre.x + side, old.centre.y + up),
        (new.centre.x - side, new.centre.y + up),
        line.owner,
    )


def _beside(hand: Hand, line: Line) -> tuple[float, float]:
    last = line.row.bubbles[-1].centre
    return last.x + line.radius + hand.rng.uniform(0.8, 3.0), last.y + hand.rng.uniform(0.3, 1.4)


def _number(hand: Hand, line: Line, at: tuple[float, float]) -> None:
    rng, size = hand.rng, (1.5, hand.rng.uniform(2.6, 4.0))
    x = at[0]
    for character in letters.written(line.value, hand.writer.half):
        if character == '½':
            shape = letters.half(rng, (2.6, size[1]), hand.writer.slant)
        else:
            shape = letters.digit(rng, character, size, hand.writer.slant)
        hand.put(shape, (x, at[1] + 1 - size[1]), line.owner)
        x += 2.9 if character == '½' else 1.9
    if rng.random() < 0.3:
        hand.put(
            marks.ring(rng, x - at[0] + 0.4, size[1] * 0.8),
            ((at[0] + x) / 2, at[1] - 1),
            line.owner,
        )


def _short_word(hand: Hand) -> str:
    return ('no', 'non', 'err', 'not', 'nein', 'lapse', 'sorry')[hand.rng.integers(7)]
