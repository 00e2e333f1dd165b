"""What became of one file of scans."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(slots=True)
class FileTold:
    """What became of a file: pages by number of their record, and how many were known before."""

    name: str
    pages: int
    before: int = 0
    read: list[int] = field(default_factory=list)
    same: list[int] = field(default_factory=list)
    others: list[int] = field(default_factory=list)
    held: list[int] = field(default_factory=list)
