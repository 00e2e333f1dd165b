"""What the tasting file says of the plan: how wines are served, to how many, from what."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from halfpoint.sheet.form import CLOCK, THREE_DIGITS, Number, Part
from halfpoint.sheet.soundness import refusal
from halfpoint.tasting.words import Count, Flag, Name, Style

Code = Annotated[str, StringConstraints(pattern=THREE_DIGITS)]

TRADE_ORDER: tuple[Style, ...] = (
    'sparkling',
    'white',
    'rose',
    'orange',
    'red',
    'sweet',
    'fortified',
)


class Components(Part):
    """Variances to plan by, in squared points of the total."""

    taster: Number = Field(default=1.0, ge=0)
    """One taster from another."""
    site: Number = Field(default=0.1, ge=0)
    """One room from another."""
    bottle: Number = Field(default=0.16, ge=0)
    """One room's bottle of a wine from another's."""
    residual: Number = Field(default=2.25, gt=0)
    """One mark from the next, all else alike."""


class Planning(Part):
    """The table `[plan]`: how the wines are served."""

    orders: Literal['taster', 'table', 'site'] = 'taster'
    """Who shares a serving order: nobody (each taster has one), a table, or a whole site."""
    seats: Count = Field(default=10, ge=1, le=1000)
    """Seats at a site that says nothing of its own and lists no tasters."""
    table_seats: Count = Field(default=8, ge=1, le=100)
    """Seats at a table."""
    capacity: Count = Field(default=15, ge=2, le=60)
    """Most pours that a taster has in an evening, second pours included."""
    flight: Count = Field(default=8, ge=2, le=30)
    """Most pours in a flight."""
    break_minutes: Count = Field(default=15, ge=0, le=120)
    """Minutes between flights."""
    pour_minutes: Count = Field(default=6, ge=1, le=60)
    """Minutes for each pour."""
    starts: str = Field(default='19:00', pattern=CLOCK)
    """When the first wine is poured."""
    second_pours: Count | tuple[Name, ...] = 0
    """Hidden second pours: how many wines are drawn for them, or which wines."""
    style_blocks: Flag = True
    """Whether styles are served one after another."""
    style_order: tuple[Style, ...] = TRADE_ORDER
    """The order of the styles."""
    pinned: tuple[Name, ...] = ()
    """Wines that every site pours."""
    pour_ml: Number = Field(default=50.0, gt=0, le=250)
    """Millilitres in a pour."""
    bottle_ml: Number = Field(default=750.0, gt=0, le=20_000)
    """Millilitres in a bottle."""
    loss_percent: Number = Field(default=5.0, ge=0, lt=100)
    """How much of a bottle is lost to drips and dregs."""
    spare_every: Count = Field(default=8, ge=0, le=1000)
    """One spare bottle for so many bottles of a wine at a site; 0 for none."""
    avoid_codes: tuple[Code, ...] = ()
    """Codes not to use, such as those of last year's tasting."""
    assumed: Components = Components()
    """Variances to plan by."""

    @model_validator(mode='after')
    def _styles_once(self) -> Self:
        for style in self.style_order:
            if self.style_order.count(style) > 1:
                raise refusal('style_order', f"'{style}' more than once", "each style once")
        return self
