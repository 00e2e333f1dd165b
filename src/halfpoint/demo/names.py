"""Names for people who do not exist, put together from invented syllables."""

from __future__ import annotations

from itertools import product

import numpy as np

_FIRST = ('Al', 'Bre', 'Cor', 'Da', 'El', 'Fi', 'Gwe', 'Ho', 'Il', 'Jo', 'Ke', 'Lu', 'Ma', 'Ne')
_LAST_OF_FIRST = ('dan', 'la', 'mira', 'nell', 'rik', 'sa', 'vin', 'wyn')
_FAMILY = ('Amber', 'Brack', 'Copper', 'Dill', 'Elder', 'Fern', 'Gorse', 'Hazel', 'Ivel', 'Larch')
_LAST_OF_FAMILY = ('by', 'cote', 'der', 'fold', 'gate', 'low', 'mere', 'nook', 'thwaite', 'ward')


def invent_names(rng: np.random.Generator, count: int) -> list[str]:
    """`count` different full names (at most 11,200)."""
    firsts = [''.join(parts) for parts in product(_FIRST, _LAST_OF_FIRST)]
    families = [''.join(parts) for parts in product(_FAMILY, _LAST_OF_FAMILY)]
    picks = rng.choice(len(firsts) * len(families), size=count, replace=False)
    return [f'{firsts[pick % len(firsts)]} {families[pick // len(firsts)]}' for pick in picks]
