"""The server: routes, guards, the built app, and what is begun and ended with it."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from importlib import import_module
from importlib.util import find_spec

from fastapi import FastAPI
from fastapi.middleware.gzip import GZipMiddleware

from halfpoint import __version__
from halfpoint.serve.document import openapi_of
from halfpoint.serve.guard.headers import Headers
from halfpoint.serve.guard.uploads import Uploads
from halfpoint.serve.house import House
from halfpoint.serve.problems import Mishaps, add_problem_handlers
from halfpoint.serve.settings import Settings
from halfpoint.serve.static import BuiltApp

# In the order of a tasting; each module has a `router`.
ROUTES = (
    'hello',
    'trust',
    'login',
    'join',
    'sheet',
    'host',
    'host_entries',
    'host_photos',
    'host_bundle',
    'desk_tasting',
    'desk_plan',
    'desk_papers',
    'desk_hosts',
    'desk_progress',
    'desk_looks',
    'desk_entries',
    'desk_results',
    'desk_charts',
    'desk_set_aside',
    'desk_reveal',
    'desk_files',
    'practice',
    'guide',
    'desk_people',
)
KEEP_SEEN_EVERY = 30.0


def create_app(settings: Settings) -> FastAPI:
    """The server of one tasting, ready to be run by an ASGI server.

    Raises:
        LedgerError, OutputError: the desk's file cannot be opened.
    """
    app = FastAPI(
        title="halfpoint",
        version=__version__,
        openapi_url='/api/openapi.json',
        docs_url=None,
        redoc_url=None,
        lifespan=_lifespan,
    )
    app.state.settings = settings
    add_problem_handlers(app)
    for name in ROUTES:
        module = f'halfpoint.serve.routes.{name}'
        if find_spec(module) is not None:
            app.include_router(import_module(module).router)
    app.add_route('/{path:path}', BuiltApp(settings.app).answer, include_in_schema=False)
    # The last is the first that a request comes to.
    app.add_middleware(GZipMiddleware, minimum_size=1024, compresslevel=5)
    app.add_middleware(Uploads, limits=settings.limits)
    app.add_middleware(Mishaps)
    app.add_middleware(Headers)
    app.openapi = lambda: openapi_of(app)  # type: ignore[method-assign]
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    here = House(app.state.settings)
    app.state.house = here
    await here.start()
    seen = asyncio.create_task(_keep_seen(here))
    try:
        yield
    finally:
        seen.cancel()
        with suppress(asyncio.CancelledError):
            await seen
        await here.stop()


async def _keep_seen(here: House) -> None:
    while True:
        await asyncio.sleep(KEEP_SEEN_EVERY)
        await asyncio.to_thread(here.desk.keep_seen)
