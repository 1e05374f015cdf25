"""Long work as the browser asks for it: advice, sensitivity, the report, builds and their files."""

from __future__ import annotations

import asyncio
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import Annotated, Any, Literal

from fastapi import APIRouter, HTTPException, Query, Request, Response
from fastapi import Path as InPath
from fastapi.responses import FileResponse

from mountgen.page.answers import advice_answer, options_answer, sensitivity_answer
from mountgen.page.builds import STEPS, Build, Builds
from mountgen.page.faults import faults_data
from mountgen.page.leaves import count_leaves, leaf_svg
from mountgen.page.reporting import report_html, report_pdf
from mountgen.page.sent import Sent
from mountgen.page.slow import Slow
from mountgen.page.workers import answered

TYPES = {
    "csv": "text/csv; charset=utf-8",
    "dxf": "image/vnd.dxf",
    "glb": "model/gltf-binary",
    "html": "text/html; charset=utf-8",
    "json": "application/json",
    "pdf": "application/pdf",
    "step": "model/step",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
"""What the browser is told of a file, by its ending."""
OF_PAPER = {"content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; img-src data:"}
"""A report needs nothing but itself, and may do nothing."""
As = Annotated[Literal["html", "pdf"], Query(alias="as")]
PageNumber = Annotated[int, InPath(ge=1, le=10_000)]
Id = Annotated[str, InPath(pattern="^[0-9a-f]{32}$")]

router = APIRouter(prefix="/api")


@router.post("/advice")
async def advice(request: Request, sent: Sent) -> Response:
    """All of `check --json`, with what would make the mount feasible."""
    answer = await _slow(request).answer(partial(answered, advice_answer), sent, request.is_disconnected)
    return Response(answer.body, answer.status, media_type="application/json")


@router.post("/sensitivity")
async def sensitivity(request: Request, sent: Sent) -> Response:
    """How wrong each measured value may be."""
    answer = await _slow(request).answer(partial(answered, sensitivity_answer), sent, request.is_disconnected)
    return Response(answer.body, answer.status, media_type="application/json")


@router.post("/options")
async def options(request: Request, sent: Sent) -> Response:
    """Every family of mount beside the others."""
    answer = await _slow(request).answer(partial(answered, options_answer), sent, request.is_disconnected)
    return Response(answer.body, answer.status, media_type="application/json")


@router.post("/report")
async def report(request: Request, sent: Sent, as_: As = "html") -> Response:
    """The feasibility report in one file."""
    work = report_pdf if as_ == "pdf" else report_html
    answer = await _slow(request).answer(work, sent, request.is_disconnected)
    kind = TYPES[as_] if answer.status == 200 else "application/json"
    return Response(answer.body, answer.status, media_type=kind, headers=OF_PAPER if as_ == "html" else None)


@router.post("/builds", status_code=202)
async def new_build(request: Request, sent: Sent) -> dict[str, Any]:
    """Puts a survey into the queue."""
    return _shown(_builds(request).add(sent))


@router.get("/builds")
async def all_builds(request: Request) -> list[dict[str, Any]]:
    """Every build that is known, the oldest first, without its files."""
    return [_shown(one) | {"files": []} for one in _builds(request)]


@router.get("/builds/{name}")
async def one_build(request: Request, name: Id) -> dict[str, Any]:
    """How far a build is, and its files when it is done."""
    return _shown(_found(request, name))


@router.delete("/builds/{name}")
async def cancel_build(request: Request, name: Id) -> dict[str, Any]:
    """Ends a build."""
    build = _found(request, name)
    await _builds(request).cancel(build)
    return _shown(build)


@router.get("/builds/{name}/package.zip")
async def archive(request: Request, name: Id) -> FileResponse:
    """The whole package."""
    build = _found(request, name)
    if build.archive is None:
        raise HTTPException(404, "this build has no package")
    return FileResponse(build.archive, media_type="application/zip", filename=f"{build.built.name}.zip")


@router.get("/builds/{name}/files/{path:path}")
async def package_file(request: Request, name: Id, path: str) -> FileResponse:
    """One file, as its path is told."""
    found = _found(request, name).file(path)
    if found is None:
        raise HTTPException(404, "there is no such file in this package")
    kind, place = found[0].kind, found[1]
    return FileResponse(
        place,
        media_type=TYPES.get(kind, "application/octet-stream"),
        headers=OF_PAPER if kind == "html" else None,
        filename=Path(path).name,
        content_disposition_type="inline",
    )


@router.get("/builds/{name}/pages/{path:path}")
async def pages_of_file(request: Request, name: Id, path: str) -> dict[str, int]:
    """How many pages a PDF of the package has."""
    return {"pages": await asyncio.to_thread(count_leaves, _drawing(request, name, path))}


@router.get("/builds/{name}/page/{number}/{path:path}")
async def page_of_file(request: Request, name: Id, number: PageNumber, path: str) -> Response:
    """One page of a PDF as a picture."""
    try:
        picture = await asyncio.to_thread(leaf_svg, _drawing(request, name, path), number)
    except ValueError as error:
        raise HTTPException(404, str(error)) from error
    return Response(picture, media_type="image/svg+xml", headers=OF_PAPER)


def _drawing(request: Request, name: str, path: str) -> Path:
    """A PDF of a package."""
    found = _found(request, name).file(path)
    if found is None or found[0].kind != "pdf":
        raise HTTPException(404, "there is no such PDF in this package")
    return found[1]


def _slow(request: Request) -> Slow:
    slow: Slow = request.app.state.slow
    return slow


def _builds(request: Request) -> Builds:
    builds: Builds = request.app.state.builds
    return builds


def _found(request: Request, name: str) -> Build:
    build = _builds(request).get(name)
    if build is None:
        raise HTTPException(404, "there is no such build")
    return build


def _shown(build: Build) -> dict[str, Any]:
    """A build as the browser sees it."""
    return {
        "id": build.id,
        "state": build.state,
        "step": build.step,
        "done": len(build.done),
        "of": len(STEPS),
        "name": build.built.name,
        "verdict": build.built.verdict,
        "files": [asdict(one) for one in build.built.files],
        "message": build.message,
        **faults_data(build.built.faults),
    }
