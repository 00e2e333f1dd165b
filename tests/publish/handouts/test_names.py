"""Names of folders for sites of any name."""

from __future__ import annotations

import re

from hypothesis import given
from hypothesis import strategies as st

from halfpoint.publish.handouts.names import LONGEST, folder_names, plain_name


@given(st.lists(st.text(max_size=80), unique=True, max_size=20))
def test_any_disk_can_hold_them(keys: list[str]) -> None:
    """Every key has a name of its own: small letters, digits and hyphens, not long."""
    names = folder_names(keys, taken=['organiser'])
    assert keys == list(names)
    assert len(keys) == len(set(names.values()))
    for name in names.values():
        assert re.fullmatch(r'[a-z0-9]+(-[a-z0-9]+)*', name)
        assert len(name) <= LONGEST + 4
        assert name not in {'organiser', 'con', 'nul'}


def test_names_stay_readable() -> None:
    """Accents go, what is alike is numbered, what has no letters is a site by number."""
    assert 'saint-eloi-hall-2' == plain_name("Saint-Éloi / hall 2")
    expected = {'Hall': 'hall', 'hall!': 'hall-2', '東': 'site', '../..': 'site-2', 'CON': 'con-2'}
    assert expected == folder_names(expected)
    assert {'Organiser': 'organiser-2'} == folder_names(['Organiser'], taken=['organiser'])
