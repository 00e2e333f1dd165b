"""One paper of one site, as the bytes of a PDF."""

from __future__ import annotations

from halfpoint.errors import UsageError
from halfpoint.plan.model import Plan
from halfpoint.publish.handouts import LONGEST_TITLE, SEAT_LABELS, Paper
from halfpoint.publish.handouts.evening import evenings_of
from halfpoint.publish.handouts.kinds import SITE_KINDS, parts_of
from halfpoint.publish.handouts.typeset import typeset
from halfpoint.tasting.in_print import names_of_tasting, typefaces_for_names
from halfpoint.tasting.model import Tasting
from halfpoint.typeface.letters import one_line

# A host, and whoever looks over a host's shoulder, may see these.
WITHOUT_WINES = tuple(kind.name for kind in SITE_KINDS if not kind.names_wines)


def site_paper(tasting: Tasting, plan: Plan, site: str, name: str, *, paper: Paper = 'a4') -> bytes:
    """A site's paper of one kind.

    Args:
        tasting: the tasting file.
        plan: its plan.
        site: key of the site.
        name: name of the kind, from `SITE_KINDS`.
        paper: `'a4'` or `'us-letter'`.

    Raises:
        UsageError: no such site or kind.
        InputError: the plan does not go with the tasting file, or there are names with letters
            that no typeface has.
    """
    evening = next((e for e in evenings_of(tasting, plan) if e.site.key == site), None)
    kind = next((kind for kind in SITE_KINDS if kind.name == name), None)
    if evening is None or kind is None:
        raise UsageError(
            f"no paper '{name}' of site '{site}'",
            expected=f"one of {', '.join(kind.name for kind in SITE_KINDS)}",
        )
    tasters = {pour.taster for pour in evening.pours if pour.taster}
    seated = tasters if kind.template == SEAT_LABELS else set()
    names = names_of_tasting(tasting, {site}, seated, wines=kind.names_wines)
    data = {
        'paper': paper,
        'title': one_line(tasting.title, LONGEST_TITLE),
        'invented': tasting.invented,
        'parts': parts_of([evening], kind),
    }
    with typefaces_for_names(names, tasting, tasting.fonts) as typefaces:
        return typeset(kind.template, data, typefaces)
