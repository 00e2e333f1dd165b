"""The reference page of the layout of a score sheet."""

from __future__ import annotations

from halfpoint.collect.paper.print import layout_schema
from halfpoint.publish.export.sheet_layout import MEANINGS, layout_page


def test_every_field_is_explained_and_none_that_is_not_there() -> None:
    """The words of the page are those of the schema's fields, no more and no fewer."""
    schema = layout_schema()
    shapes = [schema, *schema['$defs'].values()]
    fields = {name for shape in shapes for name in shape['properties']}
    assert fields == {name.rsplit('.', 1)[-1] for name in MEANINGS}


def test_the_page_says_how_the_identity_is_made() -> None:
    """The parts of the payload have 24 digits in all."""
    rows = [line.split('|') for line in layout_page().splitlines() if line.startswith('| ')]
    widths = [int(row[1]) for row in rows if row[1].strip().isdigit()]
    assert 24 == sum(widths)
