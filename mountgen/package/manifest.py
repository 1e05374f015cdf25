"""manifest.json: the machine-readable side of a package."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

import mountgen
from mountgen.assumed import AssumedEffect
from mountgen.detail.records import BoughtPart, Part
from mountgen.package.report import Json, check_report, plain
from mountgen.sheet.tree import SheetPart
from mountgen.study import Study

if TYPE_CHECKING:
    from mountgen.build.solids import Model


def manifest(
    study: Study, effects: tuple[AssumedEffect, ...], built: Model | None, folder: Path
) -> dict[str, Json]:
    """The manifest of a package whose other files are already in `folder`."""
    report = check_report(study)
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    files: list[Json] = [_file_entry(path, folder) for path in found]
    paths = [path.relative_to(folder).as_posix() for path in found]
    return {
        **report,
        "assumptions": plain(effects),
        "mountgen": mountgen.__version__,
        "inputs": {"survey_sha256": study.survey.source_sha256},
        "parts": [] if built is None else _parts(built, paths),
        "joints": [] if built is None else plain(built.detail.joints),
        "files": files,
    }


def _file_entry(path: Path, folder: Path) -> Json:
    content = path.read_bytes()
    return {
        "path": path.relative_to(folder).as_posix(),
        "sha256": hashlib.sha256(content).hexdigest(),
        "bytes": len(content),
    }


def _parts(built: Model, paths: list[str]) -> Json:
    return [
        {
            "number": number,
            "name": part.name,
            "kind": _kind(part),
            "quantity": built.detail.quantity(number),
            "material": part.material,
            "mass_kg": plain(built.masses[number]),
            "volume_mm3": plain(built.volumes[number]),
            "files": [path for path in paths if Path(path).stem == number],
            **({"designation": part.designation} if isinstance(part, BoughtPart) else {}),
            **({"hand": part.hand} if isinstance(part, SheetPart) and part.hand else {}),
        }
        for number, part in built.detail.parts.items()
    ]


def _kind(part: Part) -> str:
    if isinstance(part, BoughtPart):
        return "bought"
    return "sheet" if isinstance(part, SheetPart) else "extrusion"
