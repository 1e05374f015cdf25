"""manifest.json: the machine-readable side of a package."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import mountgen
from mountgen.detail.digest import part_digest
from mountgen.detail.records import BoughtPart, Part
from mountgen.fabrication.shop_work import ShopWork
from mountgen.fabrication.times import Making
from mountgen.package.nest_entry import nest_entry
from mountgen.package.records import Early
from mountgen.package.report import Json, check_report, plain
from mountgen.remedies.records import NO_ADVICE, Advice
from mountgen.sheet.flat import FlatPattern
from mountgen.sheet.tree import SheetPart
from mountgen.study import Study

if TYPE_CHECKING:
    from mountgen.build.solids import Model


def manifest(
    study: Study,
    early: Early,
    built: Model | None,
    work: ShopWork | None,
    folder: Path,
    advice: Advice = NO_ADVICE,
) -> dict[str, Json]:
    """The manifest of a package whose other files are already in `folder`; of a mount that is not made there
    is neither a model nor the shop's work."""
    report = check_report(study, advice)
    found = sorted(path for path in folder.rglob("*") if path.is_file())
    files: list[Json] = [_file_entry(path, folder) for path in found]
    paths = [path.relative_to(folder).as_posix() for path in found]
    return {
        **report,
        "assumptions": plain(early.effects),
        "mountgen": mountgen.__version__,
        "revision": study.survey.revision or None,
        "inputs": {"survey_sha256": study.survey.source_sha256},
        "making": None if work is None else _making(work.making),
        "parts": [] if built is None or work is None else _parts(built, work.flats, paths),
        "joints": [] if built is None else plain(built.detail.joints),
        "nest": nest_entry(early.stock),
        "files": files,
    }


def _making(making: Making) -> Json:
    """Sums over the whole job, as estimated; of the laser's cuts, its engraving left out."""
    return {
        "time_s": plain(making.time_s),
        "cost": plain(making.cost),
        "currency": making.currency,
        "cut_length_mm": plain(making.cut_length_mm),
        "pierces": making.pierces,
        "bends": making.bends,
        "rates": making.source,
    }


def _file_entry(path: Path, folder: Path) -> Json:
    content = path.read_bytes()
    return {
        "path": path.relative_to(folder).as_posix(),
        "sha256": hashlib.sha256(content).hexdigest(),
        "bytes": len(content),
    }


def _parts(built: Model, flats: Mapping[str, FlatPattern], paths: list[str]) -> Json:
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
            **_identity(part, flats.get(number)),
            **({"hand": part.hand} if isinstance(part, SheetPart) and part.hand else {}),
        }
        for number, part in built.detail.parts.items()
    ]


def _identity(part: Part, flat: FlatPattern | None) -> dict[str, Json]:
    """What a part is, whatever it is called: its designation, or the digest of its making."""
    if isinstance(part, BoughtPart):
        return {"designation": part.designation}
    return {"geometry_sha256": part_digest(part, flat)}


def _kind(part: Part) -> str:
    if isinstance(part, BoughtPart):
        return "bought"
    return "sheet" if isinstance(part, SheetPart) else "extrusion"
