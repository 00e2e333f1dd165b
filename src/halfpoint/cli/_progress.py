"""A bar on standard error while something takes its time."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn


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
