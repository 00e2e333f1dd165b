"""A bar on standard error while something takes its time."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    TextColumn,
    TimeElapsedColumn,
)


@contextmanager
def progress_bar(words: str) -> Iterator[Callable[[float], None]]:
    """Tell it the share that is done, 0 to 1; nothing shows until it is told something."""
    bar = Progress(
        TextColumn(words),
        BarColumn(),
        TextColumn("{task.percentage:.0f} %"),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    task = bar.add_task("", total=1.0, start=False)

    def told(share: float) -> None:
        if not bar.live.is_started:
            bar.start()
            bar.start_task(task)
        bar.update(task, completed=share)

    try:
        yield told
    finally:
        bar.stop()


@contextmanager
def reading_bar() -> Iterator[Callable[[int, int, int], None]]:
    """Tell it the pages done, the pages in all files so far, and the marks that need a look."""
    bar = Progress(
        TextColumn("Reading"),
        BarColumn(),
        MofNCompleteColumn(),
        TextColumn("{task.description}"),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    began: list[tuple[float, int]] = []

    def told(done: int, pages: int, looks: int) -> None:
        began[:] = began or [(time.monotonic(), done)]
        since, before = began[0]
        pace = (done - before) / max(time.monotonic() - since, 0.001)
        words = f"{pace:.1f} pages a second" if done > before else ""
        if looks:
            words += f"  {looks:,} to look at"
        bar.update(task, completed=done, total=pages, description=words)

    with bar:
        task = bar.add_task("", total=None)
        yield told


@contextmanager
def counting_bar(words: str) -> Iterator[Callable[[int, int], None]]:
    """Tell it how many of how many are done."""
    columns = (TextColumn(words), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=None)
        yield lambda done, of: bar.update(task, completed=done, total=of)
