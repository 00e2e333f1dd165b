"""Which way a page comes home, by its seed alone."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from halfpoint.demo.paper import DAMAGED, GOOD, STYLES

SCANS, PHOTOGRAPHS, DAMAGED_PAGES, ALL = 'scans', 'photographs', 'damaged', 'all'
GROUPS = (SCANS, PHOTOGRAPHS, DAMAGED_PAGES, ALL)

# A share of the pages for each group, spread evenly over its styles.
SHARES: Mapping[str, float] = {SCANS: 0.45, PHOTOGRAPHS: 0.35, DAMAGED_PAGES: 0.20}
_STYLES: Mapping[str, tuple[str, ...]] = {
    SCANS: tuple(name for name in GOOD if STYLES[name].device == 'scan'),
    PHOTOGRAPHS: tuple(name for name in GOOD if STYLES[name].device == 'photo'),
    DAMAGED_PAGES: DAMAGED,
}
# Keeps the draw of the style apart from what the seed draws on the page.
_APART = 45_35_20


def style_of(seed: int) -> str:
    """The style of the page with this seed."""
    rng = np.random.default_rng([_APART, seed])
    group = tuple(SHARES)[int(rng.choice(len(SHARES), p=list(SHARES.values())))]
    styles = _STYLES[group]
    return styles[int(rng.integers(len(styles)))]


def group_of(style: str) -> str:
    """The group that a style belongs to."""
    if not STYLES[style].good:
        return DAMAGED_PAGES
    return SCANS if STYLES[style].device == 'scan' else PHOTOGRAPHS
