"""The server: what can be asked of it, and the page itself."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from concurrent.futures.process import BrokenProcessPool
from contextlib import asynccontextmanager
from dataclasses import asdict
from pathlib import Path

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

import mountgen
from mountgen.catalogue.reader import Catalogue, Kind
from mountgen.errors import Fault, InputError
from mountgen.package.report import Json
from mountgen.page.answers import check_answer
from mountgen.page.builds import Builds
from mountgen.page.faults import faults_data
from mountgen.page.guard import Guard, names_of
from mountgen.page.routes import router
from mountgen.page.sent import Sent
from mountgen.page.slow import Slow
from mountgen.page.starters import Starter, starters
from mountgen.page.tasks import ready_processes
from mountgen.page.values import text_with_settings
from mountgen.page.waiting import LostError, unless_gone
from mountgen.page.workers import Answer, BusyError, Work, Workers

OFFERED: tuple[Kind, ...] = ("rails", "heads", "sensors", "encoders", "controllers")
"""Kinds of records that a survey names."""
STATIC = Path(__file__).parent / "static"


def create_app(profiles: Path, host: str = "127.0.0.1") -> FastAPI:
    """The server for a `profiles/` folder, called by `host`."""
    offered = starters(profiles)

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        app.state.workers = Workers(tuple(one.text for one in offered[:2]))
        ready_processes()
        app.state.slow, app.state.builds = Slow(), Builds()
        yield
        await app.state.builds.close()
        app.state.workers.close()

    app = FastAPI(
        title="mountgen",
        version=mountgen.__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=lifespan,
    )
    app.add_middleware(Guard, names=names_of(host))
    _explain_errors(app)
    _questions(app, offered, profiles)
    app.include_router(router)
    app.mount("/", StaticFiles(directory=STATIC, html=True), name="page")
    return app


def _questions(app: FastAPI, offered: Sequence[Starter], profiles: Path) -> None:
    """What is answered at once."""
    catalogue = Catalogue(profiles)
    offered_names: dict[str, tuple[str, ...]] = {kind: catalogue.names(kind) for kind in OFFERED}

    @app.get("/api/starters")
    async def starters_() -> list[dict[str, str]]:
        return [asdict(one) for one in offered]

    @app.get("/api/names")
    async def names() -> dict[str, tuple[str, ...]]:
        return offered_names

    @app.post("/api/check")
    async def check(request: Request, sent: Sent) -> Response:
        return await _answer(request, check_answer, sent)

    @app.post("/api/survey")
    async def survey(request: Request, sent: Sent) -> Response:
        return await _answer(request, survey_answer, sent)


def survey_answer(sent: Sent) -> dict[str, Json]:
    """The survey with its settings written into it."""
    return {"text": text_with_settings(sent)}


async def _answer(request: Request, work: Work, sent: Sent) -> Response:
    workers: Workers = request.app.state.workers
    answer: Answer = await unless_gone(workers.answer(work, sent), request.is_disconnected)
    return Response(answer.body, answer.status, media_type="application/json")


def _explain_errors(app: FastAPI) -> None:
    """Every error has the form of faults."""

    @app.exception_handler(RequestValidationError)
    async def malformed(_: Request, error: RequestValidationError) -> JSONResponse:
        return JSONResponse(faults_data(_request_fault(one) for one in error.errors()[:20]), 422)

    @app.exception_handler(InputError)
    async def wrong(_: Request, error: InputError) -> JSONResponse:
        return JSONResponse(faults_data(error.faults), 422)

    @app.exception_handler(HTTPException)
    async def refused(request: Request, error: HTTPException) -> JSONResponse:
        fault = Fault(
            request.url.path[:200], str(error.detail), "one of the server's own addresses", "go back"
        )
        return JSONResponse(faults_data([fault]), error.status_code, headers=error.headers)

    @app.exception_handler(BusyError)
    async def busy(_: Request, __: BusyError) -> JSONResponse:
        fault = Fault(
            "server", "it has more to do than it can", "a moment's patience", "ask again in a moment"
        )
        return JSONResponse(faults_data([fault]), 503, headers={"retry-after": "1"})

    @app.exception_handler(LostError)
    async def lost(_: Request, error: LostError) -> JSONResponse:
        found = f"no answer was found ({error.how})"
        fault = Fault("server", found, "a survey that can be worked on", "make the survey smaller")
        return JSONResponse(faults_data([fault]), 503)

    @app.exception_handler(BrokenProcessPool)
    async def died(_: Request, __: BrokenProcessPool) -> JSONResponse:
        found = "the process that worked on it was ended from outside, twice (out of memory?)"
        fault = Fault("server", found, "a survey that can be worked on", "make the survey smaller")
        return JSONResponse(faults_data([fault]), 500)


def _request_fault(error: dict[str, object]) -> Fault:
    """What pydantic found wrong with a request itself."""
    place = error["loc"]
    where = ".".join(str(step)[:80] for step in place) if isinstance(place, tuple) else "request"
    message = str(error["msg"])
    return Fault(where, message, "a request as the page sends it", "load the page again")
