"""The JSON of a past result, read."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from halfpoint.errors import FileNotReadable, InputError

MOST_BYTES = 200_000_000
EXPECTED = "what `halfpoint results --json FILE` wrote"


def read_result(path: Path, expected: str = EXPECTED) -> Any:
    """Whatever JSON the file holds.

    Raises:
        FileNotReadable: missing, a folder, or no permission.
        InputError: larger than any result, or no JSON.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError("more than any result holds", where=str(path), expected=expected)
        return json.loads(path.read_bytes())
    except OSError as reason:
        raise FileNotReadable(
            f"could not be read ({(reason.strerror or str(reason)).lower()})",
            where=str(path),
            expected=expected,
        ) from None
    except (ValueError, RecursionError):
        raise InputError("this is not JSON", where=str(path), expected=expected) from None
