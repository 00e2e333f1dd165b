"""The score sheet as data: what a taster may write, and what each part means.

The names in double brackets of a sheet file (`[[category]]`, `[[family]]`, `[[fault]]`,
`[[finish]]`) are the singular of the attributes here.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    Strict,
    StringConstraints,
    model_validator,
)

from halfpoint.sheet import soundness
from halfpoint.sheet.words import fold

KEY = r'^[a-z][a-z0-9_-]*$'
ONE_LINE = r'^[^\x00-\x1f]*$'
THREE_DIGITS = r'^[0-9]{3}$'
LANGUAGE = r'^([A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*)?$'
CLOCK = r'^([01][0-9]|2[0-3]):[0-5][0-9]$'
Key = Annotated[str, Field(pattern=KEY, max_length=40)]
Label = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=60, pattern=ONE_LINE),
]
Number = Annotated[float, Strict()]
WrittenFraction = Annotated[str, StringConstraints(pattern=soundness.FRACTION)]


class Part(BaseModel):
    """Frozen; refuses keys it does not know, infinity and NaN."""

    model_config = ConfigDict(
        frozen=True,
        extra='forbid',
        allow_inf_nan=False,
        populate_by_name=True,
        use_attribute_docstrings=True,
    )

    def __copy__(self) -> Self:
        # A copy may be given other parts, so what was worked out from these is left behind.
        copied = super().__copy__()
        for name in copied.__dict__.keys() - type(self).model_fields.keys():
            del copied.__dict__[name]
        return copied


class Guidance(Part):
    """What a range of marks of one category means, in plain words."""

    low: Number
    """Lowest mark of the range."""
    high: Number
    """Highest mark of the range."""
    text: str = Field(min_length=1)
    """What these marks mean."""
    fewest_terms: Annotated[int, Strict(), Field(ge=1, le=100)] | None = None
    """How many aroma terms usually go with these marks; fewer (but some) raise a hint."""


class Category(Part):
    """One line of the sheet: marks from `lowest` to `top` in steps of `step`."""

    key: Key
    """What the category is called in tables of marks."""
    label: Label
    """What it is called on the sheet."""
    top: Number
    """Highest mark."""
    step: Annotated[
        Number,
        Field(gt=0),
        BeforeValidator(soundness.read_fraction, json_schema_input_type=Number | WrittenFraction),
    ]
    """Distance between neighbouring marks: a number, or a fraction in quotes such as "1/3"."""
    lowest: Number = 0.0
    """Lowest mark."""
    weight: Number = Field(default=1.0, gt=0)
    """How many times the mark counts in the total."""
    question: str = ''
    """What the taster is asked."""
    guidance: tuple[Guidance, ...] = ()
    """What the marks mean: together the ranges cover every mark, or there are none."""

    @model_validator(mode='after')
    def _is_sound(self) -> Self:
        soundness.check_category(self)
        return self

    @property
    def steps(self) -> int:
        """How many steps lie between the lowest and the top mark."""
        return round((self.top - self.lowest) / self.step)

    def guidance_for(self, mark: float) -> Guidance | None:
        """The guidance whose range holds this mark; the upper one where two ranges meet."""
        slack = self.step * soundness.STEP_TOLERANCE
        fitting = (g for g in self.guidance if g.low - slack <= mark <= g.high + slack)
        return max(fitting, key=lambda g: g.low, default=None)


class Term(Part):
    """An aroma word that a taster may tick."""

    key: Key
    """What the term is called in tables of marks."""
    label: Label
    """What it is called on the sheet."""


WrittenTerm = Annotated[
    Term, BeforeValidator(soundness.read_term, json_schema_input_type=Label | Term)
]


class AromaFamily(Part):
    """Aroma words that belong together."""

    key: Key
    """What the family is called in results."""
    label: Label
    """What it is called on the sheet."""
    terms: tuple[WrittenTerm, ...] = Field(min_length=1)
    """Its words: each a label in quotes, or a table of key and label."""


class Fault(Part):
    """A fault that a taster may tick, and how it shows."""

    key: Key
    """What the fault is called in tables of marks."""
    label: Label
    """What it is called on the sheet."""
    sign: str = ''
    """How it shows in the glass."""
    category: Key | None = None
    """The category it shows in; without one, `ceiling` is about the total."""
    ceiling: Number | None = None
    """The highest mark that usually goes with the fault; a higher one raises a hint."""


class FinishBand(Part):
    """A range of finish seconds with its name, and the marks that usually go with it.

    Bands may leave gaps: nobody has to call 20 s short.
    """

    label: Label
    """What such a finish is called."""
    from_seconds: Number = Field(ge=0)
    """Shortest time of the band, itself included."""
    to_seconds: Number | None = None
    """Longest time of the band, itself included; the last band may have no end."""
    category: Key | None = None
    """The category in which the finish is marked."""
    usual_low: Number | None = None
    """The lowest mark that usually goes with a pleasant finish of this length."""
    usual_high: Number | None = None
    """The highest mark that usually goes with it."""


class Sheet(Part):
    """A whole score sheet. The total is the weighted sum of the category marks."""

    key: Key
    """What the sheet is called in results."""
    label: Label
    """Its title."""
    about: str = ''
    """A sentence or two for those who will use it."""
    language: Annotated[str, Field(pattern=LANGUAGE, max_length=35)] = ''
    """What its labels are written in, as in BCP 47: `en`, `de-AT`. Screen readers speak it so."""
    categories: tuple[Category, ...] = Field(min_length=1, validation_alias='category')
    """The lines that are marked, in the order they are asked."""
    families: tuple[AromaFamily, ...] = Field(default=(), validation_alias='family')
    """Aroma words to tick."""
    faults: tuple[Fault, ...] = Field(default=(), validation_alias='fault')
    """Faults to tick."""
    finish: tuple[FinishBand, ...] = ()
    """What a timed finish is called, from short to long."""

    @model_validator(mode='after')
    def _is_sound(self) -> Self:
        soundness.check_sheet(self)
        return self

    @property
    def top(self) -> float:
        """The highest total the sheet allows."""
        return sum(category.weight * category.top for category in self.categories)

    @property
    def lowest(self) -> float:
        """The lowest total the sheet allows."""
        return sum(category.weight * category.lowest for category in self.categories)

    def category(self, key: str) -> Category:
        """The category with this key; KeyError when there is none."""
        return self.categories_by_key[key]

    @cached_property
    def categories_by_key(self) -> dict[str, Category]:
        """Category key to category, in the sheet's order."""
        return {category.key: category for category in self.categories}

    @cached_property
    def terms_by_key(self) -> dict[str, Term]:
        """Term key to term, over all families."""
        return {term.key: term for family in self.families for term in family.terms}

    @cached_property
    def faults_by_key(self) -> dict[str, Fault]:
        """Fault key to fault."""
        return {fault.key: fault for fault in self.faults}

    @cached_property
    def term_keys(self) -> dict[str, str]:
        """Folded key or label of a term to its key: what a person may write for it."""
        return _written_names(self.terms_by_key)

    @cached_property
    def family_keys(self) -> dict[str, str]:
        """Folded key or label of an aroma family to its key: what a person may write for it."""
        return _written_names({family.key: family for family in self.families})

    @cached_property
    def band_labels(self) -> dict[str, str]:
        """Folded label of a finish band to its label."""
        return {fold(band.label): band.label for band in self.finish}

    @cached_property
    def fault_keys(self) -> dict[str, str]:
        """Folded key or label of a fault to its key: what a person may write for it."""
        return _written_names(self.faults_by_key)

    def finish_band(self, seconds: float) -> FinishBand | None:
        """The first band that holds this many seconds, or None in a gap between bands."""
        return next((band for band in self.finish if soundness.in_band(band, seconds)), None)


def _written_names(parts: Mapping[str, Term | Fault | AromaFamily]) -> dict[str, str]:
    names = {fold(part.label): key for key, part in parts.items()}
    return names | {fold(key): key for key in parts}
