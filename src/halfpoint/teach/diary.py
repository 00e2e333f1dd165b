"""A learner's practice file: what was marked, a line each, only ever added to.

JSON Lines. It stays on the learner's own device; nothing is sent anywhere. The sheet and what the
panel said are kept in it, so that it needs nothing else. A later line may correct an earlier one;
nothing is written over. A last line cut short, as by a flat battery, is told and left as it is.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

from halfpoint.errors import FileNotReadable, InputError, OutputError
from halfpoint.plan.difference import Test
from halfpoint.sheet.entry import Entry
from halfpoint.sheet.form import Sheet
from halfpoint.teach.practice_set import reference_in, reference_out
from halfpoint.teach.prior import Prior
from halfpoint.teach.reference import Reference
from halfpoint.writing import writing_refusal

FORM = 1
LEARNER = 'learner'


@dataclass(frozen=True, slots=True)
class Marked:
    """One wine marked in one session; `corrects` says that it stands for the one before."""

    session: str
    entry: Entry
    corrects: bool = False


@dataclass(frozen=True, slots=True)
class Drilled:
    """A difference drill: right answers of so many; `pair` names the two wines, '' for none."""

    session: str
    test: Test
    answers: int
    right: int
    pair: str = ''


@dataclass(frozen=True, slots=True)
class PastLevel:
    """The learner's level at an earlier tasting, in points below its panel."""

    label: str
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Stage:
    """Marks that have one reference, from a panel or none; `own` is a prior of one's own.

    `past` are the learner's levels at tastings of earlier years, the earliest first.
    """

    reference: Reference | None
    own: Prior | None
    marked: tuple[Marked, ...] = ()
    past: tuple[PastLevel, ...] = ()


@dataclass(frozen=True, slots=True)
class Diary:
    """A whole practice file. `unread` are numbers of lines that could not be understood."""

    sheet: Sheet
    stages: tuple[Stage, ...]
    drilled: tuple[Drilled, ...]
    unread: tuple[int, ...]

    @property
    def reference(self) -> Reference | None:
        """What marks are compared with from now on."""
        return self.stages[-1].reference


def begin(
    path: Path,
    sheet: Sheet,
    reference: Reference | None,
    own: Prior | None = None,
    past: tuple[PastLevel, ...] = (),
) -> None:
    """Begin a practice file, or go on in one with another reference.

    Raises:
        InputError: the file there is on another sheet, or no practice file.
        OutputError: it could not be written.
    """
    if path.exists():
        there = read_diary(path)
        if there.sheet != sheet:
            raise InputError(
                f"this practice is on the sheet {there.sheet.label}",
                where=str(path),
                expected=f"a practice on {sheet.label}",
                remedy="begin another practice file for this sheet",
            )
    _append(
        path,
        {
            'kind': 'begun',
            'form': FORM,
            'sheet': sheet.model_dump(mode='json'),
            'reference': None if reference is None else reference_out(reference),
            'own': None if own is None else asdict(own),
            **({'past': [asdict(one) for one in past]} if past else {}),
        },
    )


def note(path: Path, marked: Marked) -> None:
    """Add a marked wine; on the disk when this returns."""
    entry = asdict(replace(marked.entry, marks=dict(marked.entry.marks)))
    told = {name: value for name, value in entry.items() if value not in (None, '', ())}
    _append(
        path,
        {'kind': 'marked', 'session': marked.session, 'corrects': marked.corrects, 'entry': told},
    )


def note_drill(path: Path, drilled: Drilled) -> None:
    """Add the answers of a drill; on the disk when this returns."""
    _append(path, {'kind': 'drilled', **asdict(drilled)})


def read_diary(path: Path) -> Diary:
    """Everything a practice file holds.

    Raises:
        FileNotReadable: missing, a folder, or no permission.
        InputError: not a practice file.
    """
    try:
        text = path.read_bytes().decode('utf-8', 'replace')
    except OSError as reason:
        raise FileNotReadable(
            f"could not be read ({(reason.strerror or str(reason)).lower()})",
            where=str(path),
            expected="a practice file",
            remedy="begin one with --from RESULT.json, or --own for bottles without a reference",
        ) from None
    building = _Building()
    for number, line in enumerate(text.split('\n'), start=1):
        if line.strip():
            building.take(number, line)
    return building.done(path)


@dataclass(slots=True)
class _Building:
    """A diary as its lines are read."""

    sheet: Sheet | None = None
    stages: list[Stage] = field(default_factory=list)
    drilled: list[Drilled] = field(default_factory=list)
    unread: list[int] = field(default_factory=list)

    def take(self, number: int, line: str) -> None:
        """Take one line, or remember that it could not be understood."""
        try:
            record = json.loads(line)
            takes = {'begun': self._begun, 'marked': self._marked, 'drilled': self._drill}
            takes[record.pop('kind')](record)
        except (ValueError, KeyError, TypeError, AttributeError, IndexError):
            self.unread.append(number)

    def _begun(self, record: dict[str, Any]) -> None:
        sheet = Sheet.model_validate(record['sheet'])
        reference = None if record['reference'] is None else reference_in(record['reference'])
        own = None if record['own'] is None else Prior(**record['own'])
        self.sheet = self.sheet or sheet
        past = tuple(PastLevel(**one) for one in record.get('past', ()))
        self.stages.append(Stage(reference, own, past=past))

    def _marked(self, record: dict[str, Any]) -> None:
        tuples: dict[str, Any] = {
            name: tuple(value) if isinstance(value, list) else value
            for name, value in record['entry'].items()
        }
        marked = Marked(str(record['session']), Entry(**tuples), bool(record['corrects']))
        stage = self.stages[-1]
        self.stages[-1] = replace(stage, marked=(*stage.marked, marked))

    def _drill(self, record: dict[str, Any]) -> None:
        self.drilled.append(Drilled(**record))

    def done(self, path: Path) -> Diary:
        """The diary.

        Raises:
            InputError: no line began a practice.
        """
        if self.sheet is None:
            raise InputError(
                "this is not a practice file",
                where=str(path),
                expected="a file that `halfpoint practice` began",
                remedy="name another file; this one was left as it is",
            )
        return Diary(self.sheet, tuple(self.stages), tuple(self.drilled), tuple(self.unread))


def standing(marked: tuple[Marked, ...]) -> Iterator[Marked]:
    """The marks that count: a correction stands in the place of what it corrects."""
    kept: list[Marked] = []
    for one in marked:
        same = [
            at
            for at, other in enumerate(kept)
            if (other.session, other.entry.wine) == (one.session, one.entry.wine)
        ]
        if one.corrects and same:
            kept[same[-1]] = one
        else:
            kept.append(one)
    yield from kept


def _append(path: Path, record: Mapping[str, Any]) -> None:
    """Add a line, and wait until it is on the disk.

    Raises:
        OutputError: it could not be written.
    """
    line = json.dumps(record, ensure_ascii=False, allow_nan=False, separators=(',', ':'))
    try:
        with path.open('ab+') as stream:
            stream.seek(0, os.SEEK_END)
            if stream.tell():
                stream.seek(-1, os.SEEK_END)
                # A line that was cut short stays one line, and this one is whole.
                line = line if stream.read(1) == b'\n' else f'\n{line}'
            stream.write(f'{line}\n'.encode())
            stream.flush()
            os.fsync(stream.fileno())
    except OSError as reason:
        refusal: OutputError = writing_refusal(path, reason)
        raise refusal from reason
