"""Names and consent that were typed at the desk, which go before those of the tasting file."""

from __future__ import annotations

from collections.abc import Iterable

from halfpoint.serve.desk_store import Named
from halfpoint.tasting.model import Taster, Tasting


def with_desk_names(tasting: Tasting, names: Iterable[Named]) -> Tasting:
    """The tasting with these names and consents of its tasters."""
    listed = {taster.key: taster for taster in tasting.tasters}
    for named in names:
        before = listed.get(named.taster) or Taster(key=named.taster)
        own = {'name': named.name or before.name, 'consent': named.consent}
        listed[named.taster] = before.model_copy(update=own)
    return tasting.model_copy(update={'tasters': tuple(listed.values())})
