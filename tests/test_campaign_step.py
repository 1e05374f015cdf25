"""STEP files as another program reads them (`pytest -m campaign tests/test_campaign_step.py`).

gmsh imports every part and the assembly; volumes and areas are its own integrals. They are compared with the
manifest and with the validation properties that the files carry.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from solid_model.mesh import mesher_is_there

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.package.writer import write_package
from mountgen.shop.reader import USUAL_SHOP, read_shop
from mountgen.study import study
from mountgen.survey.reader import read_survey

pytestmark = [
    pytest.mark.campaign,
    pytest.mark.skipif(not mesher_is_there(), reason="gmsh is not installed: pip install mountgen[campaign]"),
]


@pytest.fixture(scope="module", params=["seed-cartons", "compost-sacks", "seed-trays-inch"])
def package(request, tmp_path_factory) -> Path:
    catalogue = Catalogue()
    survey = read_survey(profiles_folder() / "surveys" / f"{request.param}.toml", catalogue)
    made = study(survey, catalogue, read_shop(catalogue.folder / USUAL_SHOP))
    return write_package(made, catalogue, tmp_path_factory.mktemp("out"))[1]


def solids_in(path: Path) -> list[tuple[float, float]]:
    """Volume in mm3 and area in mm2 of every solid of a file, by gmsh."""
    import gmsh

    gmsh.initialize(interruptible=False)
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
        gmsh.model.occ.importShapes(str(path))
        gmsh.model.occ.synchronize()
        made = []
        for dimension, tag in gmsh.model.getEntities(3):
            faces = gmsh.model.getBoundary([(dimension, tag)], oriented=False)
            area = sum(gmsh.model.occ.getMass(2, face) for _, face in faces)
            made.append((gmsh.model.occ.getMass(3, tag), area))
        return made
    finally:
        gmsh.finalize()


def test_every_part_is_one_solid_of_its_volume_and_area(package):
    parts = {p["number"]: p for p in json.loads((package / "manifest.json").read_text())["parts"]}
    files = sorted((package / "parts").glob("*.step"))
    assert len(files) >= 10
    for path in files:
        [(volume, area)] = solids_in(path)
        assert volume == pytest.approx(parts[path.stem]["volume_mm3"], rel=1e-6)
        told = [float(number) for number in re.findall(r"AREA_MEASURE\(([0-9.E+-]+)\)", path.read_text())]
        assert any(abs(one - area) <= 1e-5 * area for one in told), path.name


def test_the_assembly_holds_every_part_as_often_as_the_manifest_says(package):
    manifest = json.loads((package / "manifest.json").read_text())
    [assembly] = package.glob("assembly.step")
    found = solids_in(assembly)
    assert len(found) >= sum(part["quantity"] for part in manifest["parts"])
    made = [p for p in manifest["parts"] if p["kind"] in ("sheet", "extrusion")]
    for part in made:
        alike = [v for v, _ in found if v == pytest.approx(part["volume_mm3"], rel=1e-6)]
        assert len(alike) >= part["quantity"], part["number"]
