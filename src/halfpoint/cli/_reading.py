"""Scans into the record: files opened, pages read, recorded batch by batch, told at the end."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from halfpoint.cli._file_told import FileTold
from halfpoint.cli._record import new_console, open_record

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.collect.paper.read.batch import PageDone
    from halfpoint.collect.paper.read.source import ScanFile
    from halfpoint.collect.table.poured import Poured
    from halfpoint.errors import HalfpointError, InputError
    from halfpoint.ledger.ledger import Ledger
    from halfpoint.ledger.pages import PageArrived, PagesTaken
    from halfpoint.ledger.replay import State
    from halfpoint.plan.model import Plan
    from halfpoint.publish.export.readings import PageRead
    from halfpoint.tasting.model import Tasting

INTERRUPTED = 130


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """What was asked of a reading."""

    json_to: str | None
    marks: Path | None
    workers: int | None
    everything: bool
    who: str


@dataclass(slots=True)
class Told:
    """What became of all files."""

    files: dict[str, FileTold] = field(default_factory=dict)
    entries: list[int] = field(default_factory=list)
    already: int = 0
    rows_held: int = 0
    looks: int = 0
    refusals: list[HalfpointError] = field(default_factory=list)

    @property
    def pages(self) -> int:
        """Pages of the files opened so far."""
        return sum(each.pages for each in self.files.values())

    @property
    def done(self) -> int:
        """Pages known or recorded."""
        return sum(
            each.before + len(each.read) + len(each.same) + len(each.others) + len(each.held)
            for each in self.files.values()
        )


def read_scans(tasting: Tasting, paths: Sequence[Path], options: ReadOptions) -> None:
    """Read files and folders into the record, and say what became of them.

    Raises:
        UsageError: no plan, parts for paper that are not installed, or options that do not fit.
        InputError: the last of the files that could not be read, after all others were.
        OutputError, LedgerError: nothing was lost that was recorded before.
    """
    from halfpoint.cli._parts import check_paper_parts
    from halfpoint.cli._progress import reading_bar
    from halfpoint.ledger.replay import replay

    check_paper_parts('halfpoint read')
    _check_outputs(tasting, paths, options)
    with record_with_plan(tasting, options.who) as (ledger, plan):
        state = replay(ledger.records())
        console = _console(options)
        with reading_bar() as bar, _json(tasting, options.json_to) as put:
            run = _Run(tasting, ledger, state, options.who, put, bar)
            stopped = _read(run, plan, paths, options)
        _tell(run, plan, console, options)
    if stopped:
        raise typer.Exit(INTERRUPTED)
    _finish(run.told)


def _read(run: _Run, plan: Plan, paths: Sequence[Path], options: ReadOptions) -> bool:
    """Read all pages; whether somebody stopped it, with what had been read recorded."""
    from halfpoint.collect.paper.read.batch import BATCH
    from halfpoint.collect.paper.read.process import batch_for
    from halfpoint.collect.paper.read.source import find_files

    try:
        with batch_for(run.tasting, plan, workers=options.workers) as batch:
            for done in batch.read(find_files(paths), wanted=run.wanted, refused=run.refused):
                run.take(done)
                if len(run.waiting) == BATCH:
                    run.record()
    except KeyboardInterrupt:
        run.record()
        return True
    run.record()
    run.pass_over(None)
    return False


class _Run:
    """One reading: what waits to be recorded, and what has become of everything so far."""

    def __init__(
        self,
        tasting: Tasting,
        ledger: Ledger,
        state: State,
        who: str,
        put: Callable[[PageRead], None],
        bar: Callable[[int, int, int], None],
    ) -> None:
        self.tasting, self.ledger, self.state, self.who = tasting, ledger, state, who
        self.poured = _poured(tasting, state)
        self.put, self.bar = put, bar
        self.told = Told()
        self.waiting: list[PageArrived] = []
        self._opened: deque[tuple[ScanFile, list[int]]] = deque()

    def wanted(self, scan: ScanFile) -> Sequence[int]:
        """The pages of a file that need reading."""
        from halfpoint.collect.paper.read.read_page import READER
        from halfpoint.ledger.from_table import name_of
        from halfpoint.ledger.pages import is_known

        if scan.digest in self.told.files:
            return ()
        pages = range(1, scan.pages + 1)
        known = [n for n in pages if is_known(self.state, scan.digest, n, reader=READER)]
        name = name_of(scan.path, self.tasting)
        self.told.files[scan.digest] = FileTold(name, scan.pages, len(known))
        self._opened.append((scan, known))
        self._show()
        if not known:
            return pages
        return [page for page in pages if page not in set(known)]

    def refused(self, path: Path, refusal: InputError) -> None:
        """Remember a file that cannot be read."""
        del path
        self.told.refusals.append(refusal)

    def take(self, done: PageDone) -> None:
        """Keep the picture of a page, and let the page wait to be recorded."""
        self.waiting.append(self._arrived(done))

    def record(self) -> None:
        """Record the pages that wait, all or none."""
        from halfpoint.collect.paper.read.read_page import READER
        from halfpoint.ledger.pages import take_pages
        from halfpoint.ledger.replay import replay

        if not self.waiting:
            return
        arrived = tuple(self.waiting)
        place = (self.ledger, self.tasting, self.poured)
        try:
            taken = take_pages(*place, arrived, who=self.who, state=self.state, reader=READER)
        except BaseException:
            # Half carried on, the state no longer fits the record.
            self.state = replay(self.ledger.records())
            raise
        self._take_note(arrived, taken)
        self.waiting.clear()
        self._show()

    def pass_over(self, until: str | None) -> None:
        """Write the pages known before, of all files opened up to the one with this digest."""
        while self._opened:
            scan, known = self._opened.popleft()
            for page in known:
                self.put(self._known(scan.digest, page))
            if scan.digest == until:
                return

    def _arrived(self, done: PageDone) -> PageArrived:
        from halfpoint.collect.paper.read.model import PageReading
        from halfpoint.ledger.pages import PageArrived
        from halfpoint.ledger.pictures import keep_picture

        picture = ''
        if isinstance(done.outcome, PageReading) and done.outcome.picture:
            picture = keep_picture(self.tasting.beside, done.outcome.picture)
        name = self.told.files[done.scan.digest].name
        return PageArrived(name, done.scan.digest, done.page, done.outcome, picture)

    def _take_note(self, arrived: Sequence[PageArrived], taken: PagesTaken) -> None:
        self.told.entries += taken.entries
        self.told.already += taken.already
        self.told.rows_held += len(taken.rows_held)
        self.told.looks += taken.looks
        statuses = {}
        kinds = {'read': taken.read, 'same': taken.same, 'others': taken.others, 'held': taken.held}
        for kind, numbers in kinds.items():
            for number in numbers:
                page = self.state.papers.pages[number].page
                getattr(self.told.files[page.digest], kind).append(number)
                statuses[page.digest, page.page] = kind
        self._write(arrived, statuses)

    def _write(self, arrived: Sequence[PageArrived], kinds: dict[tuple[str, int], str]) -> None:
        from halfpoint.publish.export.readings import STATUSES, page_read

        for page in arrived:
            if any(scan.digest == page.digest for scan, _ in self._opened):
                self.pass_over(page.digest)
            status = STATUSES[kinds.get((page.digest, page.page), 'same')]
            self.put(page_read(page.file, page.page, status, page.outcome))

    def _known(self, digest: str, page: int) -> PageRead:
        from halfpoint.publish.export.readings import STATUSES, page_read, recorded_outcome

        papers = self.state.papers
        number = papers.seen[digest, page]
        outcome = recorded_outcome(papers.pages[number].page, papers)
        return page_read(self.told.files[digest].name, page, STATUSES['same'], outcome)

    def _show(self) -> None:
        self.bar(self.told.done, self.told.pages, self.told.looks)


def _poured(tasting: Tasting, state: State) -> Poured:
    from halfpoint.cli._planned import plan_for_tables

    poured = plan_for_tables(tasting, state)
    if poured is None:
        raise no_plan(tasting)
    return poured


def no_plan(tasting: Tasting) -> HalfpointError:
    """The refusal of sheets without the plan they were printed by."""
    from halfpoint.errors import UsageError

    return UsageError(
        "no plan is in the record",
        where=str(tasting.source),
        expected="the plan by which the score sheets were printed",
        remedy=(
            f"halfpoint plan {tasting.source} --into plan makes one, and halfpoint print --sheets "
            "prints by it; marks on other sheets are typed into a table and gathered"
        ),
    )


@contextmanager
def record_with_plan(tasting: Tasting, who: str) -> Iterator[tuple[Ledger, Plan]]:
    """The record of this tasting, and the plan in it.

    Raises:
        UsageError: there is none.
    """
    from halfpoint.cli._planned import recorded_plan
    from halfpoint.ledger.replay import replay
    from halfpoint.ledger.stores import is_begun

    if not is_begun(tasting.ledger):
        raise no_plan(tasting)
    with open_record(tasting, who=who) as ledger:
        plan = recorded_plan(replay(ledger.records()))
        if plan is None:
            raise no_plan(tasting)
        yield ledger, plan


def _check_outputs(tasting: Tasting, paths: Sequence[Path], options: ReadOptions) -> None:
    from halfpoint.cli._outputs import check_file, refuse_same

    json_path = None if options.json_to in (None, '-') else Path(str(options.json_to))
    for option, path in (('--json', json_path), ('--marks', options.marks)):
        if path is not None:
            check_file(option, path)
    scans = {f'scan {number}': path for number, path in enumerate(paths, 1) if path.is_file()}
    outputs = {'--json': json_path, '--marks': options.marks}
    for path in dict.fromkeys(scans.values()):
        refuse_same({f"the scan {path.name}": path, 'the record': tasting.beside, **outputs})
    refuse_same({'the tasting file': tasting.source, 'the record': tasting.beside, **outputs})


def _console(options: ReadOptions) -> Console:
    """Standard output, unless the JSON goes there."""
    if options.json_to != '-':
        return new_console()
    from rich.console import Console

    return Console(markup=False, highlight=False, emoji=False, soft_wrap=True, stderr=True)


@contextmanager
def _json(tasting: Tasting, to: str | None) -> Iterator[Callable[[PageRead], None]]:
    from halfpoint.publish.export.readings import writing_readings
    from halfpoint.writing import writing_text_safely

    if to is None:
        yield lambda page: None
    elif to == '-':
        with writing_readings(tasting, lambda text: typer.echo(text, nl=False)) as put:
            yield put
    else:
        with writing_text_safely(Path(to)) as write, writing_readings(tasting, write) as put:
            yield put


def _tell(run: _Run, plan: Plan, console: Console, options: ReadOptions) -> None:
    from halfpoint.cli._reading_account import tell, write_marks

    if options.marks is not None:
        entries = [run.state.entries[number] for number in run.told.entries]
        write_marks(options.marks, run.tasting, entries)
    tell(console, run.tasting, plan, run.state, run.told, options)


def _finish(told: Told) -> None:
    """Refuse at the end when a file could not be read."""
    for refusal in told.refusals[:-1]:
        typer.echo(f"halfpoint: {refusal}", err=True)
    if told.refusals:
        raise told.refusals[-1]
