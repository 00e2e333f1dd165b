"""Printed pages nobody has written on yet, as pixels, made once and filled in many times."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from itertools import chain, islice, zip_longest

import numpy as np
import pypdfium2
from numpy.typing import NDArray

from halfpoint.collect.paper.print import form_of, numbered_sites, seat_pages, spare_pages
from halfpoint.collect.paper.print.layout import Layout, Point
from halfpoint.collect.paper.print.pages import Page
from halfpoint.collect.paper.print.typeset import Paper, press
from halfpoint.plan.model import Plan
from halfpoint.tasting.model import Tasting

# Pixels to a millimetre: 254 dpi, finer than an ordinary scan and close to a good photograph.
WORKING_SCALE = 10.0


@dataclass(frozen=True, slots=True)
class Raster:
    """A printed page: grey (height, width), `scale` pixels to a millimetre.

    `origin` is where the frame begins on the paper, in millimetres.
    """

    image: NDArray[np.uint8]
    scale: float
    origin: Point
    page: Page

    @property
    def dpi(self) -> float:
        """Dots per inch."""
        return self.scale * 25.4


def blanks(
    tasting: Tasting,
    plan: Plan,
    layout: Layout,
    *,
    count: int = 24,
    spares: int = 0,
    paper: Paper = 'a4',
    scale: float = WORKING_SCALE,
) -> tuple[Raster, ...]:
    """Pages of seats, taken from all sites in turn, then spares of the first site."""
    form = form_of(layout)
    sites = list(numbered_sites(tasting, plan))
    wines = layout.wines_a_page
    own = [
        islice(seat_pages(tasting, plan, site, wines_a_page=wines, form=form), count)
        for site in sites
    ]
    mixed = [page for page in chain.from_iterable(zip_longest(*own)) if page is not None]
    more = spare_pages(tasting, plan, sites[0], spares, wines_a_page=wines, form=form)
    pages = [*mixed[:count], *more]
    with press(tasting, layout, paper) as ours:
        pdf = ours.pdf(pages)
    origin = layout.origins[paper]
    images = pixels(pdf, scale)
    return tuple(
        Raster(image, scale, origin, page) for image, page in zip(images, pages, strict=True)
    )


def pixels(pdf: bytes, scale: float) -> Iterator[NDArray[np.uint8]]:
    """Each page of a PDF, grey."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        for page in document:
            image = page.render(scale=scale * 25.4 / 72, grayscale=True).to_numpy()
            yield np.ascontiguousarray(image.reshape(image.shape[:2]), np.uint8)
