"""One thread for the linear algebra: on a busy machine several only wait for each other."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from threadpoolctl import threadpool_limits


@contextmanager
def calm_threads() -> Iterator[None]:
    """Hold the linear algebra library to one thread.

    Measured on two cores with other work going on: a second thread made the factorisation
    of 1,100 columns six times slower, and saved a third of its time on an idle machine.
    """
    with threadpool_limits(limits=1, user_api='blas'):
        yield
