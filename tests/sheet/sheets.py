"""Score sheets for tests: small ones, and any one that the form allows."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import strategies as st

from halfpoint.sheet.form import Category, Sheet

STEPS = [Fraction(1), *(Fraction(1, n) for n in (2, 3, 4, 5, 10, 20)), Fraction(5)]


@st.composite
def exact_categories(draw: st.DrawFn, key: str = 'taste') -> tuple[Category, Fraction, Fraction]:
    """A category with its lowest mark and step as exact fractions."""
    step = draw(st.sampled_from(STEPS))
    lowest = draw(st.sampled_from([Fraction(0), Fraction(1), Fraction(-3), Fraction(1, 2)]))
    top = lowest + step * draw(st.integers(1, 400))
    weight = draw(st.sampled_from([1.0, 2.0, 0.5]))
    category = Category(
        key=key,
        label=key,
        lowest=float(lowest),
        top=float(top),
        step=float(step),
        weight=weight,
    )
    return category, lowest, step


@st.composite
def sheets_with_marks(draw: st.DrawFn) -> tuple[Sheet, dict[str, float], Fraction]:
    """A sheet, marks on its grid, and their exact weighted total."""
    categories, marks, total = [], {}, Fraction(0)
    for key in ('appearance', 'aroma', 'taste')[: draw(st.integers(1, 3))]:
        category, lowest, step = draw(exact_categories(key))
        exact = lowest + step * draw(st.integers(0, category.steps))
        categories.append(category)
        marks[key] = float(exact)
        total += exact * Fraction(category.weight)
    return Sheet(key='any', label="Any", categories=tuple(categories)), marks, total
