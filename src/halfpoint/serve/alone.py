"""One server for one tasting: what it remembers would not be known to another."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from halfpoint.errors import LedgerBusy
from halfpoint.writing import writing_refusal


@contextmanager
def alone(desk: Path) -> Iterator[None]:
    """Be the only server of this desk for a while; the system lets go when the process ends.

    Raises:
        LedgerBusy: another server serves it.
        OutputError: the folder may not be written to.
    """
    path = desk.with_name(f'{desk.name}-lock')
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as reason:
        raise writing_refusal(path, reason) from reason
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as reason:
        os.close(handle)
        raise LedgerBusy(
            "this tasting is being served already",
            where=desk.with_suffix('.toml').name,
            expected="one halfpoint serve for a tasting",
            remedy="use the one that runs, or stop it with Ctrl-C where it was started",
        ) from reason
    try:
        yield
    finally:
        os.close(handle)
