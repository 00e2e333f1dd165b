"""The paper that an option names."""

from __future__ import annotations

from typing import Literal

from halfpoint.errors import UsageError

PAPERS: dict[str, Literal['a4', 'us-letter']] = {'a4': 'a4', 'letter': 'us-letter'}


def paper_size(said: str) -> Literal['a4', 'us-letter']:
    """What `--paper` means.

    Raises:
        UsageError: it is none of `PAPERS`.
    """
    if said.lower() not in PAPERS:
        raise UsageError(f'"{said}"', where='--paper', expected=' or '.join(PAPERS))
    return PAPERS[said.lower()]
