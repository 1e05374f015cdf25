"""One survey of a fleet, in whatever process: read, studied, and built when that is asked for."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check
from mountgen.detail.digest import part_digest
from mountgen.errors import InputError, MountgenError
from mountgen.fleet.records import Bound, Job, MadeBar, MadeFlat, MadePiece, Outcome
from mountgen.shop.flats import flat_of
from mountgen.shop.reader import read_shop
from mountgen.shop.records import Shop
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey


@lru_cache(maxsize=1)
def _knowledge(shop: str) -> tuple[Catalogue, Shop]:
    """The catalogue and the shop, read once a process."""
    return Catalogue(), read_shop(Path(shop))


def look_at(job: Job) -> Outcome:
    """What one survey comes to. An error that mountgen raises on purpose is an outcome, too."""
    name = Path(job.path).stem
    try:
        catalogue, shop = _knowledge(job.shop)
        survey = read_survey(Path(job.path), catalogue)
        name = survey.name
        found, package = study(survey, catalogue, shop), ""
        if job.out:
            from mountgen.package.writer import write_package

            found, folder = write_package(found, catalogue, Path(job.out))
            package = folder.name
    except InputError as error:
        return Outcome(job.label, job.key, name, "bad input", messages=tuple(map(str, error.faults)))
    except MountgenError as error:
        return Outcome(job.label, job.key, name, "failed", messages=(str(error),))
    bound = tuple(_bound(one) for one in found.checks if one.verdict != "pass")
    pieces = () if found.verdict == "not feasible" else tuple(pieces_of(found, shop))
    return Outcome(job.label, job.key, name, found.verdict, bound, (), pieces, package)


def _bound(check: Check) -> Bound:
    return Bound(check.id, check.verdict, check.title)


def pieces_of(found: Study, shop: Shop) -> Iterator[MadePiece]:
    """Every made part of a mount, as often as it is in it."""
    detail = found.detail
    for sheet in detail.sheets:
        flat = flat_of(sheet, shop)
        corners = tuple((v.x, v.y, v.bulge) for v in flat.outline.vertices)
        made = MadeFlat(sheet.material, sheet.thickness, corners, flat.area)
        digest = part_digest(sheet, flat)
        yield MadePiece(digest, sheet.number, sheet.name, detail.quantity(sheet.number), made)
    for bar in detail.extrusions:
        sawn = MadeBar(bar.section.name, bar.length)
        yield MadePiece(part_digest(bar, None), bar.number, bar.name, detail.quantity(bar.number), sawn)
