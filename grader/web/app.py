"""The application: which address is answered by what."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import partial

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.routing import Mount

from calib.errors import ActionableError
from grader.web.answer import answer_to_actionable, answer_to_http, answer_to_refusal
from grader.web.desk import Desk
from grader.web.pages import (
    card,
    comparison,
    drafts,
    edit,
    examination,
    help,
    jobs,
    own_photos,
    pair,
    papers,
    phone,
    piece,
    reports,
    seal,
    wall,
)
from grader.web.security.constants import MAX_BAG_BYTES, MAX_PHOTOS_BYTES
from grader.web.security.layers import safety_layers
from grader.web.static_files import static_files

# Last parts of the addresses to which more than a form may be sent, and how much.
LARGE_BODIES = {'photos': MAX_PHOTOS_BYTES, 'check-seal': MAX_BAG_BYTES}


def create_app(desk: Desk) -> Starlette:
    """Application for one desk."""
    app = Starlette(
        routes=[
            *card.ROUTES,
            *drafts.ROUTES,
            *examination.ROUTES,
            *wall.ROUTES,
            *edit.ROUTES,
            *piece.ROUTES,
            *own_photos.ROUTES,
            *papers.ROUTES,
            *comparison.ROUTES,
            *help.ROUTES,
            *jobs.ROUTES,
            *pair.ROUTES,
            *phone.ROUTES,
            *reports.ROUTES,
            *seal.ROUTES,
            Mount('/static', static_files(), name='static'),
        ],
        exception_handlers={
            ActionableError: answer_to_actionable,
            HTTPException: answer_to_http,
        },
        middleware=safety_layers(
            port=desk.port,
            share=bool(desk.addresses),
            sessions=desk.sessions,
            answer=answer_to_refusal,
            clock=desk.ticks,
            large_bodies=LARGE_BODIES,
        ),
        lifespan=partial(_lifespan, desk),
    )
    app.state.desk = desk
    return app


@asynccontextmanager
async def _lifespan(desk: Desk, app: Starlette) -> AsyncIterator[None]:
    yield
    await run_in_threadpool(desk.jobs.close)
