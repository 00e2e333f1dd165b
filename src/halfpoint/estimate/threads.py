"""One thread for the linear algebra: on a busy machine several only wait for each other."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from threadpoolctl import threadpool_limits

_is_calm = ContextVar('_is_calm', default=False)


@contextmanager
def calm_threads() -> Iterator[None]:
    """Hold the linear algebra library to one thread.

    Seen on two cores with other work going on: a fit with 1,100 columns took 17 to 26 s with
    two threads and 2.2 to 2.6 s with one.
    """
    if _is_calm.get():
        # Finding the libraries takes some milliseconds, each time.
        yield
        return
    before = _is_calm.set(True)
    try:
        with threadpool_limits(limits=1, user_api='blas'):
            yield
    finally:
        _is_calm.reset(before)
