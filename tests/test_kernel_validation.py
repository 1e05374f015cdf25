"""Geometric validation properties of STEP files: what the file says of its solids is what a reader finds.

The file is read here without the kernel for what it says (a small reader of ISO 10303-21 entities), and by
gmsh's own build of a geometry kernel, where it is installed, for what it holds.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from test_kernel_files import GREY, STAMP, two_arms

from mountgen.geometry import rectangle
from mountgen.kernel import measure
from mountgen.kernel.assembly import Product
from mountgen.kernel.exchange import write_part_step, write_step
from mountgen.kernel.solids import part_solid
from mountgen.sheet.flat import volume
from mountgen.sheet.tree import Bend, Flange, RoundHole, SheetPart

ENTITY = re.compile(r"#(\d+)\s*=\s*(.*?);\n", re.DOTALL)


def entities(path: Path) -> dict[int, str]:
    text = path.read_text(encoding="ascii").split("DATA;")[1]
    return {int(number): re.sub(r"\n\s*", "", body) for number, body in ENTITY.findall(text)}


def stated(path: Path, what: str) -> Iterator[str]:
    """The values of one kind of validation property, by the links of the file alone."""
    found = entities(path)
    for body in found.values():
        if not body.startswith("PROPERTY_DEFINITION_REPRESENTATION("):
            continue
        definition, representation = (int(n) for n in re.findall(r"#(\d+)", body))
        if f"'geometric validation property','{what}'" in found[definition]:
            item = int(re.findall(r"#(\d+)", found[representation])[0])
            yield found[item]


def number(item: str) -> float:
    return float(re.search(r"_MEASURE\s*\(\s*([-+.0-9E]+)\)", item)[1])


def angle() -> SheetPart:
    leg = Flange("leg", rectangle(0, 0, 40, 30), (RoundHole((20.0, 15.0), 6.6),))
    root = Flange("plate", rectangle(0, 0, 40, 50), (), (Bend((40.0, 50.0), (0.0, 50.0), 90.0, 3.0, leg),))
    return SheetPart("A1", "angle", 3.0, "steel-s235", root)


@pytest.fixture
def part_file(tmp_path) -> Path:
    write_part_step(tmp_path / "a1.step", Product("A1 angle", part_solid(angle()), GREY), STAMP, "AP242")
    return tmp_path / "a1.step"


def test_volume_is_the_closed_form_of_flanges_and_bend(part_file):
    (item,) = stated(part_file, "volume")
    assert number(item) == pytest.approx(volume(angle()), rel=1e-9)


def test_area_of_a_block(tmp_path):
    """2 (ab + bc + ca) of a plate of 40 x 50 x 3."""
    plate = SheetPart("P1", "plate", 3.0, "steel-s235", Flange("plate", rectangle(0, 0, 40, 50)))
    write_part_step(tmp_path / "p.step", Product("P1", part_solid(plate), GREY), STAMP, "AP214")
    (item,) = stated(tmp_path / "p.step", "surface area")
    assert number(item) == pytest.approx(2 * (40 * 50 + 50 * 3 + 3 * 40))
    (centre,) = stated(tmp_path / "p.step", "centroid")
    at = [float(n) for n in re.search(r"\(([-+.0-9E, ]+)\)\)$", centre)[1].split(",")]
    assert at == pytest.approx([20.0, 25.0, 1.5])


def test_every_product_of_an_assembly_has_all_three_once(tmp_path):
    mount = two_arms()
    write_step(tmp_path / "m.step", mount, STAMP, "AP242")
    volumes = sorted(number(item) for item in stated(tmp_path / "m.step", "volume"))
    assert volumes == pytest.approx(sorted(measure.volume(p.solid) for p in mount.products.values()))
    for what in ("surface area", "centroid"):
        assert len(list(stated(tmp_path / "m.step", what))) == len(mount.products)


def test_another_kernel_build_finds_what_the_file_states(part_file):
    """gmsh reads the STEP file with the geometry kernel that it was built with, and integrates by itself."""
    gmsh = pytest.importorskip("gmsh")
    gmsh.initialize(["", "-v", "0"])
    try:
        (solid,) = gmsh.model.occ.importShapes(str(part_file))
        found = gmsh.model.occ.getMass(*solid)
        centre = gmsh.model.occ.getCenterOfMass(*solid)
    finally:
        gmsh.finalize()
    (item,) = stated(part_file, "volume")
    assert found == pytest.approx(number(item), rel=1e-6)
    (point,) = stated(part_file, "centroid")
    at = [float(n) for n in re.search(r"\(([-+.0-9E, ]+)\)\)$", point)[1].split(",")]
    assert math.dist(centre, at) < 1e-4
