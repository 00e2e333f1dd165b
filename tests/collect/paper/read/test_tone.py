"""How dark a page is: uneven light, grey paper and weak toner cancel out."""

from __future__ import annotations

from functools import cache

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.collect.paper.read.pages import room

from halfpoint.collect.paper.print.layout import FRAME_HEIGHT, FRAME_WIDTH
from halfpoint.collect.paper.read.form_image import FormImage, form_image
from halfpoint.collect.paper.read.ink.targets import targets_of
from halfpoint.collect.paper.read.scale import COARSE, FINE, MARGIN
from halfpoint.collect.paper.read.tone import tone_of

Pixels = NDArray[np.uint8]


@cache
def form(glasses: int = 4, spare: bool = False) -> FormImage:
    """The printed form."""
    return form_image(room().tasting, room().layout, glasses, spare=spare)


@cache
def page() -> Pixels:
    """The form as a straightened page, with a grey disc on one bubble."""
    grey = (255 * (1 - form().fine)).astype(np.uint8)
    x, y = targets_of(room().layout, 4).centres[20]
    rows, columns = np.ogrid[: grey.shape[0], : grey.shape[1]]
    away = np.hypot(columns - (x + MARGIN) * FINE + 0.5, rows - (y + MARGIN) * FINE + 0.5)
    grey[away < 1.6 * FINE] = 100
    return grey


def around(glass: int) -> tuple[slice, slice]:
    """Where a glass lies in the fine image."""
    area = room().layout.blocks[glass - 1].area
    top, bottom = (round((edge + MARGIN) * FINE) for edge in (area.top, area.bottom))
    left, right = (round((edge + MARGIN) * FINE) for edge in (area.left, area.right))
    return slice(top, bottom), slice(left, right)


def test_the_form_is_the_printed_page_without_what_differs() -> None:
    """Against a page from the press: the same print in every glass, 0 paper to 1 black."""
    fine, coarse = form().fine, form().coarse
    assert round((FRAME_HEIGHT + 2 * MARGIN) * FINE) == fine.shape[0]
    assert round((FRAME_WIDTH + 2 * MARGIN) * FINE) == fine.shape[1]
    assert (fine.shape[0] * COARSE / FINE, fine.shape[1] * COARSE / FINE) == coarse.shape
    assert fine.min() >= 0
    assert fine.max() <= 1
    # A whole page of A4, on as many pixels a millimetre; pdfium has drawn it a pixel higher.
    paper = cv2.resize(room().pages[0].image, (210 * 8, 297 * 8), interpolation=cv2.INTER_AREA)
    origin = room().pages[0].origin
    top, left = (round((edge - MARGIN) * FINE) for edge in (origin.y, origin.x))
    printed = 1 - paper[top:, left:][: fine.shape[0], : fine.shape[1]].astype(float) / 255
    for glass in (1, 4):
        part = around(glass)
        assert np.corrcoef(printed[part].ravel(), fine[part].ravel())[0, 1] > 0.85


def test_fewer_glasses_are_fewer_blocks() -> None:
    """A page of two glasses has nothing printed where the third would be."""
    assert form(2).fine[around(2)].mean() > 0.02
    assert 0 == form(2).fine[around(3)].max()
    assert form(4).fine[around(3)].mean() > 0.02


def test_darkness_is_nothing_on_paper_and_one_on_the_squares() -> None:
    """Black is what the side squares are; a disc of grey lies between."""
    tone = tone_of(page(), room().layout)
    assert tone.contrast == pytest.approx(1, abs=0.02)
    assert np.median(tone.dark) == pytest.approx(0, abs=0.01)
    area = room().layout.side_marks[3]
    x, y = (round((edge + 1.5 + MARGIN) * FINE) for edge in (area.left, area.top))
    assert tone.dark[y, x] == pytest.approx(1, abs=0.02)
    x, y = (round((at + MARGIN) * FINE) for at in targets_of(room().layout, 4).centres[20])
    assert tone.dark[y, x] == pytest.approx(1 - 100 / 255, abs=0.02)


@pytest.mark.parametrize('light', ['falling', 'spot', 'dim'])
def test_uneven_light_cancels_out(light: str) -> None:
    """Whatever smooth light falls on the page, ink is as dark as before."""
    height, width = page().shape
    y, x = np.mgrid[0 : 1 : height * 1j, 0 : 1 : width * 1j]
    lit = {
        'falling': 1 - 0.45 * x,
        'spot': 0.55 + 0.45 * np.exp(-8 * ((x - 0.3) ** 2 + (y - 0.6) ** 2)),
        'dim': np.full_like(x, 0.6),
    }[light]
    plain = tone_of(page(), room().layout)
    uneven = tone_of((page() * lit).astype(np.uint8), room().layout)
    assert np.abs(plain.dark - uneven.dark)[around(2)].mean() < 0.01
    assert np.quantile(np.abs(plain.dark - uneven.dark), 0.99) < 0.06
    # The paper found is the light itself.
    small = (255 * lit)[2::4, 2::4]
    assert np.median(np.abs(uneven.paper / small[: len(uneven.paper)] - 1)) < 0.03


def test_weak_toner_is_still_black() -> None:
    """A page printed at half the blackness has the same darkness, and half the contrast."""
    weak = (255 - (255 - page().astype(float)) / 2).astype(np.uint8)
    plain, tone = (tone_of(each, room().layout) for each in (page(), weak))
    assert plain.contrast / 2 == pytest.approx(tone.contrast, abs=0.02)
    assert np.quantile(np.abs(plain.dark - tone.dark), 0.99) < 0.05
