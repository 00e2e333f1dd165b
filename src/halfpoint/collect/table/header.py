"""Which row heads the columns, and what the columns are called when two rows do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from halfpoint.collect.table.raw import REASON_COLUMNS, REASON_MARK
from halfpoint.collect.table.words import plain
from halfpoint.errors import ColumnsNotFound, NotATable

LOOKED_AT = 12
MOST_COLUMNS = 20_000

Record = Sequence[str | None]


@dataclass(frozen=True, slots=True)
class Header:
    """The name of each column ('' for one without), and the first record below the header."""

    names: tuple[str, ...]
    below: int


def find_header(head: Sequence[Record], known: Collection[str], *, where: str) -> Header:
    """The header among the first records.

    The record with most known names is the header; where none has any, the first that is
    not blank. A record above it joins in when it names blocks of columns.

    Args:
        head: the first `LOOKED_AT` records of the file, cells as text.
        known: plain names that would head a column.
        where: the file, for messages.
    """
    if any(len(record) > MOST_COLUMNS for record in head):
        widest = max(map(len, head))
        raise NotATable(
            f"{widest:,} columns", where=where, expected=f"at most {MOST_COLUMNS:,} columns"
        )
    cells = [[' '.join((cell or '').split()) for cell in record] for record in head]
    filled = [index for index, record in enumerate(cells) if any(record)]
    if not filled:
        raise NotATable("nothing but blank rows", where=where, expected="a row of column names")
    hits = [sum(plain(cell[:200]) in known for cell in record if cell) for record in cells]
    best = max(range(len(cells)), key=lambda index: hits[index])
    lower = best if hits[best] else filled[0]
    names = cells[lower]
    if lower and any(cells[lower - 1]) and _has_blocks(cells[lower - 1], names, known):
        names = _joined(cells[lower - 1], names)
    return Header(_checked(names, where), lower + 1)


def _has_blocks(upper: list[str], lower: list[str], known: Collection[str]) -> bool:
    repeated = any(count > 1 for name, count in Counter(lower).items() if name)
    fills_gaps = any(
        plain(over) in known and not under for over, under in zip(upper, lower, strict=False)
    )
    return repeated or fills_gaps


def _joined(upper: list[str], lower: list[str]) -> list[str]:
    width = max(len(upper), len(lower))
    over = upper + [''] * (width - len(upper))
    under = lower + [''] * (width - len(lower))
    counts = Counter(name for name in under if name)
    several = any(count > 1 for count in counts.values())
    names, block = [], ''
    for above, below in zip(over, under, strict=True):
        block = above or block
        alone = several and counts[below] == 1 and not above
        names.append(f'{block}: {below}' if below and block and not alone else below or above)
    return names


def _checked(names: list[str], where: str) -> tuple[str, ...]:
    while names and not names[-1]:
        names = names[:-1]
    reasons = len(REASON_COLUMNS)
    if tuple(names[-reasons:]) == REASON_COLUMNS and len(names) > reasons:
        names = names[:-reasons] + [f'{REASON_MARK}{name}' for name in REASON_COLUMNS]
    twice = [name for name, count in Counter(names).items() if name and count > 1]
    if twice:
        raise ColumnsNotFound(
            f"more than one column called {', '.join(repr(n) for n in twice[:5])}",
            where=where,
            expected="a name of its own for each column",
            remedy="rename all but one of them",
        )
    return tuple(name or f'column {index}' for index, name in enumerate(names, start=1))
