"""Names of letters that every disk can hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import PurePath

from halfpoint.publish.handouts.names import folder_names, plain_name
from halfpoint.teach.letters.said import Letter

FOLDERS = {'taster': 'tasters', 'host': 'hosts', 'maker': 'makers'}


def with_names(letters: Iterable[Letter]) -> Iterator[tuple[PurePath, Letter]]:
    """Each letter with its file: small letters and hyphens, numbered where two would be alike.

    Called by name, and by key where a name has no letters a to z.
    """
    taken: dict[str, set[str]] = {kind: set() for kind in FOLDERS}
    for letter in letters:
        called = _called(letter)
        name = folder_names([called], taken=taken[letter.kind], otherwise=letter.kind)[called]
        taken[letter.kind].add(name)
        yield PurePath(FOLDERS[letter.kind], f'{name}.pdf'), letter


def _called(letter: Letter) -> str:
    spoken = letter.site if letter.kind == 'host' else letter.name
    return spoken if plain_name(spoken) else letter.key
