"""What each room's bottle adds to or takes from its wine: a tick for each bottle."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from halfpoint.estimate.findings import BottleFinding
from halfpoint.publish.charts.drawing import (
    LABEL_WIDTH,
    WIDTH,
    Drawing,
    Frame,
    Rows,
    draw_row_labels,
    draw_ruler,
    fold,
    line,
    rows_for,
)
from halfpoint.publish.charts.ruler import ruler_over
from halfpoint.publish.palette import CARD, CLAY, GRID, INK, MOSS, SOFT

_ERRORS_APART = 3.0
_LABELLED_A_ROW = 2


def bottles_chart(
    bottles: Sequence[BottleFinding],
    wines: Sequence[str],
    least: float,
    suspected: Collection[tuple[str, str]] = (),
) -> Drawing:
    """A row a wine; bottles that stand apart (see `stands_apart`) are ringed and named.

    So are those `suspected`, by site and wine.
    """
    apart = [b for b in bottles if stands_apart(b, least) or (b.site, b.wine) in suspected]
    rows = rows_for(len(wines), tallest=26, room=600)
    frame = Frame(
        ruler_over([bottle.effect for bottle in bottles], around=0), LABEL_WIDTH + 8, WIDTH - 16
    )
    drawing = Drawing(rows.bottom + 46)
    draw_ruler(drawing, frame, rows.bottom + 2, rows.top)
    draw_row_labels(drawing, wines, rows, LABEL_WIDTH)
    _draw_ticks(drawing, bottles, apart, wines, rows, frame)
    _draw_ends(drawing, frame, rows)
    return drawing


def stands_apart(bottle: BottleFinding, least: float) -> bool:
    """Whether a bottle is `least` points and three standard errors away from its wine."""
    return abs(bottle.effect) >= max(least, _ERRORS_APART * bottle.se)


def _draw_ticks(
    drawing: Drawing,
    bottles: Sequence[BottleFinding],
    apart: Sequence[BottleFinding],
    wines: Sequence[str],
    rows: Rows,
    frame: Frame,
) -> None:
    place = {wine: row for row, wine in enumerate(wines)}
    reach = rows.height * 0.27
    apart = [bottle for bottle in apart if bottle.wine in place]
    usual = [bottle for bottle in bottles if bottle.wine in place and bottle not in apart]
    middles = [rows.middle(row) for row in range(len(wines))]
    zero = frame.at(0)
    drawing.lines([line(frame.left, y, frame.right, y) for y in middles], GRID, 1)
    drawing.lines([line(zero, rows.top, zero, rows.bottom)], SOFT, 1, strokeDash=[3, 3])
    ticks = []
    for bottle in usual:
        x, y = frame.at(bottle.effect), rows.middle(place[bottle.wine])
        ticks.append(line(x, y - reach, x, y + reach))
    drawing.lines(ticks, MOSS, 1.6, opacity=1 if len(ticks) <= 400 else 0.45)
    rings = [
        {'x': frame.at(bottle.effect), 'y': rows.middle(place[bottle.wine])} for bottle in apart
    ]
    drawing.dots(rings, size=min(90, rows.height * 4), shape='diamond', fill=CARD, stroke=CLAY,
               strokeWidth=2)  # fmt: skip
    _name_apart(drawing, apart, place, rows, frame)


def _name_apart(
    drawing: Drawing,
    apart: Sequence[BottleFinding],
    place: dict[str, int],
    rows: Rows,
    frame: Frame,
) -> None:
    named: dict[str, int] = {}
    size = min(11.0, rows.height * 0.8)
    for bottle in sorted(apart, key=lambda b: -abs(b.effect)):
        named[bottle.wine] = named.get(bottle.wine, 0) + 1
        if named[bottle.wine] > _LABELLED_A_ROW:
            continue
        inward = 1 if bottle.effect < 0 else -1
        x, y = frame.at(bottle.effect) + inward * 10, rows.middle(place[bottle.wine])
        text = fold(bottle.site, 24, 1)[0]
        drawing.words([{'x': x, 'y': y - size * 0.75, 'text': text}], size, INK,
                    'left' if inward > 0 else 'right', 600)  # fmt: skip


def _draw_ends(drawing: Drawing, frame: Frame, rows: Rows) -> None:
    y = rows.bottom + 40
    drawing.words([{'x': frame.left, 'y': y, 'text': "← less than the wine's other bottles"}], 11,
                SOFT)  # fmt: skip
    drawing.words([{'x': frame.right, 'y': y, 'text': "more →"}], 11, SOFT, 'right')
