"""The tasting file as the desk edits it: form and file are the same thing."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from halfpoint.errors import FileNotReadable, InputError, UsageError
from halfpoint.ledger.replay import State
from halfpoint.serve.problems import Refused
from halfpoint.tasting.load import load_tasting
from halfpoint.tasting.model import Tasting
from halfpoint.tasting.write import as_form, from_form, tasting_toml
from halfpoint.writing import write_text_safely

Raw = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Text:
    """The file as it is. `digest` is the SHA-256 of its bytes, '' for no file."""

    text: str
    digest: str

    @classmethod
    def of(cls, path: Path) -> Text:
        """Read the file; an empty text when there is none.

        Raises:
            FileNotReadable: it is there, and cannot be read.
        """
        try:
            content = path.read_bytes()
        except FileNotFoundError:
            return cls('', '')
        except OSError as reason:
            raise FileNotReadable(
                (reason.strerror or str(reason)).lower(),
                where=str(path),
                expected="a tasting file",
                remedy="allow reading it",
            ) from reason
        return cls(content.decode('utf-8-sig', 'replace'), digest_of(content))


@dataclass(frozen=True, slots=True)
class Said:
    """What is wrong somewhere, in words; `where` names table and key, '' for the whole."""

    where: str
    found: str
    expected: str


@dataclass(frozen=True, slots=True)
class Checked:
    """A text that was looked over: the form it has, the tasting it makes, or what is wrong."""

    text: str
    form: Raw | None
    tasting: Tasting | None
    problems: tuple[Said, ...] = field(default=())


def digest_of(content: bytes) -> str:
    """What tells one edition of the file from another."""
    return hashlib.sha256(content).hexdigest()


def text_of(form: Mapping[str, Any]) -> str:
    """The file that a form makes.

    Raises:
        Refused: it says something that no file can hold.
    """
    text = tasting_toml(from_form(form))
    try:
        text.encode('utf-8')
        tomllib.loads(text)
    except (ValueError, RecursionError) as reason:
        raise Refused(
            422,
            'not-a-form',
            "a form that makes no tasting file",
            where='form',
            expected="tables and values as in a tasting file",
            remedy="load the page again",
        ) from reason
    return text


def check_text(text: str, path: Path) -> Checked:
    """Look over a text as if it stood in the file at `path`; nothing is written there."""
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as reason:
        expected = 'key = value lines under [table] or [[table]] headings; text in "quotes"'
        return Checked(text, None, None, (Said('', f"not valid TOML: {reason}", expected),))
    form = as_form(raw)
    try:
        return Checked(text, form, _as_if_at(text, path))
    except InputError as refusal:
        return Checked(text, form, None, tuple(_said(refusal, path)))


def write_text(text: str, path: Path, base: str) -> Text:
    """Put a text in the file's place, whole or not at all; give it as it is now.

    Args:
        text: what was checked.
        path: the file.
        base: digest of the edition that was edited.

    Raises:
        Refused: 409, somebody else has written meanwhile.
        DiskFull, OutputError: nothing was written.
    """
    now = Text.of(path)
    if now.digest != base:
        raise Refused(
            409,
            'changed-meanwhile',
            "the tasting file has changed since it was opened here",
            where='base',
            expected="the edition that is there now",
            remedy="keep your text, load the page again, and put in what you changed",
        )
    write_text_safely(path, text)
    return Text.of(path)


def refuse_orphans(tasting: Tasting, state: State, before: Tasting | None) -> None:
    """Refuse a file without something by which there are entries; what it is, is told.

    Raises:
        UsageError: wines, sites, categories or the key would be taken from under entries.
    """
    lost = [
        *_missing("wine", _used(state, 'wine'), {wine.key for wine in tasting.wines}),
        *(
            _missing("site", _used(state, 'site'), {site.key for site in tasting.sites})
            if tasting.sites
            else ()
        ),
        *_missing("taster", _listed(state, before), {taster.key for taster in tasting.tasters}),
        *_missing("category", _marked(state), set(tasting.sheet.categories_by_key)),
        *_other_key(tasting, before, state),
    ]
    if lost:
        raise UsageError(
            "; ".join(lost),
            where="the tasting file",
            expected="everything that recorded entries are about",
            remedy="put it back; to leave wines or tasters out of the result, set them aside",
        )


def _used(state: State, name: str) -> dict[str, int]:
    counts: dict[str, int] = {}
    for entry in state.entries.values():
        key = getattr(entry.now, name)
        if key is not None:
            counts[key] = counts.get(key, 0) + 1
    return counts


def _listed(state: State, before: Tasting | None) -> dict[str, int]:
    """Entries of tasters that the file lists so far; those it never listed need no line."""
    listed = {taster.key for taster in before.tasters} if before else set()
    return {key: count for key, count in _used(state, 'taster').items() if key in listed}


def _marked(state: State) -> dict[str, int]:
    counts: dict[str, int] = {}
    for entry in state.entries.values():
        for key in entry.now.marks:
            counts[key] = counts.get(key, 0) + 1
    return counts


def _missing(what: str, used: Mapping[str, int], there: AbstractSet[str]) -> Iterator[str]:
    for key, count in used.items():
        if key not in there:
            yield f"{what} {key} is gone, and {count:,} recorded entries are about it"


def _other_key(tasting: Tasting, before: Tasting | None, state: State) -> Iterator[str]:
    if before is not None and state.last and tasting.key != before.key:
        yield f"the key {tasting.key}, where the record belongs to {before.key}"
    if before is not None and state.last and tasting.ledger != before.ledger:
        yield "another place for the record, while this one is served"


def _as_if_at(text: str, path: Path) -> Tasting:
    """Load a text; paths in it are taken from the folder of the file."""
    with TemporaryDirectory(prefix='halfpoint-') as folder:
        draft = Path(folder) / path.name
        draft.write_text(text, encoding='utf-8')
        found = load_tasting(draft, folder=path.parent)
    return found.model_copy(update={'source': path})


def _said(refusal: InputError, path: Path) -> Iterator[Said]:
    """One for each line of a refusal, without the name of the draft."""
    lines = refusal.found.splitlines()
    if len(lines) == 1:
        where = refusal.where.rpartition(f'{path.name}, ')[2] if refusal.where else ''
        yield Said('' if where.endswith(path.name) else where, refusal.found, refusal.expected)
        return
    for line in lines[1:]:
        where, _, rest = line.strip().partition(': found ')
        found, _, expected = rest.partition('; expected ')
        yield Said(where, found, expected)
