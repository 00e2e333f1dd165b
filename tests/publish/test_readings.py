"""The readings as JSON, and the page about them."""

from __future__ import annotations

from halfpoint.publish.export.readings import MEANINGS, readings_schema


def test_every_field_is_explained_and_none_that_is_not_there() -> None:
    """The words of the page are those of the schema's fields, no more and no fewer."""
    schema = readings_schema()
    shapes = [schema, *schema['$defs'].values()]
    fields = {name for shape in shapes for name in shape['properties']}
    assert fields == {name.rsplit('.', 1)[-1] for name in MEANINGS}
