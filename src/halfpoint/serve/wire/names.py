"""Names as people type them."""

from __future__ import annotations

from typing import Annotated

from pydantic import StringConstraints

TypedName = Annotated[
    str, StringConstraints(strip_whitespace=True, max_length=80, pattern=r'^[^\x00-\x1f\x7f]*$')
]
