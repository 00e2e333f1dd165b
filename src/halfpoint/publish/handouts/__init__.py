"""The papers of a tasting, as PDFs: for each site, and joined for the organiser."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from functools import partial
from pathlib import Path, PurePath
from typing import Any, Literal

from halfpoint.plan.model import Plan
from halfpoint.publish.handouts.evening import Evening, evenings_of
from halfpoint.publish.handouts.kinds import (
    KINDS,
    NAMING_KINDS,
    SHOPPING_LIST,
    Bagging,
    Kind,
    kinds_for,
    parts_of,
)
from halfpoint.publish.handouts.names import folder_names
from halfpoint.publish.handouts.shelf import filling
from halfpoint.publish.handouts.shopping_list import shopping_list
from halfpoint.publish.handouts.typeset import typeset
from halfpoint.tasting.in_print import Named, names_of_tasting, typefaces_for_names
from halfpoint.tasting.model import Tasting
from halfpoint.typeface.choosing import Typefaces
from halfpoint.typeface.letters import one_line

__all__ = ['KINDS', 'NAMING_KINDS', 'ORGANISER', 'Bagging', 'Paper', 'Printed', 'print_papers']

Paper = Literal['a4', 'us-letter']
Progress = Callable[[int, int], None]
Part = dict[str, Any]

ORGANISER = 'organiser'
NAMES_WINES = 'names-the-wines'
SEAT_LABELS = 'seat_labels'
LONGEST_TITLE = 56


@dataclass(frozen=True, slots=True)
class Printed:
    """What was written, and papers of an earlier printing that still lie there."""

    files: tuple[Path, ...]
    old: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class _Job:
    """A PDF to make: where, by which template, from what."""

    file: PurePath
    template: str
    parts: Callable[[], list[Part]]
    tagged: bool = True

    @property
    def names_wines(self) -> bool:
        """Whether it says which wines are poured."""
        return self.template.replace('_', '-') in NAMING_KINDS


def print_papers(
    tasting: Tasting,
    plan: Plan,
    into: Path,
    *,
    paper: Paper = 'a4',
    only: Sequence[str] = (),
    site: str | None = None,
    bagging: Bagging = 'host',
    fonts: Path | None = None,
    progress: Progress = lambda _done, _all: None,
) -> Printed:
    """Write the papers into a folder, all of them or none.

    Each site has a folder, with what names wines in a folder of its own inside; when the
    organiser bags the bottles, that goes to the organiser's folder instead.

    Args:
        tasting: the tasting file.
        plan: its plan.
        into: the folder; made when it is not there.
        paper: `'a4'` or `'us-letter'`.
        only: names of kinds, from `KINDS`; empty for all.
        site: key of the one site to print for; None for all, and the joined papers.
        bagging: who puts the bottles into bags.
        fonts: a folder of fonts, for names in letters that the shipped typeface lacks.
        progress: told how many papers of how many are made.

    Raises:
        InputError: the plan does not go with the tasting file, or there are names with letters
            that no typeface has; all are told.
        DiskFull: no space was left; what lay there before still does.
        OutputError: the folder could not be written for another reason.
    """
    evenings = evenings_of(tasting, plan)
    jobs = [
        *_site_jobs(evenings, kinds_for(only, bagging), site, bagging),
        *([] if site else _joined_jobs(tasting, plan, evenings, only, bagging)),
    ]
    frame = {
        'paper': paper,
        'title': one_line(tasting.title, LONGEST_TITLE),
        'invented': tasting.invented,
    }

    with typefaces_for_names(_names(tasting, plan, jobs, site), tasting, fonts) as typefaces:
        _fill(into, jobs, frame, typefaces, progress)
    files = tuple(into / job.file for job in jobs)
    return Printed(files, () if site or only else _old(into, files))


def _names(tasting: Tasting, plan: Plan, jobs: Sequence[_Job], site: str | None) -> Iterator[Named]:
    """What stands on these papers of what the tasting file calls by name."""
    pours = [pour for pour in plan.pours if site in (None, pour.site)]
    seated = any(job.template == SEAT_LABELS for job in jobs)
    return names_of_tasting(
        tasting,
        {pour.site for pour in pours},
        {pour.taster for pour in pours if seated and pour.taster},
        wines=any(job.names_wines for job in jobs),
    )


def _fill(
    into: Path,
    jobs: Sequence[_Job],
    frame: dict[str, Any],
    typefaces: Typefaces,
    progress: Progress,
) -> None:
    """Set every paper and lay them into the folder, all or none."""

    def made(job: _Job) -> tuple[PurePath, bytes]:
        data = frame | {'parts': job.parts()}
        return job.file, typeset(job.template, data, typefaces, tagged=job.tagged)

    with filling(into) as shelf, ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
        waiting = [pool.submit(made, job) for job in jobs]
        try:
            for count, future in enumerate(as_completed(waiting), start=1):
                shelf.put(*future.result())
                progress(count, len(jobs))
        finally:
            pool.shutdown(cancel_futures=True)


def _site_jobs(
    evenings: Sequence[Evening], kinds: Sequence[Kind], site: str | None, bagging: Bagging
) -> Iterator[_Job]:
    folders = folder_names((evening.site.key for evening in evenings), taken=(ORGANISER,))
    for evening in evenings:
        if site in (None, evening.site.key):
            for kind in kinds:
                file = _place(folders[evening.site.key], kind, bagging)
                yield _Job(file, kind.template, partial(parts_of, [evening], kind))


def _place(folder: str, kind: Kind, bagging: Bagging) -> PurePath:
    if kind.names_wines and bagging == 'organiser':
        return PurePath(ORGANISER, kind.name, f'{folder}.pdf')
    inner = (NAMES_WINES,) if kind.names_wines else ()
    return PurePath(folder, *inner, f'{kind.name}.pdf')


def _joined_jobs(
    tasting: Tasting,
    plan: Plan,
    evenings: Sequence[Evening],
    only: Sequence[str],
    bagging: Bagging,
) -> Iterator[_Job]:
    if not only or SHOPPING_LIST in only:
        head = {'site': "All sites", 'short': "All sites"}
        yield _Job(
            PurePath(ORGANISER, f'{SHOPPING_LIST}.pdf'),
            SHOPPING_LIST.replace('-', '_'),
            lambda: [head | shopping_list(tasting, plan, evenings)],
        )
    if len(evenings) > 1:
        for kind in kinds_for(only, bagging):
            file = PurePath(ORGANISER, f'all-{kind.name}.pdf')
            parts = partial(parts_of, evenings, kind)
            yield _Job(file, kind.template, parts, tagged=False)


def _old(into: Path, files: Sequence[Path]) -> tuple[Path, ...]:
    """Papers of ours in the folder that this printing did not renew."""
    ours = (
        path
        for path in into.rglob('*.pdf')
        if path.stem.removeprefix('all-') in KINDS or path.parent.name in KINDS
    )
    return tuple(sorted(set(ours) - set(files)))
