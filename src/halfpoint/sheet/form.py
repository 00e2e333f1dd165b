"""The score sheet as data: what a taster may write, and what each part means."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Key = Annotated[str, Field(pattern=r'^[a-z][a-z0-9_-]*$', max_length=40)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra='forbid', allow_inf_nan=False)


class Guidance(_Part):
    """What a range of marks of one category means, in plain words."""

    low: float
    high: float
    text: str = Field(min_length=1)


class Category(_Part):
    """One line of the sheet: marks from `lowest` to `top` in steps of `step`."""

    key: Key
    label: str = Field(min_length=1, max_length=60)
    top: float = Field(gt=0)
    step: float = Field(gt=0)
    lowest: float = 0.0
    weight: float = Field(default=1.0, gt=0)
    question: str = ''
    guidance: tuple[Guidance, ...] = ()


class Term(_Part):
    """An aroma word that a taster may tick."""

    key: Key
    label: str = Field(min_length=1, max_length=60)


class AromaFamily(_Part):
    """Aroma words that belong together."""

    key: Key
    label: str = Field(min_length=1, max_length=60)
    terms: tuple[Term, ...] = Field(min_length=1)


class Fault(_Part):
    """A fault that a taster may tick, and how it shows."""

    key: Key
    label: str = Field(min_length=1, max_length=60)
    sign: str = ''
    category: Key | None = None
    ceiling: float | None = None


class FinishBand(_Part):
    """A range of finish seconds with its name, and the marks that usually go with it."""

    label: str = Field(min_length=1, max_length=40)
    from_seconds: float = Field(ge=0)
    to_seconds: float | None = None
    category: Key | None = None
    usual_low: float | None = None
    usual_high: float | None = None


class Sheet(_Part):
    """A whole score sheet. `total` is the weighted sum of the category marks."""

    key: Key
    label: str
    about: str = ''
    categories: tuple[Category, ...] = Field(min_length=1)
    families: tuple[AromaFamily, ...] = ()
    faults: tuple[Fault, ...] = ()
    finish: tuple[FinishBand, ...] = ()

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
        return next(c for c in self.categories if c.key == key)
