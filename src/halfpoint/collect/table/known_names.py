"""Names as they are written, to the keys of the tasting."""

from __future__ import annotations

from halfpoint.collect.table.poured import unlisted_seat
from halfpoint.errors import UsageError
from halfpoint.sheet.words import did_you_mean
from halfpoint.tasting.model import Site, Taster, Tasting, Wine


def known_taster(tasting: Tasting, text: str) -> str:
    """The taster's key; as written when the tasting file lists no tasters.

    Who sits on a seat for which nobody is listed is called by it.
    """
    seat = unlisted_seat(tasting, text)
    if seat and tasting.find_taster(text) is None:
        return seat
    return _key(text, tasting.find_taster(text), tasting.tasters, "taster")


def known_wine(tasting: Tasting, text: str) -> str:
    """The wine's key."""
    return _key(text, tasting.find_wine(text), tasting.wines, "wine")


def known_site(tasting: Tasting, text: str) -> str:
    """The site's key; as written when the tasting file lists no sites."""
    return _key(text, tasting.find_site(text), tasting.sites, "site")


def _key(
    text: str,
    found: Taster | Wine | Site | None,
    listed: tuple[Taster | Wine | Site, ...],
    role: str,
) -> str:
    if found is not None:
        return found.key
    if not listed:
        return text.strip()
    spoken = [name for part in listed for name in (part.key, part.name) if name]
    raise UsageError(
        f"'{text}'",
        where=f"--{role}",
        expected=f"a {role} of this tasting{did_you_mean(text, spoken)}",
    )
