"""`halfpoint read` on one PDF of many scans, every page of another seat: speed and memory."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable
from functools import partial
from itertools import islice
from pathlib import Path

import cv2

from halfpoint.collect.paper.print.pages import Page
from halfpoint.collect.paper.read.pool import Failure
from halfpoint.demo.paper import simulate
from measure.figures import describe, machine, print_table
from measure.paper_desk import in_processes
from measure.paper_frozen import BUILD, frozen
from measure.paper_kept import keep_longest
from measure.paper_pdf import ScannedPdf
from measure.paper_room import Room, Size, planned_room, state_of, tasting_file
from measure.paper_watch import Watched, watch
from measure.runs import HALFPOINT, run

DPI, STYLE = 200, 'scan-200'
SEATS, WINES, WINES_A_PAGE = 25, 8, 4
SHEETS_A_SITE = SEATS * WINES // WINES_A_PAGE
LEAST_SPEED = 15.0
# Flat: the last third of the time takes at most so much more than what came before.
MOST_GROWTH, SLACK_BYTES = 0.1, 32e6
_AT_ONCE = 20
KINDS = {'parent': 'parent', 'worker': 'largest worker', 'together': 'all together'}

Share = tuple[int, list[Page]]


def time_reading(pages: int, first_seed: int) -> int:
    """Measure, print, keep; 1 when slower than meant, memory grows, or a page went missing."""
    on, of = machine(), frozen()
    BUILD.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=BUILD) as name:
        folder = Path(name)
        size = Size(math.ceil(pages / SHEETS_A_SITE), SEATS, WINES)
        file = str(tasting_file(folder, size))
        run([HALFPOINT, 'plan', file, '--into', str(folder / 'plan')])
        scans = folder / 'scans.pdf'
        write_scans(planned_room(folder, WINES_A_PAGE), scans, pages, first_seed)
        watched = watch([HALFPOINT, 'read', file, str(scans)])
        state = state_of(planned_room(folder, WINES_A_PAGE).tasting)
        file_mb = scans.stat().st_size / 1e6
    papers = state.papers
    held = sum(page.page.held is not None for page in papers.pages.values())
    speed = pages / watched.wall
    flat = all(_is_flat(watched, kind) for kind in KINDS)
    print_table(
        f'halfpoint read, {pages:,} scans at {DPI} dpi in one PDF of {file_mb:.0f} MB',
        [
            ('machine', describe(on)),
            ('wall', f'{watched.wall:.1f} s, start and record included'),
            ('processors', f'{watched.processor:.1f} s, {watched.processor / pages:.3f} s a page'),
            ('speed', f'{speed:.1f} pages a second (meant: {LEAST_SPEED:g} at least)'),
            *((label, _memory(watched, kind)) for kind, label in KINDS.items()),
            ('flat', 'yes' if flat else 'no (meant: yes)'),
            ('pages in the record', f'{len(papers.pages):,}, {held} of them held'),
            ('entries', f'{len(state.entries):,}'),
        ],
    )
    keep_longest('paper_speed', on, {
        'pages': pages,
        'first_seed': first_seed,
        'dpi': DPI,
        'reader': of.reader,
        'seconds': round(watched.wall, 2),
        'processor_seconds': round(watched.processor, 2),
        'pages_a_second': round(speed, 2),
        'peak_bytes': {kind: _peaks(watched, kind) for kind in KINDS},
        'held': held,
        'file_mb': round(file_mb),
        'entries': len(state.entries),
    })  # fmt: skip
    whole = len(papers.pages) == pages
    return 0 if speed >= LEAST_SPEED and flat and whole else 1


def write_scans(room: Room, path: Path, pages: int, first_seed: int) -> None:
    """Fill in and scan so many pages, each of another seat or sheet, into one PDF."""
    chosen = list(islice(room.pages(), pages))
    if len(chosen) < pages:
        raise ValueError(f'{len(chosen)} pages in the plan, {pages} asked')
    shares = [(first_seed + at, chosen[at : at + _AT_ONCE]) for at in range(0, pages, _AT_ONCE)]
    with ScannedPdf(path, DPI) as pdf:
        for _, share in in_processes(partial(_scanner, room), shares):
            if isinstance(share, Failure):
                raise RuntimeError(share.said)  # noqa: TRY004 - a task that failed
            for jpeg in share:
                pdf.add(jpeg)


def _scanner(room: Room) -> Callable[[Share], list[bytes]]:
    cv2.setNumThreads(1)
    return partial(_scans, room)


def _scans(room: Room, share: Share) -> list[bytes]:
    first, pages = share
    return [
        simulate(first + at, room.layout, blank, room.tasting.sheet, STYLE)[1].encoded
        for at, blank in enumerate(room.printed(pages))
    ]


def _peaks(watched: Watched, kind: str) -> dict[str, int]:
    return {
        'first_third': watched.peak(kind, 0, 1 / 3),
        'last_third': watched.peak(kind, 2 / 3, 1),
    }


def _is_flat(watched: Watched, kind: str) -> bool:
    before, after = _peaks(watched, kind).values()
    return after <= before * (1 + MOST_GROWTH) + SLACK_BYTES


def _memory(watched: Watched, kind: str) -> str:
    before, after = (peak / 1e6 for peak in _peaks(watched, kind).values())
    return f'{before:.0f} MB at most in the first third, {after:.0f} MB in the last'
