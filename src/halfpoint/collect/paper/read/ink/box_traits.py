"""What is told of a box to the one that weighs it: numbers, each with a name."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.ink.amounts import Amounts
from halfpoint.collect.paper.read.ink.box_evidence import Inked, Usual, beyond
from halfpoint.collect.paper.read.ink.ground import Ground
from halfpoint.collect.paper.read.ink.pen import Pen
from halfpoint.collect.paper.read.ink.shapes import Shapes
from halfpoint.collect.paper.read.ink.strokes import Strokes
from halfpoint.collect.paper.read.ink.targets import Targets
from halfpoint.collect.paper.read.middle import median, quantile

Array = NDArray[np.float64]
_LEAST = 0.05
_NONE = 1.0
# Lines that stand out so far, in spreads of empty boxes, may be ticks, and are plain ones; this
# quantile of the plain ones is a weak tick, as a share of the pen where there is none.
_SOME, _PLAIN, _FAINTER = 3.0, 12.0, 0.15
_WEAK, _MOST_SPREADS = 0.3, 99.0


def box_traits(
    boxes: Sequence[Inked],
    usual: Usual,
    shapes: Shapes,
    amounts: Amounts,
    strokes: Strokes,
    ground: Ground,
    pen: Pen,
    words: Array,
    outlines: Array,
    targets: Targets,
) -> Array:
    """The traits of boxes, (boxes, traits), in the order of `BOX_TRAITS`."""
    if not boxes:
        return np.zeros((0, len(BOX_TRAITS)))
    told = {
        **_ink(amounts, shapes, pen),
        **_against_usual(boxes, usual, shapes, amounts),
        **_strokes(boxes, usual, strokes, targets),
        **_surroundings(boxes, strokes, ground, pen, targets),
        **_outlines(outlines, ground),
        **_page(boxes, shapes, amounts, ground, pen),
        'line above the word': words[:, 0],
        'line below the word': words[:, 1],
    }
    count = len(boxes)
    return np.stack([np.broadcast_to(told[name], count) for name in BOX_TRAITS], axis=1)


def _ink(amounts: Amounts, shapes: Shapes, pen: Pen) -> dict[str, Array | float]:
    dark = max(pen.dark, _LEAST)
    sharp = amounts.box_sharpness
    return {
        'ink': amounts.boxes,
        'ink, against the pen': amounts.boxes / dark,
        'ink, against empty boxes': amounts.boxes / amounts.box_spread,
        'sharpness': sharp,
        'sharpness, against the pen': sharp / dark,
        'line': shapes.line,
        'line, against the pen': shapes.line / dark,
        'line, against empty boxes': shapes.lines,
        'line across, against the pen': shapes.across / dark,
        'blot, against the pen': shapes.blot / dark,
        'blot, against empty boxes': shapes.blots,
        'lightest, against the pen': shapes.light / dark,
        'darkest, against the pen': shapes.dark / dark,
        'lightest, against the darkest': shapes.light / np.maximum(shapes.dark, 0.02),
        'pen': pen.dark,
        'usual mark, against the pen': pen.amount / dark,
        'sure marks on the page': float(pen.marks),
        'spread of empty boxes': amounts.box_spread,
        'spread of lines in empty boxes': shapes.line_spread,
    }


def _against_usual(
    boxes: Sequence[Inked], usual: Usual, shapes: Shapes, amounts: Amounts
) -> dict[str, Array | float]:
    """Against the page's plain ticks, where there are enough of them."""
    sure = np.array([box.is_home for box in boxes])
    if not usual.count:
        sure = np.zeros(len(boxes), bool)

    def against(values: Array) -> Array | float:
        if not sure.any():
            return _NONE
        return np.asarray(values / max(median(values[sure]), 0.01), float)

    return {
        'ink, against the usual tick': against(amounts.boxes),
        'line, against the usual tick': against(shapes.line),
        'lightest, against the usual tick': against(shapes.light - shapes.light.min() + 0.02),
        'darkest, against the usual tick': against(shapes.dark),
        'usual ink of ticks': median(amounts.boxes[sure]) if sure.any() else 0.0,
        'usual ticks': float(usual.count),
    }


def _strokes(
    boxes: Sequence[Inked], usual: Usual, strokes: Strokes, targets: Targets
) -> dict[str, Array | float]:
    inside = np.array([box.stroke for box in boxes])
    mains = np.array([box.main for box in boxes])
    drawn = mains > 0
    main_inside = np.array([box.strokes.get(box.main, 0.0) for box in boxes])
    size = np.where(drawn, strokes.areas[mains], 0.0)
    out = np.array([beyond(strokes, n, c) for n, c in zip(mains, targets.corners, strict=True)])
    out = np.where(drawn[:, None], out, -_NONE)
    left, up, right, down = out.T
    others = np.array([box.others for box in boxes])
    return {
        'strokes inside': inside,
        'strokes inside, against the usual tick': (inside + 0.2) / (usual.stroke + 0.2),
        'main stroke': size,
        'main stroke, against the usual tick': (size + 0.3) / (usual.size + 0.3),
        'main stroke, share inside': main_inside / np.maximum(size, _LEAST),
        'main stroke, part in another box': others / np.maximum(main_inside, _LEAST),
        'boxes with the main stroke': np.array([box.boxes for box in boxes], float),
        'pieces': np.array([len(box.strokes) for box in boxes], float),
        'left': left,
        'up': up,
        'right': right,
        'down': down,
        'left, beyond the usual': left - usual.beyond[0],
        'up, beyond the usual': up - usual.beyond[1],
        'right, beyond the usual': right - usual.beyond[2],
        'down, beyond the usual': down - usual.beyond[3],
        'usual stroke of ticks': usual.stroke,
        'usual size of ticks': usual.size,
    }


def _surroundings(
    boxes: Sequence[Inked], strokes: Strokes, ground: Ground, pen: Pen, targets: Targets
) -> dict[str, Array | float]:
    middles = (targets.corners[:, :2] + targets.corners[:, 2:]) / 2
    least = np.array([strokes.least_at(x, y) for x, y in middles])
    before, above, after, below = np.array([box.beside for box in boxes]).T
    return {
        'ink around the word': np.array([box.word for box in boxes]),
        'ink before': before,
        'ink above': above,
        'ink after': after,
        'ink below': below,
        'print seen': ground.boxes_seen,
        'paper uneven': ground.boxes_uneven,
        'ground': ground.boxes_around,
        'ground, against the pen': ground.boxes_around / max(pen.dark, _LEAST),
        'lightest stroke, against the pen': least / max(pen.dark, _LEAST),
    }


def _outlines(outlines: Array, ground: Ground) -> dict[str, Array]:
    """What glare and fading leave of the print."""
    sides = np.sort(outlines, axis=1)
    return {
        'outline': quantile(sides, 0.5),
        'faintest side': sides[:, 0],
        'next to faintest side': sides[:, 1],
        'darkest side': sides[:, 3],
        'paper': ground.boxes_light,
        'paper, against the usual': ground.boxes_light / median(ground.boxes_light),
    }


def _page(
    boxes: Sequence[Inked], shapes: Shapes, amounts: Amounts, ground: Ground, pen: Pen
) -> dict[str, Array | float]:
    """How plainly this page's ticks are drawn, and how well it is seen."""
    plain = shapes.lines > _PLAIN
    some = shapes.lines > _SOME
    bare = np.array([not box.strokes for box in boxes])
    dark = max(pen.dark, _LEAST)
    weak = _WEAK * dark
    weak_spreads = _MOST_SPREADS
    if plain.any():
        weak = float(quantile(shapes.line[plain], _FAINTER))
        weak_spreads = float(quantile(shapes.lines[plain], _FAINTER))
    return {
        'faint lines on the page': float((bare & some).sum()),
        'light lines on the page': float((some & ~plain).sum()),
        'plain lines on the page': float(plain.sum()),
        'weak line, against the pen': weak / dark,
        'weak line, against empty boxes': weak_spreads,
        'line, against the weak line': shapes.line / weak,
        'pen, against lines in empty boxes': dark / shapes.line_spread,
        'print seen on the page': median(ground.boxes_seen),
        'print seen where least': float(quantile(ground.boxes_seen, 0.1)),
        'usual sharpness': median(amounts.box_sharpness),
    }


BOX_TRAITS: tuple[str, ...] = (
    'ink',
    'ink, against the pen',
    'ink, against empty boxes',
    'sharpness',
    'sharpness, against the pen',
    'line',
    'line, against the pen',
    'line, against empty boxes',
    'line across, against the pen',
    'blot, against the pen',
    'blot, against empty boxes',
    'lightest, against the pen',
    'darkest, against the pen',
    'lightest, against the darkest',
    'pen',
    'usual mark, against the pen',
    'sure marks on the page',
    'spread of empty boxes',
    'spread of lines in empty boxes',
    'ink, against the usual tick',
    'line, against the usual tick',
    'lightest, against the usual tick',
    'darkest, against the usual tick',
    'usual ink of ticks',
    'usual ticks',
    'strokes inside',
    'strokes inside, against the usual tick',
    'main stroke',
    'main stroke, against the usual tick',
    'main stroke, share inside',
    'main stroke, part in another box',
    'boxes with the main stroke',
    'pieces',
    'left',
    'up',
    'right',
    'down',
    'left, beyond the usual',
    'up, beyond the usual',
    'right, beyond the usual',
    'down, beyond the usual',
    'usual stroke of ticks',
    'usual size of ticks',
    'ink around the word',
    'line above the word',
    'line below the word',
    'ink before',
    'ink above',
    'ink after',
    'ink below',
    'print seen',
    'paper uneven',
    'ground',
    'ground, against the pen',
    'lightest stroke, against the pen',
    # The trees that are kept were taught before the following were told; the next will use them.
    'outline',
    'faintest side',
    'next to faintest side',
    'darkest side',
    'paper',
    'paper, against the usual',
    'faint lines on the page',
    'light lines on the page',
    'plain lines on the page',
    'weak line, against the pen',
    'weak line, against empty boxes',
    'line, against the weak line',
    'pen, against lines in empty boxes',
    'print seen on the page',
    'print seen where least',
    'usual sharpness',
)
