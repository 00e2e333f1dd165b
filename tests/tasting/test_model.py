"""Finding wines, sites and tasters by what people write."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfpoint.sheet.load import load_sheet
from halfpoint.tasting.model import Site, Taster, Tasting, Wine

TASTING = Tasting(
    key='t',
    title="T",
    sheet=load_sheet('liking'),
    wines=(
        Wine(key='W01', name="Amber Hill"),
        Wine(key='W02', name="Long Meadow"),
        Wine(key='W03', name="Long  meadow"),
        Wine(key='Amber hill', name="Mislabelled"),
    ),
    sites=(Site(key='north', name="North Room"),),
    tasters=(Taster(key='7'), Taster(key='8', name="Jo Tarn"), Taster(key='9', name="JO TARN")),
    ledger=Path('t.ledger'),
    source=Path('t.toml'),
)


@pytest.mark.parametrize(
    ('text', 'key'),
    [
        ("W01", 'W01'),
        (" w01 ", 'W01'),
        ("mislabelled", 'Amber hill'),
        ("AMBER  HILL", 'Amber hill'),
        ("Long Meadow", None),
        ("W04", None),
        ("", None),
    ],
)
def test_a_wine_is_found_by_key_or_name(text: str, key: str | None) -> None:
    """A key wins over a name, and a name that two wines have finds neither."""
    wine = TASTING.find_wine(text)
    assert key == (wine.key if wine else None)


def test_sites_are_found_the_same_way() -> None:
    """By key or by name."""
    assert TASTING.sites[0] == TASTING.find_site("NORTH") == TASTING.find_site("north  room")
    assert TASTING.find_site("south") is None


def test_tasters_are_found_the_same_way() -> None:
    """A taster without a name is found by key; two of one name only by key."""
    assert '7' == getattr(TASTING.find_taster("7"), 'key', None)
    assert TASTING.find_taster("Jo Tarn") is None
    assert TASTING.find_taster("") is None


@given(st.lists(st.sampled_from('aAbB é'), min_size=1, max_size=6).map(''.join))
def test_every_key_finds_its_own(key: str) -> None:
    """Whatever the key, it is found in any case and spacing, in a copy as well."""
    if not key.strip():
        return
    assert TASTING.find_wine("W01") is not None
    tasting = TASTING.model_copy(update={'wines': (Wine(key=key, name="Other"),)})
    found = tasting.find_wine(f"  {key.upper()}")
    assert tasting.wines[0] == found
