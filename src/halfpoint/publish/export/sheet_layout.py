"""The reference page of the layout of a score sheet: the form, its identity, the JSON."""

from __future__ import annotations

from halfpoint.collect.paper.print import layout_schema
from halfpoint.publish.export.schema import shape_page

# The words of the reference page; a test holds them complete.
MEANINGS = {
    'version': "version of the form",
    'sheet': "key of the score sheet",
    'wines_a_page': "wines on a page: 3, 4 or 5",
    'width': "width",
    'height': "height",
    'origins': "where the frame begins on each paper, from the paper's top left corner",
    'fiducials': "the four corner markers",
    'side_marks': "ten solid squares down the sides",
    'codes': "the two square codes, which say the same",
    'head': "areas for what is printed on each page by itself",
    'words': "what is printed on every page",
    'blocks': "what is asked about each wine, from above to below",
    'place': "place on the page, from 1",
    'area': "the space it takes",
    'number': "where the place in the serving order is printed",
    'code': "where the blind code is printed",
    'code_cells': "cells for a code written by hand, on spare sheets only",
    'rows': "a row for each category",
    'boxes': "boxes to tick",
    'write_ins': "where something is written",
    'titles': "titles above boxes",
    'category': "key of the category",
    'label': "its printed label",
    'bubbles': "circles to fill, from the lowest",
    'rulers': "rulers above the circles, one for each run",
    'plus': "the sign between two runs; null with one",
    'part': "`whole`, or `coarse` and `fine`: a mark is the sum of one circle of each part",
    'adds': "what the circle adds to the mark",
    'text': "what is printed",
    'centre': "its middle",
    'diameter': "diameter of the middle of its outline",
    'kind': "what sort it is",
    'CodeArea.kind': "`qr` or `data-matrix`",
    'TickBox.kind': "`term`, `family`, `fault` or `band` (of the finish)",
    'WriteIn.kind': "`total`, `seconds` (of the finish) or `remark`",
    'key': "key in the score sheet; of a finish band its label",
    'cells': "a cell for each digit; none in the remark",
    'labels': "words beside it",
    'marker': "its number in the dictionary DICT_4X4_50",
    'modules': "modules across",
    'quiet': "white around it, in millimetres",
    'left': "from the frame's left edge",
    'right': "to here from the frame's left edge",
    'top': "from the frame's upper edge",
    'x': "from the left",
    'y': "from above",
    'ticks': "its ticks",
    'length': "length downwards",
    'size': "largest size of the letters, in points",
    'align': "`left`, `center` or `right`",
    'weight': "`regular` or `semibold`",
    'lines': "most lines",
    'title': "title of the tasting",
    'site': "name of the site",
    'taster': "name of the taster",
    'seat': "the seat",
    'table': "the table",
    'page': "which sheet of how many, or the number of the spare",
    'identity': "the 24 digits in plain print",
    'invented': "that the tasting is made up, when it is",
}
_INTRODUCTION = """# The layout of a score sheet

<!-- Made by tools/reference.py: change the code, then run `make docs`. -->

`halfpoint print … --sheets --layout FILE.json` writes where everything stands on a score sheet.
All places and lengths are millimetres, from the top left corner of one frame of 190 × 257 mm.
The frame lies in the middle of the paper, so the form is the same on A4 and on Letter.
The printed form is drawn from these very numbers, and from nothing else.

## Finding the page

- Four markers of 9 mm stand in the corners, 0 and 1 above, 2 and 3 below: OpenCV's predefined dictionary DICT_4X4_50.
- Ten solid squares of 3 mm stand down the sides.
- A QR code (ISO/IEC 18004, version 1, level Q) stands top right, a Data Matrix (ISO/IEC 16022, 16 × 16) bottom left. Both say the same 24 digits.

## What the 24 digits say

| digits | what |
|---|---|
| 1 | 1 a seat's own sheet, 2 a spare |
| 1 | wines a page |
| 5 | the tasting: SHA-256 of its key |
| 4 | the site: its place in the tasting file, from 1 |
| 4 | the seat, or the number of the spare |
| 2 | page of that seat, from 1 |
| 6 | check: SHA-256 of kind, wines a page, tasting key, site key, place of the site, seat, page, form and blind codes |
| 1 | check digit of the 23 before it (Damm) |

A hash stands for the number it is, its last digits to the base 10.
What goes into a check is written with a line break between its parts.
The form is the first eight letters of the SHA-256 of the layout file.
The last digit finds every single wrong digit and every swap of neighbours.
A page belongs to a plan only when its 24 digits are exactly those that the plan would print: a page of last year's tasting, of another form, or of a seat that has other codes by now has another check.

## Marks

- A category with up to 16 marks has a circle for each, numbered inside.
- A longer one has two runs that are added up: tens and units, or whole points and their parts. A sum that the sheet does not allow, such as 20 + 9 of 25, is no mark.
- Boxes for aromas are one for each word where they fit, and else one for each family.
- The remark keeps 6 mm away from every box, because handwriting climbs.
"""  # noqa: E501


def layout_page() -> str:
    """The reference page, in Markdown."""
    return shape_page(layout_schema(), _INTRODUCTION, MEANINGS)
