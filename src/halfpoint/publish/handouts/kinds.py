"""The kinds of paper: what each is called, how it is made, and who may see it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from halfpoint.publish.handouts.bag_tags import bag_tags
from halfpoint.publish.handouts.cellar_key import bag_list, cellar_key, cellar_list
from halfpoint.publish.handouts.evening import Evening
from halfpoint.publish.handouts.pour_sheet import pour_sheet
from halfpoint.publish.handouts.run_sheet import run_sheet
from halfpoint.publish.handouts.seat_labels import seat_labels
from halfpoint.publish.handouts.table_cards import table_cards
from halfpoint.typeface.letters import one_line

Bagging = Literal['host', 'organiser']
SHOPPING_LIST = 'shopping-list'


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of paper made for each site. `bagging` limits it to one way of bagging."""

    name: str
    compose: Callable[[Evening], dict[str, Any]]
    names_wines: bool = False
    bagging: Bagging | None = None

    @property
    def template(self) -> str:
        """The Typst template, beside this file."""
        return self.name.replace('-', '_')


# A later kind, such as printed score sheets, is a line here and a template beside it.
SITE_KINDS: tuple[Kind, ...] = (
    Kind('run-sheet', run_sheet),
    Kind('pour-sheet', pour_sheet),
    Kind('bag-tags', bag_tags),
    Kind('table-cards', table_cards),
    Kind('seat-labels', seat_labels),
    Kind('bag-list', bag_list, bagging='organiser'),
    Kind('cellar-key', cellar_key, names_wines=True),
    Kind('cellar-list', cellar_list, names_wines=True),
)
KINDS: tuple[str, ...] = (*(kind.name for kind in SITE_KINDS), SHOPPING_LIST)
NAMING_KINDS = frozenset({SHOPPING_LIST, *(kind.name for kind in SITE_KINDS if kind.names_wines)})


def kinds_for(only: Sequence[str], bagging: Bagging) -> tuple[Kind, ...]:
    """The kinds to print: those named, or else all that suit the way of bagging."""
    if only:
        return tuple(kind for kind in SITE_KINDS if kind.name in only)
    return tuple(kind for kind in SITE_KINDS if kind.bagging in (None, bagging))


def parts_of(evenings: Sequence[Evening], kind: Kind) -> list[dict[str, Any]]:
    """What a paper of some sites says, site by site; `short` is the name for small pieces."""
    return [
        {'site': one_line(evening.site.name, 90), 'short': one_line(evening.site.name, 48)}
        | kind.compose(evening)
        for evening in evenings
    ]
