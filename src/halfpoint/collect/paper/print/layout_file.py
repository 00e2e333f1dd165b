"""The layout as JSON, its schema, and the letters that tell one form from another."""

from __future__ import annotations

import hashlib
from functools import cache
from typing import Any

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from halfpoint.collect.paper.print.layout import Layout

DIALECT = 'https://json-schema.org/draft/2020-12/schema'


class _Generate(GenerateJsonSchema):
    def dataclass_schema(self, schema: core_schema.DataclassSchema) -> JsonSchemaValue:
        """Nothing but the fields."""
        return {**super().dataclass_schema(schema), 'additionalProperties': False}

    def field_title_should_be_set(self, schema: Any) -> bool:
        """No titles: the names of fields say enough."""
        return False


@cache
def _adapter() -> TypeAdapter[Layout]:
    return TypeAdapter(Layout)


def layout_json(layout: Layout) -> str:
    """The layout as a JSON document; the same layout gives the same text."""
    return _adapter().dump_json(layout, indent=2).decode() + '\n'


def layout_data(layout: Layout) -> dict[str, Any]:
    """The layout as plain data."""
    found: dict[str, Any] = _adapter().dump_python(layout, mode='json')
    return found


def layout_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of what `layout_json` writes."""
    made = _adapter().json_schema(mode='serialization', schema_generator=_Generate)
    return {'$schema': DIALECT, **made, 'title': 'halfpoint sheet layout'}


def form_of(layout: Layout) -> str:
    """Eight letters that change with anything that stands elsewhere or says something else."""
    return hashlib.sha256(layout_json(layout).encode()).hexdigest()[:8]
