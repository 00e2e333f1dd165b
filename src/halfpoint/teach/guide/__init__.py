"""The tasting guide of a score sheet: how to look, smell, taste, time the finish and decide."""

from __future__ import annotations

from halfpoint.sheet.form import Sheet
from halfpoint.teach.guide.cautions import CAUTIONS
from halfpoint.teach.guide.examples import examples
from halfpoint.teach.guide.families import families
from halfpoint.teach.guide.faults import faults
from halfpoint.teach.guide.finish import finish_times
from halfpoint.teach.guide.said import Guide
from halfpoint.teach.guide.stages import stages
from halfpoint.teach.guide.words import TRIES, WORDS

__all__ = ['Guide', 'make_guide']


def make_guide(sheet: Sheet) -> Guide:
    """The guide for this sheet, as plain data: the same for pages and for the app."""
    return Guide(
        sheet=sheet.label,
        about=sheet.about,
        top=sheet.top,
        stages=stages(sheet),
        words=WORDS,
        families=families(sheet),
        finish=finish_times(sheet),
        faults=faults(sheet),
        examples=examples(sheet),
        tries=TRIES,
        cautions=CAUTIONS,
    )
