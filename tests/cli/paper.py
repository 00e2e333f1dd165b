"""Pages as if they had been read: an invented tasting with its plan, and a batch without reader."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw
from typer.testing import CliRunner

from halfpoint.cli._planned import recorded_plan
from halfpoint.cli._record import open_record
from halfpoint.cli.main import app
from halfpoint.collect.paper.print import form_of, lay_out, seat_pages, spare_pages
from halfpoint.collect.paper.print.pages import Page
from halfpoint.collect.paper.read.batch import PageDone
from halfpoint.collect.paper.read.expected import unlisted_taster
from halfpoint.collect.paper.read.file_pages import open_file
from halfpoint.collect.paper.read.model import Look, Outcome, PageReading, PourReading
from halfpoint.collect.paper.read.source import ScanFile
from halfpoint.errors import InputError
from halfpoint.ledger.replay import State, replay
from halfpoint.plan.model import Plan
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting

TASTING = """
[tasting]
key = "spring"
title = "Spring round (invented)"
invented = true
[plan]
seats = 3
capacity = 6
second_pours = 0
[[site]]
key = "north"
name = "North room"
[[site]]
key = "south"
name = "South room"
"""
WINES = ''.join(f'[[wine]]\nkey = "zq{n}"\nname = "Zq Ossel {n}"\n' for n in range(5))
MARKS = {'appearance': 3.0, 'aroma': 4.5, 'taste': 4.0, 'aftertaste': 2.0, 'overall': 1.5}


def make_tasting(folder: Path) -> None:
    """Write the tasting file and plan it: five wines, so two pages a seat, twelve in all."""
    (folder / 'spring.toml').write_text(TASTING + WINES, encoding='utf-8')
    ran('plan', folder / 'spring.toml', '--into', folder / 'plan')


def ran(*arguments: object, typed: str | None = None) -> str:
    """What the command says, where it ends well."""
    told = CliRunner().invoke(
        app, [str(each) for each in arguments], input=typed, catch_exceptions=False
    )
    assert 0 == told.exit_code, told.output
    return told.output


def tasting_in(folder: Path) -> Tasting:
    """The tasting in a folder."""
    return load_tasting(folder / 'spring.toml')


def state_of(tasting: Tasting) -> State:
    """How its record stands."""
    with open_record(tasting) as ledger:
        return replay(ledger.records())


def plan_of(tasting: Tasting) -> Plan:
    """The plan in its record."""
    plan = recorded_plan(state_of(tasting))
    assert plan is not None
    return plan


def printed(tasting: Tasting, *, spares: int = 0) -> list[Page]:
    """The pages that the plan prints, site by site, and spares of the first site."""
    plan = plan_of(tasting)
    form = form_of(lay_out(tasting.sheet, 4))
    sites = [site.key for site in tasting.sites]
    own = [
        page
        for site in sites
        for page in seat_pages(tasting, plan, site, wines_a_page=4, form=form)
    ]
    more = spare_pages(tasting, plan, sites[0], spares, wines_a_page=4, form=form)
    return [*own, *more]


def reading(page: Page, **changed: Any) -> PageReading:
    """A page on which every glass has the same marks; `changed` are fields of the reading."""
    identity = page.identity
    pours = tuple(
        PourReading(
            place=place,
            code=glass.code,
            position=int(glass.place) if glass.code else None,
            marks=dict(MARKS),
            confidence=dict.fromkeys(MARKS, 0.9999),
        )
        for place, glass in enumerate(page.glasses, 1)
    )
    seat = None if page.is_spare else identity.number
    made = PageReading(
        payload=identity.payload,
        site=identity.site,
        seat=seat,
        number=identity.number,
        sheet=identity.page,
        wines_a_page=identity.wines_a_page,
        taster='' if seat is None else unlisted_taster(identity.site, seat),
        pours=pours,
        picture=picture(identity.payload),
    )
    return replace(made, **changed)


def doubtful(page: PageReading, place: int, look: Look, **pour: Any) -> PageReading:
    """The page with something to look at in one block."""
    pours = list(page.pours)
    at = pours[place - 1]
    marks = {key: None if key == look.field else mark for key, mark in at.marks.items()}
    pours[place - 1] = replace(at, marks=marks, looks=(*at.looks, look), **pour)
    return replace(page, pours=tuple(pours))


def picture(text: str) -> bytes:
    """A kept picture, 950 × 1285 pixels, with a text on it so that no two are alike."""
    image = Image.new('L', (950, 1285), 250)
    ImageDraw.Draw(image).text((60, 60), text, fill=0)
    written = io.BytesIO()
    image.save(written, 'JPEG', quality=40)
    return written.getvalue()


def scan(path: Path, pages: int = 1, grey: int = 200) -> Path:
    """A file with so many plain pages; other greys are other files."""
    first, *others = [Image.new('L', (60, 80), grey - at % 100) for at in range(pages)]
    path.parent.mkdir(parents=True, exist_ok=True)
    first.save(path, **({'save_all': True, 'append_images': others} if others else {}))
    return path


@dataclass
class Unread:
    """A batch that opens files for real, and takes what is on their pages from a table.

    `looked_at` are the pages it was asked for; after `stops_after` it is interrupted.
    """

    outcomes: Mapping[tuple[str, int], Outcome]
    stops_after: int | None = None
    looked_at: list[tuple[str, int]] = field(default_factory=list)

    def __enter__(self) -> Unread:
        return self

    def __exit__(self, *exc: object) -> None: ...

    def __call__(self, tasting: Tasting, plan: Plan, *, workers: int | None = None) -> Unread:
        """Stand in for `batch_for`."""
        return self

    def read(
        self,
        paths: Sequence[Path],
        *,
        wanted: Callable[[ScanFile], Sequence[int]],
        refused: Callable[[Path, InputError], None],
    ) -> Iterator[PageDone]:
        """As `Batch.read`."""
        for path in paths:
            opened = open_file(path)
            if isinstance(opened, InputError):
                refused(path, opened)
                continue
            for page in wanted(opened):
                if len(self.looked_at) == self.stops_after:
                    raise KeyboardInterrupt
                self.looked_at.append((opened.name, page))
                yield PageDone(opened, page, self.outcomes[opened.name, page])
