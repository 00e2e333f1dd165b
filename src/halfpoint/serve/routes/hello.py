"""What anybody may know: that a tasting is served here, and where it stands."""

from __future__ import annotations

from datetime import date

from fastapi import APIRouter, Request
from pydantic import BaseModel, ConfigDict

from halfpoint import __version__
from halfpoint.collect.phone.when import Phase
from halfpoint.serve.addresses import OWN_MACHINE
from halfpoint.serve.guard.roles import Here

router = APIRouter(tags=['hello'])


class TastingNow(BaseModel):
    """The tasting, as far as everybody may know it."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    key: str
    title: str
    invented: bool
    """Whether it is made up; every page then says so."""
    opens: date | None
    closes: date | None
    state: Phase
    """Where it stands, by the server's clock."""


class Hello(BaseModel):
    """What is served here."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    version: str
    """The version of the server."""
    api: int
    """Grows when an older page could no longer be served."""
    tasting: TastingNow | None
    """None when the organiser has yet to begin one."""
    organiser_ready: bool
    """Whether there is a password for the desk."""
    secure: bool
    """Whether this request came encrypted, or from the same machine."""


@router.get('/api/hello')
async def hello(request: Request, here: Here) -> Hello:
    """What is served here, and where the tasting stands."""
    tasting = here.find_tasting()
    now = None
    if tasting is not None:
        served = await here.served()
        now = TastingNow(
            key=tasting.key,
            title=tasting.title,
            invented=tasting.invented,
            opens=tasting.opens,
            closes=tasting.closes,
            state=await served.writer.read(served.phase),
        )
    return Hello(
        version=__version__,
        api=1,
        tasting=now,
        organiser_ready=here.desk.kept('password') is not None,
        secure=request.url.scheme == 'https' or request.url.hostname in OWN_MACHINE,
    )
