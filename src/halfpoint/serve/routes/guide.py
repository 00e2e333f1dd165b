"""The tasting guide of the sheet that is marked on here: for everybody, and never a wine."""

from __future__ import annotations

import json

from fastapi import APIRouter, Response

from halfpoint.serve.guard.roles import Here
from halfpoint.sheet.load import load_sheet
from halfpoint.teach.guide import make_guide
from halfpoint.teach.guide.shown import shown

router = APIRouter(tags=['guide'])
JSON = 'application/json'
# What is shown where no tasting is begun, and built into the app.
USUAL = 'twenty-point'


@router.get('/api/guide', response_class=Response, responses={200: {'content': {JSON: {}}}})
async def guide(here: Here) -> Response:
    """How to taste with this tasting's score sheet, as `halfpoint guide` sets it on paper."""
    tasting = here.find_tasting()
    sheet = load_sheet(USUAL) if tasting is None else tasting.sheet
    text = json.dumps(shown(make_guide(sheet)), ensure_ascii=False)
    return Response(text, media_type=JSON, headers={'Cache-Control': 'no-cache'})
