"""How large pictures and files may be, and how long a page may take."""

from __future__ import annotations

# The reader works on 1,700 to 3,500 pixels.
LONG_SIDE = 3_600

# A JPEG of more pixels than this is halved while it is decoded, until it has fewer. Halving
# saves a sixth of the time, and hides that a page was scanned in black and white: A4 at 600 dpi
# has 35 million.
HALVED_ABOVE = 40_000_000

# Past these a picture is held before it is decoded; A3 at 600 dpi has 70 million pixels.
MOST_PIXELS = 120_000_000
MOST_SIDE = 30_000

# Points a page of a PDF is made up of are rendered at 200 to the inch; a smaller page in more.
RENDERED_PER_POINT = 200 / 72
SHORTEST_LONG_SIDE = 2_339
MOST_PER_POINT = 20.0

# Things drawn on one page of a PDF; a printed score sheet has about 3,000.
MOST_OBJECTS = 100_000

MOST_PAGES = 100_000
MOST_BYTES = 16 * 1024**3

# The largest picture that is not held takes 1 GB for a moment.
MEMORY_FOR_DECODING = 3 * 1024**3

# A page takes 5 to 300 ms; one that takes longer than this is made to hang whoever opens it.
SECONDS_A_PAGE = 30.0
