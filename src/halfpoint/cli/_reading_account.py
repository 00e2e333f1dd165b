"""What became of scans, in print: file by file, then what waits, what is missing, what next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from halfpoint.cli._file_told import FileTold
from halfpoint.cli._record import counted, print_some

if TYPE_CHECKING:
    from rich.console import Console

    from halfpoint.cli._reading import ReadOptions, Told
    from halfpoint.collect.paper.read.missing import Missing
    from halfpoint.ledger.pours import EntryState
    from halfpoint.ledger.records import PageRecorded
    from halfpoint.ledger.replay import State
    from halfpoint.plan.model import Plan
    from halfpoint.tasting.model import Tasting

MOST_FILES = 12
MOST_PAGES = 6
MOST_SITES = 4
MOST_SEATS = 12


def tell(
    console: Console,
    tasting: Tasting,
    plan: Plan,
    state: State,
    told: Told,
    options: ReadOptions,
) -> None:
    """Print it all. Codes are named, and no wine."""
    limited = not options.everything
    for line in _file_lines(state, list(told.files.values()), limited):
        console.print(line)
    entries = counted(len(told.entries), "new entry", "new entries")
    already = f", {told.already:,} already there" if told.already else ""
    held = f", {counted(told.rows_held, 'pour', 'pours')} held" if told.rows_held else ""
    console.print(f"{entries}{already}{held}; {len(state.entries):,} in the record")
    empty = _empty(state, told)
    if empty:
        console.print(f"{counted(empty, 'glass has', 'glasses have')} nothing marked at all")
    _tell_missing(console, tasting, plan, state, limited)
    _tell_next(console, tasting, state)


def _empty(state: State, told: Told) -> int:
    """Glasses on the pages read now that nobody has marked."""
    pages = (state.papers.pages[n].page for file in told.files.values() for n in file.read)
    return sum(pour.is_empty for page in pages for pour in page.pours)


def _file_lines(state: State, files: Sequence[FileTold], limited: bool) -> Iterator[str]:
    few = not limited or len(files) <= MOST_FILES
    shown = files if few else [file for file in files if file.held or file.others][:MOST_FILES]
    for file in shown:
        yield f"{file.name}: {_counts(file)}"
        pages = [state.papers.pages[number].page for number in file.held]
        yield from (f"  {line}" for line in _held_lines(pages, limited))
        for number in file.others:
            page = state.papers.pages[number].page
            yield f"  page {page.page}: another picture of {say_page(page)}"
    if len(files) > len(shown):
        told = {file.name for file in shown}
        yield _sum([file for file in files if file.name not in told], bool(shown))


def _sum(files: Sequence[FileTold], more: bool) -> str:
    all_in_one = FileTold(name='', pages=0)
    for file in files:
        all_in_one.before += file.before
        for kind in ('read', 'same', 'others', 'held'):
            getattr(all_in_one, kind).extend(getattr(file, kind))
    many = counted(len(files), "more file" if more else "file", "more files" if more else "files")
    return f"{many}: {_counts(all_in_one)} (--all lists them)"


def _counts(file: FileTold) -> str:
    before = file.before + len(file.same)
    parts = [
        f"{counted(len(file.read), 'page', 'pages')} read",
        f"{before:,} already read" if before else "",
        f"{counted(len(file.others), 'other picture', 'other pictures')}" if file.others else "",
        f"{len(file.held):,} held" if file.held else "",
    ]
    return ", ".join(part for part in parts if part)


def _held_lines(pages: Sequence[PageRecorded], limited: bool) -> Iterator[str]:
    """Each reason once, with its pages and what to do."""
    reasons = Counter((page.held.found, page.held.remedy) for page in pages if page.held)
    for found, remedy in reasons:
        numbers = [page.page for page in pages if page.held and page.held.found == found]
        many = "page" if len(numbers) == 1 else "pages"
        some = listed(_ranges(numbers), MOST_PAGES if limited else None)
        yield f"{many} {some}: {found}; {remedy}"


def _tell_missing(
    console: Console, tasting: Tasting, plan: Plan, state: State, limited: bool
) -> None:
    from halfpoint.collect.paper.read.missing import Seen, missing_pages

    pages = [
        state.papers.pages[n].page for several in state.papers.standing.values() for n in several
    ]
    seen = [
        Seen(page.site, page.seat, page.sheet, page.wines_a_page)
        for page in pages
        if page.seat is not None
    ]
    missing = missing_pages(plan, seen, usual=_usual(tasting))
    if not missing:
        console.print("Every printed page of the plan has been seen.")
        return
    names = {site.key: site.name for site in tasting.sites}
    heard = [each for each in missing if not each.is_silent]
    silent = [names.get(each.site, each.site) for each in missing if each.is_silent]
    total = sum(each.pages for each in missing)
    console.print(f"{counted(total, 'page', 'pages')} of the plan not seen yet:")
    lines = [_seats(names.get(each.site, each.site), each, limited) for each in heard]
    if silent:
        lines.append(f"no page yet from {listed(silent, MOST_SITES if limited else None)}")
    print_some(console, lines, MOST_SITES + 1 if limited else None)


def _usual(tasting: Tasting) -> int:
    from halfpoint.collect.paper.print import most_wines_a_page

    return most_wines_a_page(tasting.sheet)


def _seats(site: str, missing: Missing, limited: bool) -> str:
    sheets = [f"{seat} (sheet {sheet})" for seat, sheet in missing.sheets]
    seats = [*_ranges(missing.seats), *sheets]
    many = "seat" if len(missing.seats) + len(sheets) == 1 else "seats"
    return f"{site}: {many} {listed(seats, MOST_SEATS if limited else None)}"


def _ranges(numbers: Sequence[int]) -> list[str]:
    """`3`, `5 to 9`: runs of three and more are drawn together."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said: list[str] = []
    for run in runs:
        said += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run)
    return said


def _tell_next(console: Console, tasting: Tasting, state: State) -> None:
    looks = sum(1 for page in state.papers.pages.values() for _ in page.open_looks())
    others = len(state.papers.others)
    held = len(state.papers.held_pages())
    command = f"halfpoint read {tasting.source}"
    if looks or others:
        what = [
            f"{counted(looks, 'doubtful mark needs', 'doubtful marks need')} a look" * bool(looks),
            f"{counted(others, 'other picture waits', 'other pictures wait')} for a choice"
            * bool(others),
        ]
        console.print(f"{' and '.join(part for part in what if part)}: {command} --review")
    if held:
        pages = counted(held, "page is", "pages are")
        console.print(
            f"{pages} held: scan or photograph again what is missing, or enter it by hand"
        )
    if not (looks or others) and state.entries:
        console.print(f"Nothing waits. To bound the errors of reading: {command} --audit 60")


def say_page(page: PageRecorded) -> str:
    """Whose page it is: `aldermire, seat 12, sheet 2`, `aldermire, spare 3`."""
    if page.seat is None:
        return f"{page.site}, spare {page.number}"
    return f"{page.site}, seat {page.seat}, sheet {page.sheet}"


def listed(items: Sequence[object], most: int | None) -> str:
    """`3, 4 and 7`, `3, 4, 7 and 12 more`."""
    shown = [str(item) for item in items[:most]]
    if most is not None and len(items) > most:
        return f"{', '.join(shown)} and {len(items) - most:,} more"
    return f"{', '.join(shown[:-1])} and {shown[-1]}" if len(shown) > 1 else "".join(shown)


def write_marks(path: Path, tasting: Tasting, entries: Sequence[EntryState]) -> None:
    """Write entries as a table that can be gathered; it has codes in place of wines.

    Raises:
        OutputError: it could not be written.
    """
    from halfpoint.ledger.contradiction import as_row
    from halfpoint.publish.export.tables import csv_text
    from halfpoint.writing import write_text_safely

    header = (
        'taster', 'site', 'position', 'code', *tasting.sheet.categories_by_key,
        'terms', 'faults', 'finish', 'remark',
    )  # fmt: skip
    rows = (as_row(entry.now, blind=True) for entry in entries)
    write_text_safely(path, csv_text(header, [[row[name] for name in header] for row in rows]))
