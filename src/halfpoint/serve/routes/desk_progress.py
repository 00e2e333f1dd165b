"""Live progress: how far each site is, and a stream of what happens."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import StreamingResponse

from halfpoint.serve.desk.progress import Progress
from halfpoint.serve.guard.roles import AsOrganiser, AtTasting, Here
from halfpoint.serve.routes.desk_results import AtDesk

router = APIRouter(prefix='/api/desk', tags=['desk: progress'])
STREAM = 'text/event-stream'


@router.get('/progress')
async def progress(_: AsOrganiser, __: AtTasting, here: Here, at: AtDesk) -> Progress:
    """How far each site is."""
    return await at.events.progress(here)


@router.get(
    '/events',
    response_class=StreamingResponse,
    responses={200: {'content': {STREAM: {'schema': {'type': 'string'}}}}},
)
async def events(_: AsOrganiser, __: AtTasting, here: Here, at: AtDesk) -> StreamingResponse:
    """Server-sent events: `progress`, `looks`, `results`, `revealed`, and a heartbeat."""
    headers = {'Cache-Control': 'no-store', 'X-Accel-Buffering': 'no'}
    return StreamingResponse(at.events.listen(here), media_type=STREAM, headers=headers)
