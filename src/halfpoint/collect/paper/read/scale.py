"""In what pixels a page is looked at, once it is straightened.

Both images show the frame with a margin around it; a place in millimetres of the frame lies
at `(place + MARGIN) * scale` pixels.
"""

from __future__ import annotations

FINE = 8.0
COARSE = FINE / 2
MARGIN = 4.0
