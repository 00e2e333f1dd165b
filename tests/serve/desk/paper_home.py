"""A real score sheet on its way: printed by the server, filled in, photographed, handed in."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from tests.serve.conftest import Evening

from halfpoint.collect.paper.print import form_of, lay_out, seat_pages
from halfpoint.collect.paper.print.layout import Layout
from halfpoint.demo.paper import Filled, Raster, draw_writer, fill, photograph
from halfpoint.demo.paper.printed import WORKING_SCALE, pixels

WINES = 4
# A hand and a camera; any will do in which nothing was left blank.
SEED = 11


@dataclass(frozen=True)
class Home:
    """A server that a host has sent one page, and what was meant on it.

    `doubtful` are the rows, as block and category, in which two circles are filled.
    """

    evening: Evening
    filled: Filled
    photograph: bytes
    doubtful: tuple[tuple[int, str], ...]
    told: dict[str, Any]

    def meant(self, place: int) -> dict[str, float | None]:
        """The marks that the writer meant for a glass."""
        return {row.category: row.value for row in self.filled.blocks[place - 1].rows}


def come_home(evening: Evening) -> Home:
    """Print the first sheet of the mill, fill it in, make two rows doubtful, and hand it in."""
    layout = lay_out(evening.tasting.sheet, WINES)
    rng = np.random.default_rng(SEED)
    sheet = evening.tasting.sheet
    filled = fill(rng, layout, _printed(evening, layout), sheet, draw_writer(rng))
    doubtful = tuple(_spoilt(filled, layout, place) for place in (1, 2))
    taken = photograph(rng, filled, 'photo-5mp').encoded
    return Home(evening, filled, taken, doubtful, hand_in(evening, taken))


def hand_in(evening: Evening, photograph: bytes, site: str = 'mill') -> dict[str, Any]:
    """Hand a photograph in as the host, and wait for what is told of it."""
    headers = evening.host(site)
    files = [('files', ('IMG_0001.jpg', photograph))]
    answer = evening.client.post('/api/site/photos', files=files, headers=headers)
    assert 200 == answer.status_code, answer.text
    until = time.monotonic() + 300
    while True:
        path = f'/api/site/photos/{answer.json()["batch"]}'
        told = evening.client.get(path, headers=headers).json()
        if told['state'] in {'done', 'stopped'}:
            return told
        assert time.monotonic() < until, told
        time.sleep(0.1)


def _printed(evening: Evening, layout: Layout) -> Raster:
    asked = {'site': 'mill', 'wines_a_page': WINES}
    answer = evening.client.get('/api/desk/sheets.pdf', params=asked, headers=evening.log_in())
    assert 200 == answer.status_code, answer.text
    tasting, plan = evening.tasting, evening.plan
    page = next(seat_pages(tasting, plan, 'mill', wines_a_page=WINES, form=form_of(layout)))
    image = next(pixels(answer.content, WORKING_SCALE))
    return Raster(image, WORKING_SCALE, layout.origins['a4'], page)


def _spoilt(filled: Filled, layout: Layout, place: int) -> tuple[int, str]:
    """Two circles of a row filled alike, as by somebody who changed their mind."""
    row = max(layout.blocks[place - 1].rows, key=lambda row: len(row.bubbles))
    origin = layout.origins['a4']
    for bubble in (row.bubbles[1], row.bubbles[-2]):
        x, y = origin.x + bubble.centre.x, origin.y + bubble.centre.y
        centre = round(x * WORKING_SCALE), round(y * WORKING_SCALE)
        cv2.circle(filled.image, centre, round(bubble.diameter / 2 * WORKING_SCALE), 40, -1)
    return place, row.category
