"""Photographs and scans of sheets that a host hands in, and how far reading them is."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, FastAPI, File, Request, Response, UploadFile
from starlette.concurrency import run_in_threadpool

from halfpoint.errors import HalfpointError
from halfpoint.serve.answers import as_json
from halfpoint.serve.guard.roles import AsHost
from halfpoint.serve.house import House
from halfpoint.serve.photos import PhotoBatch, Photos, file_name
from halfpoint.serve.problems import Refused
from halfpoint.serve.room import InRoom
from halfpoint.serve.routes.sheet import SENDING
from halfpoint.serve.wire.site import BatchShown, PageShown
from halfpoint.writing import writing_refusal

MOST_FILES = 100
MOST_BYTES = 64 * 1024 * 1024
_BLOCK = 1024 * 1024


@asynccontextmanager
async def _reading(app: FastAPI) -> AsyncIterator[None]:
    """Go on with what was waiting, and leave off before the record is closed."""
    house: House = app.state.house
    photos = Photos()
    app.state.photos = photos
    try:
        if house.find_tasting() is not None:
            served = await house.served()
            if served.writer.planned is not None:
                photos.begin_again(served.writer, (await house.seating()).plan)
    except HalfpointError:
        # Whoever asks for the tasting is told what is the matter with it.
        pass
    try:
        yield
    finally:
        await photos.stop()


router = APIRouter(tags=['host'], lifespan=_reading)


@router.post('/api/site/photos', response_model=BatchShown, responses=SENDING)
async def post_photos(
    request: Request,
    who: AsHost,
    here: InRoom,
    files: Annotated[list[UploadFile], File(description="Photographs, scans or PDF files.")],
) -> Response:
    """Hand in photographs or scans of this site's sheets; they are read one after another."""
    if len(files) > MOST_FILES:
        raise Refused(413, 'too-much', f"{len(files)} files", expected=f"at most {MOST_FILES}")
    photos: Photos = request.app.state.photos
    folder = photos.new_folder(here.tasting.beside, who.site)
    try:
        for number, file in enumerate(files, 1):
            await _keep(file, folder / file_name(file.filename, number))
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    return as_json(_shown(photos.begin(here.writer, here.plan, who.site, folder)))


async def _keep(file: UploadFile, path: Path) -> None:
    """Write an uploaded file to the disk.

    Raises:
        Refused: it is too large.
        DiskFull, OutputError: it could not be written.
    """
    size = 0
    try:
        with path.open('xb') as stream:
            while block := await file.read(_BLOCK):
                size += len(block)
                if size > MOST_BYTES:
                    raise Refused(
                        413,
                        'too-much',
                        "a file of more than 64 MB",
                        where=path.name,
                        expected="photographs as a phone takes them, or scans at 200 dpi",
                        remedy="scan in grey at 150 or 200 dpi, or hand in fewer pages a file",
                    )
                await run_in_threadpool(stream.write, block)
    except OSError as reason:
        raise writing_refusal(path, reason) from reason


@router.get('/api/site/photos/{batch}', response_model=BatchShown, responses=SENDING)
async def get_photos(request: Request, who: AsHost, batch: str) -> Response:
    """How far the reading of a batch is, page by page."""
    photos: Photos = request.app.state.photos
    found = photos.find(batch, who.site)
    if found is None:
        raise Refused(
            404,
            'no-such-batch',
            "no such batch of photographs",
            expected="a batch handed in since the server was started",
            remedy="hand the photographs in again; pages that are in already add nothing",
        )
    return as_json(_shown(found))


def _shown(batch: PhotoBatch) -> BatchShown:
    pages = sorted(batch.pages, key=lambda page: (page.file, page.page))
    return BatchShown(
        batch=batch.key,
        state=batch.state,
        files=len(batch.files),
        pages=[
            PageShown(
                file=page.file,
                page=page.page,
                status=page.status,
                seat=page.seat,
                looks=page.looks,
                reason=page.reason,
            )
            for page in pages
        ],
        reason=batch.reason,
    )
