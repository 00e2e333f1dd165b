"""Names and consent that were typed at the desk, which keeps them in a file of its own."""

from __future__ import annotations

from pathlib import Path

from halfpoint.cli._parts import check_serving_parts
from halfpoint.tasting.model import Taster, Tasting


def with_desk_names(tasting: Tasting, tasting_file: Path) -> Tasting:
    """The tasting with what the desk knows of its tasters, which goes before the tasting file.

    Raises:
        UsageError: there is such a file, and the parts to read it are not installed.
        LedgerError: it is damaged.
    """
    file = tasting_file.with_suffix('.desk')
    if not file.exists():
        return tasting
    check_serving_parts(str(file))
    from halfpoint.serve.desk_store import DeskStore

    with DeskStore(file) as desk:
        typed = {named.taster: named for named in desk.names()}
    listed = {taster.key: taster for taster in tasting.tasters}
    for key, named in typed.items():
        before = listed.get(key) or Taster(key=key)
        own = {'name': named.name or before.name, 'consent': named.consent}
        listed[key] = before.model_copy(update=own)
    return tasting.model_copy(update={'tasters': tuple(listed.values())})
