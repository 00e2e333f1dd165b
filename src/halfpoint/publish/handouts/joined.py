"""One kind of paper for the whole tasting, as the bytes of a PDF: for the organiser."""

from __future__ import annotations

from halfpoint.errors import UsageError
from halfpoint.plan.model import Plan
from halfpoint.publish.handouts import KINDS, LONGEST_TITLE, SEAT_LABELS, Paper
from halfpoint.publish.handouts.evening import evenings_of
from halfpoint.publish.handouts.kinds import NAMING_KINDS, SHOPPING_LIST, SITE_KINDS, parts_of
from halfpoint.publish.handouts.shopping_list import shopping_list
from halfpoint.publish.handouts.typeset import typeset
from halfpoint.tasting.in_print import names_of_tasting, typefaces_for_names
from halfpoint.tasting.model import Tasting
from halfpoint.typeface.letters import one_line


def joined_paper(tasting: Tasting, plan: Plan, name: str, *, paper: Paper = 'a4') -> bytes:
    """The papers of one kind for all sites in one PDF, or the shopping list.

    Args:
        tasting: the tasting file.
        plan: its plan.
        name: name of the kind, from `KINDS`.
        paper: `'a4'` or `'us-letter'`.

    Raises:
        UsageError: no such kind.
        InputError: the plan does not go with the tasting file, or there are names with letters
            that no typeface has.
    """
    evenings = evenings_of(tasting, plan)
    kind = next((kind for kind in SITE_KINDS if kind.name == name), None)
    if kind is not None:
        parts = parts_of(evenings, kind)
    elif name == SHOPPING_LIST:
        head = {'site': "All sites", 'short': "All sites"}
        parts = [head | shopping_list(tasting, plan, evenings)]
    else:
        raise UsageError(f"no paper '{name}'", expected=f"one of {', '.join(KINDS)}")
    template = name.replace('-', '_')
    seated = {p.taster for p in plan.pours if p.taster} if template == SEAT_LABELS else set()
    sites = {pour.site for pour in plan.pours}
    names = names_of_tasting(tasting, sites, seated, wines=name in NAMING_KINDS)
    data = {
        'paper': paper,
        'title': one_line(tasting.title, LONGEST_TITLE),
        'invented': tasting.invented,
        'parts': parts,
    }
    with typefaces_for_names(names, tasting, tasting.fonts) as typefaces:
        return typeset(template, data, typefaces, tagged=len(parts) == 1)
