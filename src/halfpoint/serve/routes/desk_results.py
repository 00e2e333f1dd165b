"""Results as they come, as JSON and as charts."""

from __future__ import annotations

import asyncio
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from pydantic import Field

from halfpoint.serve.desk.desk import Desk, desk
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting
from halfpoint.serve.wire.marks import Shape

router = APIRouter(prefix='/api/desk', tags=['desk: results'])
AtDesk = Annotated[Desk, Depends(desk)]


class ResultsShown(Shape):
    """The newest result that is ready."""

    version: int
    """The last record that the scores take into account."""
    newest: int
    """The last record there is."""
    stale: bool
    """Whether a newer result is being worked out; the event `results` says when it is there."""
    beside: int
    """The last record taken into account by bottles, tasters, panel and aromas; 0 for none yet."""
    sentence: str
    """What was found, in words."""
    findings: Annotated[dict[str, Any], Field()]
    """The findings, exactly as `halfpoint results --json` writes them."""


@router.get('/results', response_model=ResultsShown, responses={304: {}})
async def results(request: Request, _: AsOrganiser, here: AtTasting, at: AtDesk) -> Response:
    """The newest result. While somebody asks, a newer one is worked out beside."""
    ready = await at.results.ready(here)
    newest = here.writer.version
    tag = f'"{ready.version}-{ready.beside}-{newest}"'
    headers = {'ETag': tag, 'Cache-Control': 'private, no-cache', 'Vary': 'Accept-Encoding'}
    if tag in request.headers.get('If-None-Match', ''):
        return Response(status_code=304, headers=headers)
    plain, packed = await asyncio.to_thread(at.results.answer, ready, newest)
    if 'gzip' in request.headers.get('Accept-Encoding', ''):
        headers['Content-Encoding'] = 'gzip'
        return Response(packed, media_type='application/json', headers=headers)
    return Response(plain, media_type='application/json', headers=headers)
