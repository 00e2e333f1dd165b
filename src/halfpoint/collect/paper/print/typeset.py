"""Setting score sheets: the form once for each number of glasses, then pages upon it.

A form is drawn once and lies behind every page; pages are set some fifty at a time, which keeps
the compiler small and quick, and then joined.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import tempfile
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing, contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

import pypdfium2
import typst

from halfpoint.collect.paper.print.codes import codes_drawing, marks_drawing
from halfpoint.collect.paper.print.identity import spoken
from halfpoint.collect.paper.print.layout import PAPER_SIZES, Layout
from halfpoint.collect.paper.print.layout_file import layout_data
from halfpoint.collect.paper.print.pages import LONGEST, Page
from halfpoint.tasting.in_print import names_of_sheet, names_of_tasting
from halfpoint.tasting.model import Tasting
from halfpoint.typeface import FAMILY
from halfpoint.typeface.choosing import Typefaces, typefaces_for
from halfpoint.typeface.letters import one_line

Paper = Literal['a4', 'us-letter']
Progress = Callable[[int, int], None]
AT_ONCE = 50
INVENTED = "Invented for demonstration: no real wine, person or place"
LONGEST_LABEL = 90
_BY_CHANCE = re.compile(rb'(/ID\s*\[.{1,80})<[0-9A-F]{32}>\]', re.DOTALL)
_TRAILER = 400
_TEMPLATES = ('form.typ', 'pages.typ')


class Press:
    """Sets pages of one layout on one paper. Made by `press`."""

    def __init__(
        self, folder: Path, tasting: Tasting, layout: Layout, paper: Paper, typefaces: Typefaces
    ) -> None:
        self._folder = folder
        self._typefaces = typefaces
        self._tasting = tasting
        self._layout = layout
        self._paper = paper
        self._local = threading.local()
        self._lock = threading.Lock()

    def pdf(self, pages: Sequence[Page], progress: Progress = lambda _done, _all: None) -> bytes:
        """One PDF of all the pages, in their order; the same pages give the same bytes."""
        shares = [pages[at : at + AT_ONCE] for at in range(0, len(pages), AT_ONCE)]
        for page in pages:
            self._draw_form(len(page.glasses), spare=page.is_spare)
        with ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
            made = pool.map(self._set, shares)
            return _joined(_told(made, shares, progress))

    def form(self, glasses: int, *, spare: bool = False) -> bytes:
        """The empty form for so many glasses as a PDF of the frame alone."""
        return (self._folder / self._draw_form(glasses, spare=spare)).read_bytes()

    def _draw_form(self, glasses: int, *, spare: bool) -> str:
        """Draw the empty form for so many glasses, unless that was done; its file name."""
        name = f'form-{glasses}{"-spare" if spare else ""}.pdf'
        with self._lock:
            if not (self._folder / name).exists():
                layout = replace(self._layout, blocks=self._layout.blocks[:glasses])
                data = {
                    'layout': self._labels(layout_data(layout)),
                    'marks': marks_drawing(layout),
                    'spare': spare,
                    'family': FAMILY,
                    'beside': self._typefaces.rules,
                }
                (self._folder / name).write_bytes(self._compile('form.typ', data))
        return name

    def _set(self, pages: Sequence[Page]) -> bytes:
        width, height = PAPER_SIZES[self._paper]
        origin = self._layout.origins[self._paper]
        head = layout_data(self._layout)['head']
        blocks = [
            {'number': _plain(block.number), 'code': _plain(block.code)}
            for block in self._layout.blocks
        ]
        return self._compile(
            'pages.typ',
            {
                'family': FAMILY,
                'beside': self._typefaces.rules,
                'paper': {'width': width, 'height': height},
                'origin': {'x': origin.x, 'y': origin.y},
                'head': head,
                'blocks': blocks,
                'title': self._line(self._tasting.title),
                'invented': INVENTED if self._tasting.invented else '',
                'pages': [self._page(page) for page in pages],
            },
        )

    def _page(self, page: Page) -> dict[str, Any]:
        payload = page.identity.payload
        return {
            'form': self._draw_form(len(page.glasses), spare=page.is_spare),
            'codes': codes_drawing(self._layout.codes, payload),
            'identity': spoken(payload),
            'site': self._typefaces.checked(page.site),
            'seat': page.seat,
            'table': page.table,
            'taster': self._typefaces.checked(page.taster),
            'page': page.page,
            'glasses': [[glass.place, glass.code] for glass in page.glasses],
        }

    def _line(self, text: str) -> str:
        return self._typefaces.checked(one_line(text, LONGEST))

    def _labels(self, value: Any) -> Any:
        """All labels of a layout as they are set."""
        if isinstance(value, dict):
            return {name: self._labels(inner) for name, inner in value.items()}
        if isinstance(value, list):
            return [self._labels(inner) for inner in value]
        return self._line(value) if isinstance(value, str) and len(value) <= 60 else value

    def _compile(self, template: str, data: dict[str, Any]) -> bytes:
        said = json.dumps(data, ensure_ascii=False)
        made = self._compiler(template).compile(
            format='pdf', sys_inputs={'data': said}, pdf_tags=False, timestamp=0
        )
        if not isinstance(made, bytes):
            raise TypeError(template)
        return made

    def _compiler(self, template: str) -> typst.Compiler:
        """One for each template and thread: it keeps what it has read."""
        kept: dict[str, typst.Compiler] = self._local.__dict__.setdefault('compilers', {})
        if template not in kept:
            kept[template] = typst.Compiler(
                self._folder / template,
                root=self._folder,
                font_paths=self._typefaces.fonts,
                ignore_system_fonts=True,
            )
        return kept[template]


@contextmanager
def press(
    tasting: Tasting, layout: Layout, paper: Paper, typefaces: Typefaces | None = None
) -> Iterator[Press]:
    """What sets score sheets of a tasting on a paper; keeps the drawn forms while it is open.

    Without typefaces, those are found that have the letters; a text is refused with InputError
    when it is set and there are none.
    """
    with ExitStack() as opened:
        folder = Path(opened.enter_context(tempfile.TemporaryDirectory(prefix='halfpoint-')))
        for template in _TEMPLATES:
            text = Path(__file__).with_name(template).read_text(encoding='utf-8')
            (folder / template).write_text(text, encoding='utf-8')
        if typefaces is None:
            typefaces = opened.enter_context(typefaces_for(_texts(tasting), tasting.fonts))
        yield Press(folder, tasting, layout, paper, typefaces)


def _texts(tasting: Tasting) -> Iterator[str]:
    sites = [site.key for site in tasting.sites]
    tasters = [taster.key for taster in tasting.tasters]
    for named in (*names_of_tasting(tasting, sites, tasters), *names_of_sheet(tasting.sheet)):
        yield one_line(named.name, LONGEST)


def _told(
    made: Iterator[bytes], shares: Sequence[Sequence[Page]], progress: Progress
) -> Iterator[bytes]:
    done, pages = 0, sum(len(share) for share in shares)
    for pdf, share in zip(made, shares, strict=True):
        done += len(share)
        progress(done, pages)
        yield pdf


def _joined(parts: Iterator[bytes]) -> bytes:
    """One document of all the parts: the first, to which the others are added.

    A document of PDFium's own making would carry the time of day; what it saves has half
    an identifier by chance, which is made from the content instead.
    """
    with closing(pypdfium2.PdfDocument(next(parts))) as whole:
        for part in parts:
            with closing(pypdfium2.PdfDocument(part)) as document:
                whole.import_pages(document)
        written = io.BytesIO()
        whole.save(written)
    content, trailer = written.getvalue()[:-_TRAILER], written.getvalue()[-_TRAILER:]
    name = hashlib.sha256(content).hexdigest()[:32].upper().encode()
    return content + _BY_CHANCE.sub(rb'\1<' + name + rb'>]', trailer)


def _plain(area: Any) -> dict[str, float]:
    return {'left': area.left, 'top': area.top, 'width': area.width, 'height': area.height}
