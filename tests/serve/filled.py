"""Sheets as the app sends them."""

from __future__ import annotations

import uuid
from typing import Any

DEVICE = '6f1c0f52-6c1e-4b5e-9c55-0d8f4a1f7a10'
OTHER = '0d9f6a33-17c1-4a3b-8d0e-2b7c55d1e902'
MARKS = {'appearance': 3, 'aroma': 4.5, 'taste': 4, 'aftertaste': 2, 'overall': 1.5}


def pour_id(code: str, device: str = DEVICE) -> str:
    """The id that a device has for a pour."""
    return str(uuid.uuid5(uuid.UUID(device), code))


def sheet(
    code: str, version: int = 1, device: str = DEVICE, aroma: float | None = 4.5, **others: Any
) -> dict[str, Any]:
    """A filled sheet for one pour."""
    marks = {**MARKS, 'aroma': aroma}
    return {
        'id': pour_id(code, device), 'version': version, 'code': code, 'marks': marks,
        'complete': True, **others,
    }  # fmt: skip


def body(*entries: dict[str, Any], device: str = DEVICE) -> dict[str, Any]:
    """A request with these sheets."""
    return {'device': device, 'app': '1.0', 'entries': list(entries)}
