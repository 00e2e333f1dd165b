"""Practice sets, for learners at home: from the desk, and for tasters after the reveal."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Response

from halfpoint.serve.desk.files import as_file
from halfpoint.serve.desk.practice_set import PracticeSets
from halfpoint.serve.guard.roles import AsOrganiser, AsTaster, AtTasting, Here
from halfpoint.serve.problems import Refusal
from halfpoint.serve.routes.desk_results import AtDesk

router = APIRouter(tags=['practice'])
JSON = 'application/json'
ANSWERS: dict[int | str, dict[str, Any]] = {
    200: {'content': {JSON: {}}},
    403: {'model': Refusal, 'description': "The wines are not revealed yet."},
    404: {'model': Refusal, 'description': "There is nothing to compare with yet."},
}


@router.get('/api/desk/files/practice-set.json', response_class=Response, responses=ANSWERS)
async def of_desk(_: AsOrganiser, house: Here, here: AtTasting, at: AtDesk) -> Response:
    """What the group found, for practice at home; after the reveal. It names no taster."""
    text = await house.part(PracticeSets, PracticeSets).now(here, at)
    return as_file(text, JSON, f'{here.tasting.key}-practice-set.json')


@router.get('/api/sheet/practice', response_class=Response, responses=ANSWERS)
async def of_sheet(_: AsTaster, house: Here, here: AtTasting, at: AtDesk) -> Response:
    """The same for a taster's phone; after the reveal."""
    text = await house.part(PracticeSets, PracticeSets).now(here, at)
    return Response(text, media_type=JSON, headers={'Cache-Control': 'private, no-cache'})
