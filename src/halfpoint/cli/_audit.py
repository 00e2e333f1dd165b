"""Proof by sampling: pages drawn at random, looked at once more, and what that bounds."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from halfpoint.cli._asking import kept, say_field, typed
from halfpoint.cli._record import counted

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.cli._wrong_lines import Wrong
    from halfpoint.collect.table.poured import Poured
    from halfpoint.ledger.audit import AuditSummary
    from halfpoint.ledger.ledger import Ledger
    from halfpoint.ledger.paper import PageState
    from halfpoint.ledger.replay import State
    from halfpoint.tasting.model import Tasting

MOST_SEED = 1_000_000


@dataclass(frozen=True, slots=True)
class AuditOptions:
    """What was asked of a second look."""

    pages: int
    seed: int | None
    into: Path
    who: str


def audit_pages(tasting: Tasting, options: AuditOptions, console: Console) -> None:
    """Draw pages, show each beside what was read, ask, record, and say what it bounds.

    Raises:
        UsageError: no plan, or no name.
        OutputError, LedgerError: what was looked at before is recorded.
    """
    from halfpoint.cli._planned import plan_for_tables
    from halfpoint.cli._reading import no_plan, record_with_plan
    from halfpoint.ledger.audit import draw
    from halfpoint.ledger.replay import replay

    seed = secrets.randbelow(MOST_SEED) if options.seed is None else options.seed
    with record_with_plan(tasting, options.who) as (ledger, _):
        state = replay(ledger.records())
        poured = plan_for_tables(tasting, state)
        if poured is None:
            raise no_plan(tasting)
        drawn = draw(state, options.pages, seed)
        look = _SecondLook(tasting, ledger, state, poured, options, seed, console)
        _begin(console, options, seed, len(drawn))
        for place, number in enumerate(drawn, 1):
            if not look.at_page(place, len(drawn), number):
                break
        tell_bound(console, look.state)


def _begin(console: Console, options: AuditOptions, seed: int, drawn: int) -> None:
    if drawn < options.pages:
        left = counted(drawn, "page is", "pages are")
        console.print(f"{left} there that no second look has had.")
    if drawn:
        pages = counted(drawn, "page", "pages")
        console.print(f"{pages} drawn with seed {seed}; pictures in {options.into}")
        console.print("Look whether every ring and every number beside the page is right.")
        console.print("Enter when all is, or a line for each that is not: 2 aroma 4.5, or")
        console.print("3 corked yes; b takes the last line back, q ends.")


@dataclass(slots=True)
class _SecondLook:
    tasting: Tasting
    ledger: Ledger
    state: State
    poured: Poured
    options: AuditOptions
    seed: int
    console: Console

    def at_page(self, place: int, of: int, number: int) -> bool:
        """Show a page, ask and record; False when somebody ends it here."""
        from halfpoint.errors import NotInLedger, UsageError

        page = self.state.papers.pages[number]
        title = f"{place} of {of} · {_called(self.tasting, page)}"
        picture = self._drawn(page, title, place)
        if picture is None:
            self.console.print(f"\n{title}: its picture is gone, so it is passed over")
            return True
        self.console.print(f"\n{title}  {picture}")
        while True:
            wrong = self._ask(page)
            if wrong is None:
                return False
            try:
                self._record(page, wrong)
            except (NotInLedger, UsageError) as refusal:
                self.console.print(f"{refusal}")
                self._read_anew()
                page = self.state.papers.pages[number]
            else:
                return True

    def _ask(self, page: PageState) -> list[Wrong] | None:
        """What is wrong on the page, line by line until an empty one; None to end here."""
        from halfpoint.cli._answers import Unclear, say_choice
        from halfpoint.cli._wrong_lines import read_wrong

        places = [pour.place for pour in page.page.pours]
        wrong: list[Wrong] = []
        while True:
            line = typed(self.console)
            if line is None or line.strip().lower() == 'q':
                return None
            if not line.strip():
                return wrong
            if line.strip().lower() == 'b':
                said = wrong.pop() if wrong else None
                self.console.print("Taken back." if said else "Nothing to take back.")
                continue
            read = read_wrong(line, places=places, sheet=self.tasting.sheet)
            if isinstance(read, Unclear):
                self.console.print(f"Expected: {read.expected}")
                continue
            wrong.append(read)
            name = say_field(self.tasting, read.field, read.about)
            truth = say_choice(read.truth, read.field)
            self.console.print(f"Glass {read.place}, {name}: {truth}. Enter when that is all.")

    def _record(self, page: PageState, wrong: Sequence[Wrong]) -> None:
        from halfpoint.ledger.audit import record_audit
        from halfpoint.ledger.records import WrongReading

        came = record_audit(
            self.ledger,
            self.tasting,
            self.poured,
            [page.number],
            [
                WrongReading(page.number, each.place, each.field, each.about, truth=each.truth)
                for each in wrong
            ],
            seed=self.seed,
            who=self.options.who,
            state=self.state,
        )
        for what, numbers in (("Corrected", came.corrected), ("Set aside", came.set_aside)):
            if numbers:
                self.console.print(f"{what}: entry {', '.join(map(str, numbers))}")

    def _drawn(self, page: PageState, title: str, place: int) -> Path | None:
        from halfpoint.collect.paper.print import lay_out
        from halfpoint.ledger.pages import ticked_boxes
        from halfpoint.publish.second_look import PageShown, PourShown, second_look
        from halfpoint.writing import make_folder_safely, write_bytes_safely

        picture = kept(self.tasting, page.page.picture)
        if picture is None:
            return None
        pours = [page.pour(reading) for reading in page.page.pours]
        shown = PageShown(
            title,
            picture,
            lay_out(self.tasting.sheet, page.page.wines_a_page),
            [PourShown(p.place, p.code, p.marks, frozenset(ticked_boxes(p))) for p in pours],
        )
        make_folder_safely(self.options.into)
        path = self.options.into / f'{place:03}.png'
        write_bytes_safely(path, second_look(shown, self.tasting.sheet))
        return path

    def _read_anew(self) -> None:
        from halfpoint.ledger.replay import replay

        self.state = replay(self.ledger.records())


def tell_bound(console: Console, state: State) -> None:
    """Say what all second looks bound, in words."""
    from halfpoint.ledger.audit import audits_so_far

    found = audits_so_far(state)
    if found is None:
        console.print("No second look has been taken yet.")
        return
    for line in say_bound(found):
        console.print(line)


def say_bound(found: AuditSummary) -> tuple[str, ...]:
    """`Of 1,200 marks … none was read wrongly: fewer than 1 in 400 …`."""
    sure = f"{found.level * 100:g} %"
    marks = _bound("mark", found.marks, found.wrong_marks, found.marks_below, sure)
    boxes = _bound("box", found.boxes, found.wrong_boxes, found.boxes_below, sure)
    return f"\n{counted(found.pages, 'page has', 'pages have')} had a second look.", marks, boxes


def _bound(what: str, looked: int, wrong: int, below: float, sure: str) -> str:
    many = f"{what}{'es' if what.endswith('x') else 's'}"
    if not looked:
        return f"No {what} was taken without a person, so nothing is bounded."
    were = "none was" if not wrong else counted(wrong, "was", "were")
    told = f"Of {counted(looked, what, many)} taken without a person {were} read wrongly"
    return f"{told}: with {sure} confidence fewer than {_share(below)} are."


def _share(share: float) -> str:
    """`1 in 397 (0.252 %)`; the number after `1 in` is rounded so that it never claims more."""
    percent = f"{share * 100:.3g} %"
    return f"1 in {int(1 / share):,} ({percent})" if share < 0.5 else percent


def _called(tasting: Tasting, page: PageState) -> str:
    source = page.page
    site = next((each.name for each in tasting.sites if each.key == source.site), source.site)
    if source.seat is None:
        return f"{site}, spare {source.number}"
    return f"{site}, seat {source.seat}, sheet {source.sheet}"
