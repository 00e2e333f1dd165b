"""Names of files and folders that every disk can hold, whatever a site is called."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

LONGEST = 40
# Windows keeps these for devices.
_DEVICES = {'con', 'prn', 'aux', 'nul'} | {f'{d}{n}' for d in ('com', 'lpt') for n in range(10)}


def plain_name(text: str) -> str:
    """Small letters a to z, digits and hyphens; empty when nothing of the text is left.

    >>> plain_name("Saint-Éloi / hall 2")
    'saint-eloi-hall-2'
    """
    letters = unicodedata.normalize('NFKD', text).encode('ascii', 'ignore').decode().lower()
    return re.sub(r'[^a-z0-9]+', '-', letters).strip('-')[:LONGEST].strip('-')


def folder_names(
    keys: Iterable[str], *, taken: Iterable[str] = (), otherwise: str = 'site'
) -> dict[str, str]:
    """A folder name for each key, numbered where two would be alike.

    A key without any letter a to z or digit is called as `otherwise` says.

    >>> folder_names(['Hall', 'hall!', '東'])
    {'Hall': 'hall', 'hall!': 'hall-2', '東': 'site'}
    """
    used = {*taken, *_DEVICES}
    names: dict[str, str] = {}
    for key in keys:
        stem = plain_name(key) or otherwise
        name, number = stem, 1
        while name in used:
            number += 1
            name = f'{stem}-{number}'
        used.add(name)
        names[key] = name
    return names
