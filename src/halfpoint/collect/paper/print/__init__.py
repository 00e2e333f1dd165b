"""Score sheets on paper: each seat's own, and spares, for a site."""

from __future__ import annotations

from halfpoint.collect.paper.print.lay_out import lay_out, most_wines_a_page
from halfpoint.collect.paper.print.layout import Layout
from halfpoint.collect.paper.print.layout_file import form_of, layout_json, layout_schema
from halfpoint.collect.paper.print.pages import Page, numbered_sites, seat_pages, spare_pages

__all__ = [
    'Layout',
    'Page',
    'form_of',
    'lay_out',
    'layout_json',
    'layout_schema',
    'most_wines_a_page',
    'numbered_sites',
    'seat_pages',
    'spare_pages',
]
