"""Everything that is written on a straightened page."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.read.form_image import FormImage
from halfpoint.collect.paper.read.ink.amounts import Amounts, amounts_of
from halfpoint.collect.paper.read.ink.box_evidence import inked_boxes, usual_of
from halfpoint.collect.paper.read.ink.box_traits import box_traits
from halfpoint.collect.paper.read.ink.evidence import Evidence, evidence_of
from halfpoint.collect.paper.read.ink.ground import Ground, ground_of
from halfpoint.collect.paper.read.ink.habits import Habits, habits_of
from halfpoint.collect.paper.read.ink.lines import Decision, Lying, decide_line, is_weighed
from halfpoint.collect.paper.read.ink.lone import without_lone
from halfpoint.collect.paper.read.ink.outlines import outlines_of
from halfpoint.collect.paper.read.ink.pen import Pen, pen_of, pen_of_strokes
from halfpoint.collect.paper.read.ink.places import out_of_place
from halfpoint.collect.paper.read.ink.rings import is_ringed, ring_of, turns_of
from halfpoint.collect.paper.read.ink.shapes import shapes_in_boxes, shapes_in_circles
from halfpoint.collect.paper.read.ink.strokes import Strokes, strokes_of
from halfpoint.collect.paper.read.ink.targets import Targets
from halfpoint.collect.paper.read.ink.ticks import Ticked, decide_boxes
from halfpoint.collect.paper.read.ink.traits import traits_of
from halfpoint.collect.paper.read.ink.weigh import LEAST_CHANCE, box_trees, line_trees
from halfpoint.collect.paper.read.ink.words import lines_at_words
from halfpoint.collect.paper.read.tone import Tone

Floats = NDArray[np.float32]
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Marking:
    """The decisions of a page, run by run and box by box, and what they were made from.

    `traits` (runs, traits) are those of each run, `weighed` says which runs were left to them.
    `ink` is the darkness above what is printed, `FINE` pixels a millimetre, below 0 where lighter.
    """

    lines: tuple[Decision, ...]
    traits: Array
    weighed: tuple[bool, ...]
    boxes: tuple[Ticked, ...]
    box_traits: Array
    evidence: tuple[Evidence, ...]
    habits: Habits
    amounts: Amounts
    ground: Ground
    pen: Pen
    strokes: Strokes
    ink: Floats
    picture: bytes


def marking_of(tone: Tone, form: FormImage, targets: Targets, picture: bytes) -> Marking:
    """Decide every line and box of a page."""
    amounts = amounts_of(tone.dark, form.fine, targets)
    above = np.asarray(cv2.addWeighted(tone.dark, 1, form.fine, -amounts.printed, 0), np.float32)
    ground = ground_of(tone, form, above, targets)
    pen = pen_of(tone.dark, amounts, targets)
    coarse = np.asarray(
        cv2.resize(tone.dark, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA), np.float32
    )
    strokes = strokes_of(coarse, form, printed=amounts.printed, pen=pen.dark)
    coarse_above = np.asarray(
        cv2.addWeighted(coarse, 1, form.coarse, -amounts.printed, 0), np.float32
    )
    turns = turns_of(coarse_above, targets)
    ringed = is_ringed(turns, amounts, targets)
    if ringed or not pen.is_known:
        pen = pen_of_strokes(coarse, strokes, targets)
        strokes = strokes_of(coarse, form, printed=amounts.printed, pen=pen.dark)
    rings = [ring_of(turns, amounts, strokes, targets, run) for run in targets.runs]
    shapes = shapes_in_circles(above, targets)
    evidence = evidence_of(amounts, strokes, shapes, rings, targets, pen=pen.dark, ringed=ringed)
    habits = habits_of(evidence, pen, amounts.bubble_spread, ringed=ringed)
    misplaced = out_of_place(coarse, form, targets)
    spread = amounts.bubble_spread
    traits = traits_of(evidence, shapes, ground, pen, habits, spread)
    doubts = np.maximum(line_trees().chance(traits), LEAST_CHANCE)
    grounds = [
        Lying(float(ground.circles_around[e.run.first + e.top]), float(uneven), float(seen))
        for e, uneven, seen in zip(evidence, ground.runs_uneven, ground.runs_seen, strict=True)
    ]
    boxes = inked_boxes(strokes, targets)
    box_shapes = shapes_in_boxes(above, targets)
    outlines = outlines_of(above, amounts.printed, form, targets)
    told = box_traits(
        boxes, usual_of(boxes, strokes, targets), box_shapes, amounts,
        strokes, ground, pen, lines_at_words(coarse_above, targets), outlines, targets,
    )  # fmt: skip
    ticked = decide_boxes(
        boxes, box_trees().chance(told), box_shapes.lines, outlines, amounts, ground, pen
    )
    decided = tuple(
        Decision(None, 'place', 0.0, ())
        if wrong
        else decide_line(each, float(doubt), under, pen, habits, spread)
        for each, doubt, under, wrong in zip(evidence, doubts, grounds, misplaced, strict=True)
    )
    weighed = tuple(
        not wrong and is_weighed(each, under, pen, habits, spread)
        for each, under, wrong in zip(evidence, grounds, misplaced, strict=True)
    )
    return Marking(
        lines=without_lone(decided, targets.runs),
        traits=traits,
        weighed=weighed,
        boxes=ticked,
        box_traits=told,
        evidence=tuple(evidence),
        habits=habits,
        amounts=amounts,
        ground=ground,
        pen=pen,
        strokes=strokes,
        ink=above,
        picture=picture,
    )
