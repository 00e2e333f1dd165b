"""Names and consent that were typed at the desk, for a command that has no server."""

from __future__ import annotations

from pathlib import Path

from halfpoint.cli._parts import check_serving_parts
from halfpoint.tasting.model import Tasting


def desk_names(tasting: Tasting, tasting_file: Path) -> Tasting:
    """The tasting with what the desk knows of its tasters, which goes before the tasting file.

    Raises:
        UsageError: there is such a file, and the parts to read it are not installed.
        LedgerError: it is damaged.
    """
    file = tasting_file.with_suffix('.desk')
    if not file.exists():
        return tasting
    check_serving_parts(str(file))
    from halfpoint.serve.desk_names import with_desk_names
    from halfpoint.serve.desk_store import DeskStore

    with DeskStore(file) as desk:
        return with_desk_names(tasting, desk.names())
