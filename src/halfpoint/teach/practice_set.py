"""A practice set: a sheet and what a past panel says of some wines, as one JSON file.

The organiser makes it from a past result and gives it to learners, with bottles of its wines. It
holds estimates only: no taster, no room, no code.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from halfpoint.errors import InputError
from halfpoint.sheet.form import Sheet
from halfpoint.teach.calibration import Known
from halfpoint.teach.prior import Prior
from halfpoint.teach.reference import KnownTerm, Reference
from halfpoint.writing import write_text_safely

KIND, FORM = 'practice_set', 1


@dataclass(frozen=True, slots=True)
class PracticeSet:
    """What a learner needs to practise: the sheet, and the reference on it."""

    sheet: Sheet
    reference: Reference


def is_set(read: object) -> bool:
    """Whether JSON that was read says of itself that it is a practice set."""
    return isinstance(read, Mapping) and read.get('kind') == KIND


def only(reference: Reference, wines: Sequence[str]) -> Reference:
    """The same of these wines; level, and how far wines differ, stay those of the whole panel.

    Raises:
        ValueError: a wine that the reference does not have.
    """
    places = [reference.wines.index(wine) for wine in wines]
    return replace(
        reference,
        wines=tuple(wines),
        marks={
            key: replace(
                known,
                score=known.score[places],
                covariance=known.covariance[np.ix_(places, places)],
            )
            for key, known in reference.marks.items()
        },
        terms={wine: terms for wine, terms in reference.terms.items() if wine in wines},
    )


def write_set(path: Path, made: PracticeSet) -> None:
    """Write a practice set, whole or not at all.

    Raises:
        DiskFull, OutputError: it could not be written.
    """
    text = json.dumps(set_out(made), ensure_ascii=False, allow_nan=False, indent=1)
    write_text_safely(path, f'{text}\n')


def set_out(made: PracticeSet) -> dict[str, Any]:
    """A practice set as plain JSON."""
    return {
        'kind': KIND,
        'form': FORM,
        'sheet': made.sheet.model_dump(mode='json'),
        'reference': reference_out(made.reference),
    }


def set_in(read: Mapping[str, Any], where: str) -> PracticeSet:
    """A practice set from its JSON.

    Args:
        read: what `is_set` holds for.
        where: the file, for refusals.

    Raises:
        InputError: of a later form, or not whole.
    """
    if read.get('form') != FORM:
        raise InputError(
            f"a practice set of form {read.get('form')}",
            where=where,
            expected=f"form {FORM}",
            remedy="read it with the version of halfpoint that wrote it, or a later one",
        )
    try:
        sheet = Sheet.model_validate(read['sheet'])
        made = PracticeSet(sheet, reference_in(read['reference']))
        _refuse_unfit(made)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as reason:
        raise InputError(
            f"the practice set cannot be read ({reason})",
            where=where,
            expected="what `halfpoint practice --set FILE` wrote, unchanged",
            remedy="make it again from the result",
        ) from None
    return made


def _refuse_unfit(made: PracticeSet) -> None:
    """Refuse figures that are not of the set's own wines and sheet.

    Raises:
        ValueError: saying which.
    """
    size = len(made.reference.wines)
    if not size or len(set(made.reference.wines)) != size:
        raise ValueError('no wines, or one that stands twice')
    known = {'total', *made.sheet.categories_by_key}
    for key, marks in made.reference.marks.items():
        fits = marks.score.shape == (size,) and marks.covariance.shape == (size, size)
        parts = (marks.score, marks.covariance, [marks.centre, marks.wine_sd, marks.bottle_sd])
        finite = all(np.isfinite(part).all() for part in parts)
        if key not in known or not fits or not finite or marks.wine_sd <= 0.0:
            raise ValueError(f'figures of {key}')
    for key, prior in made.reference.priors.items():
        sizes = (prior.severity_sd, prior.spread_sd, prior.noise, prior.freedom)
        if not np.isfinite([prior.severity, prior.spread]).all() or not min(sizes) > 0.0:
            raise ValueError(f'what is expected of learners for {key}')
    if not made.reference.priors.keys() >= made.reference.marks.keys() >= {'total'}:
        raise ValueError('no figures of the total')


def reference_out(reference: Reference) -> dict[str, Any]:
    """A reference as plain JSON."""
    return {
        'title': reference.title,
        'invented': reference.invented,
        'tasters': reference.tasters,
        'wines': list(reference.wines),
        'marks': {
            key: {
                **asdict(known),
                'score': known.score.round(6).tolist(),
                'covariance': known.covariance.round(8).tolist(),
            }
            for key, known in reference.marks.items()
        },
        'priors': {key: asdict(prior) for key, prior in reference.priors.items()},
        'terms': {wine: [asdict(one) for one in terms] for wine, terms in reference.terms.items()},
    }


def reference_in(raw: Mapping[str, Any]) -> Reference:
    """A reference from its JSON."""
    return Reference(
        title=str(raw['title']),
        invented=bool(raw['invented']),
        tasters=int(raw['tasters']),
        wines=tuple(map(str, raw['wines'])),
        marks={
            key: Known(
                **{
                    **known,
                    'score': np.array(known['score'], dtype=np.float64),
                    'covariance': np.array(known['covariance'], dtype=np.float64),
                }
            )
            for key, known in raw['marks'].items()
        },
        priors={key: Prior(**prior) for key, prior in raw['priors'].items()},
        terms={
            wine: tuple(KnownTerm(**one) for one in terms) for wine, terms in raw['terms'].items()
        },
    )
