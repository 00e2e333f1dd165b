"""Are sheets read right, and how fast? Simulated pages, hostile pages, and a stack of scans.

The pages come from `halfpoint.demo.paper`, which knows nothing of the reader, each from a seed:
45 % good scans, 35 % good photographs, 20 % damaged in every way the simulator knows.

How a page is scored:

- A mark is *accepted* where no look names its category and a number stands, or where its wine was
  read as left empty. It is *wrong* where the writer meant anything else; two marks of which
  nothing says which is meant are wrong whatever is accepted.
- A box is accepted where no look names it, and wrong where it was read as ticked and was not meant
  to be, or the other way round. The boxes of a wine left empty are read as not ticked.
- A row or box is *clean* by the simulator: one ordinary mark and no foreign ink. A clean one that
  is not accepted goes to a person; so do all of a page that is held.
- A page is given a wrong identity where its digits or any code are not those printed on it.
- Looks at codes and seats of spares are not counted among the looks of a page: these are written
  by hand, and a person reads them.
- The bounds are exact, one-sided, 95 % (Clopper and Pearson 1934, by SciPy). They take marks as
  independent, which those of one writer are not quite; pages with anything wrong are counted too.

The reader, the form and the simulator are told by SHA-256, and a run is kept only where none of
them changed meanwhile. `make bench` takes seeds from 6,000,000 on. The proof that the documentation
states takes others, which nobody looked at before and nothing was tuned on: README.md says which
were used.
"""

from __future__ import annotations

import argparse
import sys

from measure.paper_document import section
from measure.paper_hostile import refuse_hostile
from measure.paper_proof import USUAL, Asked, prove
from measure.paper_speed import time_reading

PAGES, SPEED_PAGES = 400, 300
FIRST_SEED = 6_000_000


def arguments() -> argparse.Namespace:
    """What was asked: everything, briefly, unless said otherwise."""
    parser = argparse.ArgumentParser(description=__doc__.partition('\n')[0] if __doc__ else '')
    parser.add_argument('--proof', action='store_true', help='only read and score pages')
    parser.add_argument('--hostile', action='store_true', help='only the hostile pages')
    parser.add_argument('--speed', action='store_true', help='only speed and memory')
    parser.add_argument(
        '--document', action='store_true', help='only print the kept figures for measured.md'
    )
    parser.add_argument('--pages', type=int, default=PAGES, help='pages of the proof')
    parser.add_argument('--first-seed', type=int, default=FIRST_SEED)
    parser.add_argument('--resume', action='store_true', help='go on with a stopped proof')
    parser.add_argument('--sheet', default=USUAL[0])
    parser.add_argument('--wines-a-page', type=int, default=USUAL[1])
    parser.add_argument('--speed-pages', type=int, default=SPEED_PAGES)
    return parser.parse_args()


def main() -> int:
    """Do what was asked; 1 when a figure misses what it is meant to be."""
    asked = arguments()
    if asked.document:
        print(section())
        return 0
    all_parts = not (asked.proof or asked.hostile or asked.speed)
    missed = 0
    if asked.proof or all_parts:
        missed |= prove(
            Asked(asked.pages, asked.first_seed, asked.sheet, asked.wines_a_page, asked.resume)
        )
    if asked.hostile or all_parts:
        missed |= refuse_hostile(asked.first_seed)
    if asked.speed or all_parts:
        missed |= time_reading(asked.speed_pages, asked.first_seed)
    return missed


if __name__ == '__main__':
    try:
        sys.exit(main())
    except KeyboardInterrupt:
        sys.exit("stopped; a proof goes on with --resume")
