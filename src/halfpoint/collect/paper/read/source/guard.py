"""What a process needs that decodes what it does not know: little memory, and no voice."""

from __future__ import annotations

import os
import resource
from contextlib import suppress
from pathlib import Path

from halfpoint.collect.paper.read.source.limits import MEMORY_FOR_DECODING


def limit_memory(more: int = MEMORY_FOR_DECODING) -> None:
    """Give this process so many bytes more than it has now, and never again more than that.

    For the start of a worker process. A few hundred bytes of PDF, forms that draw each other,
    make PDFium take all the memory there is within seconds; under the limit the worker alone
    ends, and whoever started it goes on. Where the system knows no such limit, nothing happens.
    """
    with suppress(OSError, ValueError):
        _, hard = resource.getrlimit(resource.RLIMIT_AS)
        most = _bytes_now() + more
        soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def hush_decoders() -> None:
    """Send what C libraries write to this process's standard error nowhere.

    For the start of a worker process: libtiff and libjpeg write a line there for every damaged
    strip, over the progress bar. What matters of it comes back as a `HeldPage`.
    """
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 2)
    os.close(nowhere)


def _bytes_now() -> int:
    """The address space of this process, as Linux tells it; 0 elsewhere."""
    statistics = Path('/proc/self/statm')
    pages = int(statistics.read_text().split()[0]) if statistics.exists() else 0
    return pages * resource.getpagesize()
