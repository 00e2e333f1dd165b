"""The form of a score sheet file as a JSON Schema, made from the code."""

from __future__ import annotations

from typing import Any

from halfpoint.sheet.form import Sheet


def sheet_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a score sheet file."""
    return {
        '$schema': 'https://json-schema.org/draft/2020-12/schema',
        **Sheet.model_json_schema(mode='validation'),
    }
