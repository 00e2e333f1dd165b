"""A page beside what was read on it."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from halfpoint.collect.paper.print import lay_out
from halfpoint.publish.second_look import SCALE, PageShown, PourShown, bubbles_of, second_look
from halfpoint.sheet.form import Sheet
from halfpoint.sheet.load import load_sheet

HUNDRED = Sheet.model_validate(
    {
        'key': 'hundred',
        'label': 'Hundred',
        'category': [{'key': 'whole', 'label': 'Whole', 'top': 100, 'step': 1, 'lowest': 50}],
    }
)


@pytest.mark.parametrize('mark', [50.0, 58.0, 79.0, 100.0])
def test_the_circles_of_a_long_scale_add_up_to_the_mark(mark: float) -> None:
    """A mark on two runs is ringed on both, and nothing else is."""
    (row,) = lay_out(HUNDRED, 4).blocks[0].rows
    chosen = list(bubbles_of(row, mark))
    assert mark == sum(bubble.adds for bubble in chosen)
    assert sorted({bubble.part for bubble in row.bubbles}) == sorted(b.part for b in chosen)


def test_nothing_is_ringed_where_no_mark_is() -> None:
    """Neither without a mark nor at one that the line does not have."""
    (row,) = lay_out(HUNDRED, 4).blocks[0].rows
    assert [] == [*bubbles_of(row, None), *bubbles_of(row, 50.5)]


def test_a_ring_is_around_the_circle_that_was_read() -> None:
    """The ring's colour lies just outside the circle of 4½ aroma, and not around 4."""
    sheet = load_sheet('twenty-point')
    layout = lay_out(sheet, 4)
    blank = io.BytesIO()
    Image.new('L', (950, 1285), 255).save(blank, 'JPEG')
    pour = PourShown(1, '635', {'aroma': 4.5}, frozenset({('fault', 'corked')}))
    png = second_look(PageShown("1 of 1", blank.getvalue(), layout, [pour]), sheet)

    with Image.open(io.BytesIO(png)) as shown:
        row = next(row for row in layout.blocks[0].rows if row.category == 'aroma')
        reach = row.bubbles[0].diameter / 2 + 0.5
        colours = {
            bubble.text: shown.getpixel(
                (
                    round((bubble.centre.x + 6) * SCALE),
                    round((bubble.centre.y - reach + 14) * SCALE),
                )
            )
            for bubble in row.bubbles
        }
    assert {'4½'} == {text for text, colour in colours.items() if colour != (255, 255, 255)}
