"""Arithmetic of the glass: alcohol and pours.

Definitions: ethanol weighs 0.789 g/ml at 20 °C; a standard drink is 10 g (WHO AUDIT) or 14 g
(NIAAA); a UK unit is 10 ml (NHS).  Published figures were read in excerpts of the pages of
NIAAA ("5 fl oz of 12 % wine is about 14 g") and of the NHS on alcohol units; the table of
pours is arithmetic.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pytest

from halfpoint.plan.glass import alcohol, bottles_for, pours_per_bottle, whole_cases

FLUID_OUNCE = 29.5735295625

# ml, per cent, grams, drinks of 10 g, drinks of 14 g.
COMPUTED = [
    (30, 13, 3.0771, 0.30771, 0.21979285714285715),
    (50, 12.5, 4.93125, 0.493125, 0.3522321428571429),
    (75, 14, 8.2845, 0.82845, 0.59175),
    (125, 12, 11.835, 1.1835, 0.8453571428571429),
    (150, 13, 15.3855, 1.53855, 1.0989642857142858),
    (750, 13.5, 79.88625, 7.988625, 5.706160714285715),
    (750, 14, 82.845, 8.2845, 5.9175),
    (750, 12, 71.01, 7.101, 5.0721428571428575),
]
# ml, per cent, units to one decimal as the NHS prints them (halves up).
NHS = [(750, 13.5, '10'), (175, 13, '2.3'), (125, 13, '1.6'), (250, 13, '3.3')]
# bottle, pour, loss per cent, pours, bottles for 120 pours.
POURS = [
    (750, 25, 0, 30, 4), (750, 25, 5, 28, 5), (750, 30, 0, 25, 5), (750, 30, 5, 23, 6),
    (750, 40, 0, 18, 7), (750, 40, 5, 17, 8), (750, 50, 0, 15, 8), (750, 50, 5, 14, 9),
    (750, 75, 0, 10, 12), (750, 75, 5, 9, 14),
]  # fmt: skip


@pytest.mark.parametrize(('ml', 'percent', 'grams', 'ten', 'fourteen'), COMPUTED)
def test_grams_and_drinks(
    ml: float, percent: float, grams: float, ten: float, fourteen: float
) -> None:
    """Grams of ethanol and standard drinks of both sizes, to 1e-9."""
    found = alcohol(ml, percent)
    assert (grams, ten, fourteen) == pytest.approx(
        (found.grams, found.drinks_10g, found.drinks_14g), abs=1e-9
    )


def test_niaaa_standard_drink() -> None:
    """Five fluid ounces of wine at 12 % are 14 g, one US standard drink."""
    found = alcohol(5 * FLUID_OUNCE, 12)
    assert pytest.approx(14.0, abs=0.05) == found.grams
    assert pytest.approx(1.0, abs=0.005) == found.drinks_14g


@pytest.mark.parametrize(('ml', 'percent', 'units'), NHS)
def test_nhs_units(ml: float, percent: float, units: str) -> None:
    """Ten millilitres of ethanol to a unit, rounded as printed."""
    exact = Decimal(f'{alcohol(ml, percent).grams / 0.789 / 10:.9f}')
    assert Decimal(units) == exact.quantize(Decimal(units), ROUND_HALF_UP)


def test_the_density_is_that_at_20_degrees() -> None:
    """0.785 (25 °C), which an older press text used, would give 82.43 g for 750 ml at 14 %."""
    assert pytest.approx(82.845) == alcohol(750, 14).grams


def test_an_evening_of_eight_wines() -> None:
    """Eight pours of 30 ml at 13 %: 24.6 g, 2.5 drinks of 10 g, 1.8 of 14 g."""
    found = alcohol(8 * 30, 13)
    assert (24.6168, 2.46168, 1.7583428571428572) == pytest.approx(
        (found.grams, found.drinks_10g, found.drinks_14g)
    )


@pytest.mark.parametrize(('bottle', 'pour', 'loss', 'pours', 'bottles'), POURS)
def test_pours_in_a_bottle(bottle: int, pour: int, loss: int, pours: int, bottles: int) -> None:
    """Whole pours net of losses, and bottles for 120 of them."""
    assert pours == pours_per_bottle(bottle, pour, loss)
    assert bottles == bottles_for(120, pours, 0).bottles


def test_spares_and_cases() -> None:
    """One spare for every eight bottles begun; cases of six, begun ones whole."""
    assert [(1, 1), (8, 1), (9, 2)] == [
        (found.bottles, found.spare) for found in (bottles_for(n * 14, 14, 8) for n in (1, 8, 9))
    ]
    assert 0 == bottles_for(140, 14, 0).spare
    assert [0, 1, 1, 2] == [whole_cases(bottles) for bottles in (0, 1, 6, 7)]
