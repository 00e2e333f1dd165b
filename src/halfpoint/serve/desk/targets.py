"""What is set aside, as the desk names it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from halfpoint.collect.table.poured import unlisted_seat
from halfpoint.errors import UsageError
from halfpoint.ledger.records import Target
from halfpoint.ledger.replay import State
from halfpoint.serve.desk.bodies import Line
from halfpoint.serve.wire.marks import Shape
from halfpoint.sheet.words import did_you_mean
from halfpoint.tasting.model import Tasting


class TargetNamed(Shape):
    """One entry, all of a taster, one site's bottle of a wine, or a held row."""

    entry: Annotated[int, Field(ge=1)] | None = None
    taster: Line | None = None
    site: Line | None = None
    """With `wine`: the bottle of this site."""
    wine: Line | None = None
    held: Annotated[int, Field(ge=1)] | None = None

    @classmethod
    def of(cls, target: Target) -> TargetNamed:
        """As the record has it."""
        return cls(
            entry=target.entry, taster=target.taster, site=target.site, wine=target.wine,
            held=target.held,
        )  # fmt: skip

    def target(self, tasting: Tasting, state: State) -> Target:
        """The target in keys of the tasting.

        Raises:
            UsageError: nothing or more than one thing is named, or a name is not known.
        """
        bottle = self.site is not None or self.wine is not None
        given = [self.entry is not None, self.taster is not None, bottle, self.held is not None]
        if sum(given) != 1:
            raise UsageError(
                "nothing, or more than one thing, to set aside",
                where="target",
                expected="an entry, a taster, a site with a wine, or a held row",
            )
        if self.taster is not None:
            return Target(taster=_taster(tasting, state, self.taster))
        if bottle:
            return _bottle(tasting, self.site, self.wine)
        return Target(entry=self.entry, held=self.held)


def _taster(tasting: Tasting, state: State, text: str) -> str:
    real = {called: key for key, called in state.called.items()}
    if text in real:
        return real[text]
    found = tasting.find_taster(text)
    if found is not None:
        return found.key
    there = {entry.now.taster for entry in state.entries.values()}
    seat = unlisted_seat(tasting, text)
    if seat in there or text in there:
        return text if text in there else seat or text
    raise UsageError(
        f"'{text}'", where="taster", expected=f"a taster in the record{did_you_mean(text, there)}"
    )


def _bottle(tasting: Tasting, site: str | None, wine: str | None) -> Target:
    found = tasting.find_wine(wine or '')
    if found is None:
        raise _unknown(wine, "wine", [each.name for each in tasting.wines])
    room = tasting.find_site(site) if site else None
    if tasting.sites and room is None:
        raise _unknown(site, "site", [each.key for each in tasting.sites])
    return Target(site=room.key if room else site, wine=found.key)


def _unknown(text: str | None, role: str, known: list[str]) -> UsageError:
    expected = f"a {role} of this tasting{did_you_mean(text or '', known)}"
    return UsageError(f"'{text or ''}'", where=role, expected=expected)
