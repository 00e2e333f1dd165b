"""Reading one page: a picture in, a reading or the reason for none out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from halfpoint.collect.paper.print.layout import Layout
from halfpoint.collect.paper.read.assemble import assemble
from halfpoint.collect.paper.read.expected import PlannedPage, PlannedPages
from halfpoint.collect.paper.read.form_image import FormImage, form_image
from halfpoint.collect.paper.read.found import Found, find_page
from halfpoint.collect.paper.read.ink.marking import Marking, marking_of
from halfpoint.collect.paper.read.ink.targets import Targets, targets_of
from halfpoint.collect.paper.read.kept import kept_picture
from halfpoint.collect.paper.read.model import HeldPage, PageReading
from halfpoint.collect.paper.read.register.patches import Patches, patches_of
from halfpoint.collect.paper.read.register.placement import lay_flat
from halfpoint.collect.paper.read.register.straighten import straighten
from halfpoint.collect.paper.read.scale import FINE
from halfpoint.collect.paper.read.source import Picture
from halfpoint.collect.paper.read.tone import tone_of
from halfpoint.tasting.model import Tasting

READER = '1'
# Below this the form is not where it should be; measured on flat pages it is above 0.8.
_LEAST_LIKENESS, _MOST_SPREAD = 0.4, 0.1
# Pages printed with the last of the toner are read well down to here.
_LEAST_CONTRAST = 0.2


@dataclass(frozen=True)
class Form:
    """A form with all that is worked out from it once."""

    layout: Layout
    image: FormImage
    patches: Patches
    targets: Targets


class PageReader:
    """Reads pages of one tasting. Not for several threads at once.

    `watch` is told what each page was decided from, for tools that teach or measure.
    """

    def __init__(
        self,
        planned: PlannedPages,
        tasting: Tasting,
        watch: Callable[[Marking], object] = lambda _marking: None,
    ) -> None:
        self._watch = watch
        self._planned = planned
        self._tasting = tasting
        self._forms: dict[tuple[int, int, bool], Form] = {}

    def read(self, picture: Picture) -> PageReading | HeldPage:
        """Read one page."""
        if picture.bilevel:
            return black_and_white()
        found = find_page(picture.pixels, self._planned, self._any_layout)
        if isinstance(found, HeldPage):
            return found
        marking = self._marking(picture.pixels, found)
        if isinstance(marking, HeldPage):
            return marking
        self._watch(marking)
        form = self._form(found.page)
        return assemble(found.page, form.targets, marking, self._tasting.sheet)

    def _marking(self, pixels: NDArray[np.uint8], found: Found) -> Marking | HeldPage:
        """What is marked on the page, once it is laid flat."""
        form = self._form(found.page)
        straight = straighten(pixels, found.placement, form.image, form.patches)
        if straight.likeness < _LEAST_LIKENESS or straight.spread > _MOST_SPREAD:
            return _bent()
        page = lay_flat(pixels, straight.placement, FINE)
        tone = tone_of(page, form.layout)
        if tone.contrast < _LEAST_CONTRAST:
            return _pale()
        return marking_of(tone, form.image, form.targets, kept_picture(page))

    def _form(self, page: PlannedPage) -> Form:
        key = (page.layout.wines_a_page, len(page.glasses), page.is_spare)
        if key not in self._forms:
            _, glasses, spare = key
            self._forms[key] = Form(
                page.layout,
                form_image(self._tasting, page.layout, glasses, spare=spare),
                patches_of(page.layout, glasses),
                targets_of(page.layout, glasses),
            )
        return self._forms[key]

    @cached_property
    def _any_layout(self) -> Layout:
        found = (self._planned.layout(wines) for wines in (4, 3, 5))
        return next(made[0] for made in found if made is not None)


def black_and_white() -> HeldPage:
    """The refusal of a scan without greys."""
    return HeldPage(
        'black-and-white',
        "a picture in black and white only, in which pencil and light pens vanish",
        "a scan in grey or colour, 150 to 300 dpi",
        "set the scanner to grey (it may be called greyscale, or 8 bit) and scan again",
    )


def _bent() -> HeldPage:
    return HeldPage(
        'bent',
        "a page so bent or covered that its lines cannot be told apart",
        "a page that lies nearly flat, all of it in view",
        "flatten it and scan or photograph it again, or enter it by hand",
    )


def _pale() -> HeldPage:
    return HeldPage(
        'pale',
        "a picture so pale that print and paper can hardly be told apart",
        "black print on white paper",
        "scan it again, darker; or photograph it in better light",
    )
