"""The kinds of value that a tasting file holds."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Strict, StringConstraints

from halfpoint.sheet.form import ONE_LINE

Style = Literal['sparkling', 'white', 'rose', 'orange', 'red', 'sweet', 'fortified']
Sweetness = Literal['dry', 'off-dry', 'medium', 'sweet']
Name = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=200, pattern=ONE_LINE),
]
Count = Annotated[int, Strict()]
Day = Annotated[date, Strict()]
Flag = Annotated[bool, Strict()]
