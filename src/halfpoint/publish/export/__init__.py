"""The result and the plan as open data: one JSON document, or a folder of CSV tables."""

from __future__ import annotations

from halfpoint.publish.export.document import to_json, write_fields
from halfpoint.publish.export.plan import plan_page, plan_schema, plan_tables
from halfpoint.publish.export.schema import findings_schema, schema_page
from halfpoint.publish.export.tables import write_csv

__all__ = [
    'findings_schema',
    'plan_page',
    'plan_schema',
    'plan_tables',
    'schema_page',
    'to_json',
    'write_csv',
    'write_fields',
]
