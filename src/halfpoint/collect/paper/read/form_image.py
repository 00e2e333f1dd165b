"""The empty form as an image, to hold a page against."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass

import cv2
import numpy as np
import pypdfium2
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import FRAME_HEIGHT, FRAME_WIDTH, Layout
from halfpoint.collect.paper.print.typeset import press
from halfpoint.collect.paper.read.scale import FINE, MARGIN
from halfpoint.tasting.model import Tasting

Floats = NDArray[np.float32]
_POINTS_PER_MM = 72 / 25.4


@dataclass(frozen=True, slots=True, eq=False)
class FormImage:
    """How dark the printed form is: 0 paper to 1 black.

    `fine` has `FINE` pixels per millimetre, `coarse` half as many; both show the frame with
    `MARGIN` millimetres around it.
    """

    fine: Floats
    coarse: Floats


def form_image(tasting: Tasting, layout: Layout, glasses: int, *, spare: bool) -> FormImage:
    """The form for so many glasses as it is printed, without what differs from page to page."""
    with press(tasting, layout, 'a4') as ours:
        pdf = ours.form(glasses, spare=spare)
    with (
        closing(pypdfium2.PdfDocument(pdf)) as document,
        closing(document[0]) as page,
        closing(page.render(scale=FINE / _POINTS_PER_MM, grayscale=True)) as bitmap,
    ):
        grey = np.array(bitmap.to_numpy()).reshape(bitmap.height, bitmap.width)
    size = (round(FRAME_WIDTH * FINE), round(FRAME_HEIGHT * FINE))
    if (grey.shape[1], grey.shape[0]) != size:
        grey = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    border = round(MARGIN * FINE)
    dark = 1 - grey.astype(np.float32) / 255
    fine = cv2.copyMakeBorder(dark, border, border, border, border, cv2.BORDER_CONSTANT, value=0)
    coarse = cv2.resize(fine, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    return FormImage(np.asarray(fine, np.float32), np.asarray(coarse, np.float32))
