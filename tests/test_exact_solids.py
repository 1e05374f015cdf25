"""The built solids of a few random mounts: valid, no two parts in one place, screws free in their holes.

Independent of the quick boxes: volumes and common volumes by the CAD kernel.
"""

from __future__ import annotations

import itertools
from functools import cache

import pytest
from joint_geometry import Mount
from OCP.BRepCheck import BRepCheck_Analyzer
from random_surveys import CATALOGUE, feasible_studies

from mountgen.build.exact import exact_checks
from mountgen.build.solids import Model, model
from mountgen.detail.records import Instance
from mountgen.geometry import Placement
from mountgen.kernel.frames import placed
from mountgen.kernel.measure import bounding_box, common_volume, volume
from mountgen.kernel.solids import shape_solid
from mountgen.shapes import Cylinder, Prism, Shape
from mountgen.sheet.tree import SheetPart
from mountgen.study import Study
from mountgen.survey.records import Survey

DENSITIES = {name: CATALOGUE.material(name).density_kg_per_m3 for name in CATALOGUE.names("materials")}
TOUCHING = 0.01
"""mm3 that rounding may leave between two solids that touch."""

WANTED = {
    "right to left, upright": lambda s: s.line.flow == "right_to_left" and upright(s),
    "left to right, downward": lambda s: s.line.flow == "left_to_right" and not upright(s),
    "flat eye, mirrored": lambda s: s.sensor.body == "flat" and s.line.flow == "right_to_left",
    "hot-rolled channel opening out": lambda s: (
        s.rail.profile.forming == "hot_rolled" and s.rail.opens == "out"
    ),
    "lipped channel opening in": lambda s: bool(s.rail.profile.lip) and s.rail.opens == "in",
    "T-slot bar": lambda s: True,
    "rectangular tube": lambda s: True,
    "Z": lambda s: True,
    "angle opening in": lambda s: s.rail.opens == "in",
}
RAIL_OF = {
    "hot-rolled channel opening out": "channel",
    "lipped channel opening in": "channel",
    "T-slot bar": "slot",
    "rectangular tube": "rect_tube",
    "Z": "z",
    "angle opening in": "angle",
}
"""The kind of rail where that matters."""
FROM = {"flat eye, mirrored": 41, "lipped channel opening in": 98}
"""The random survey to begin with, where those before it are known to be of another kind."""


def upright(survey: Survey) -> bool:
    return survey.products[0].code.face == "near_side"


@cache
def built(kind: str) -> tuple[Study, Model]:
    rail = RAIL_OF.get(kind, "")
    counts, start = range(1, 101), FROM.get(kind, 0)
    studies = (made for count in counts for made in feasible_studies(count, start, kind=rail)[-1:])
    made = next(made for made in studies if WANTED[kind](made.survey))
    return made, model(made.detail, DENSITIES)


def solid_of(made: Model, instance: Instance):
    return placed(made.solids[instance.part], instance.placement)


def rail_solid(survey: Survey):
    """The rail itself, undrilled, along the stretch where a mount may be."""
    section = survey.rail.section
    start = Placement((-500.0, 0.0, float(survey.rail.top_above_surface)), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
    bar = Prism(section.outline, 1000.0, start)
    return shape_solid(Shape((bar,), tuple(Prism(hole, 1000.0, start) for hole in section.holes)))


@pytest.mark.parametrize("kind", WANTED)
def test_the_exact_checks_pass(kind: str) -> None:
    made, solids = built(kind)
    assert [(c.id, c.title) for c in exact_checks(made.scene, solids) if c.verdict != "pass"] == []


@pytest.mark.parametrize("kind", WANTED)
def test_every_solid_is_valid_and_fills_what_it_should(kind: str) -> None:
    made, solids = built(kind)
    for number, solid in solids.solids.items():
        assert BRepCheck_Analyzer(solid).IsValid(), number
        part = made.detail.parts[number]
        if isinstance(part, SheetPart) and not part.root.bends:
            holes = sum(hole.contour.area for hole in part.root.holes)
            flat = (part.root.outline.area - holes) * part.thickness
            assert volume(solid) == pytest.approx(flat, rel=1e-6), number


@pytest.mark.parametrize("kind", WANTED)
def test_shanks_share_no_volume_with_the_sheets_they_go_through(kind: str) -> None:
    made, solids = built(kind)
    mount = Mount(made.detail, made.survey.rail.section.web_thickness)
    for joint in made.detail.joints:
        if joint.fastener == joint.title:
            continue
        screw, part = (mount.hardware(joint, " pin") or mount.hardware(joint, " screw"))[0]
        cylinder = part.shape.add[-1]
        assert isinstance(cylinder, Cylinder)
        shank = placed(shape_solid(Shape((cylinder,))), screw.placement)
        for member in joint.members:
            if member.instance in mount.faces:
                sheet = solid_of(solids, mount.instances[member.instance])
                assert common_volume(shank, sheet) < TOUCHING, f"{joint.id} in {member.instance}"


@pytest.mark.parametrize("kind", list(WANTED)[:2])
def test_no_two_parts_of_different_joints_share_volume(kind: str) -> None:
    """All pairs whose tight boxes overlap, found without the quick boxes."""
    made, solids = built(kind)
    shapes = {i.name: solid_of(solids, i) for i in made.detail.instances}
    boxes = {name: bounding_box(shape) for name, shape in shapes.items()}
    pairs = {
        frozenset(pair)
        for joint in made.detail.joints
        for pair in itertools.product(
            [i.name for i in made.detail.instances if i.joint == joint.id],
            [i.name for i in made.detail.instances if i.joint == joint.id]
            + [m.instance for m in joint.members],
        )
    }
    for one, other in itertools.combinations(shapes, 2):
        if frozenset((one, other)) not in pairs and boxes[one].gap(boxes[other]) < -0.001:
            assert common_volume(shapes[one], shapes[other]) < TOUCHING, f"{one} and {other}"


@pytest.mark.parametrize("kind", WANTED)
def test_t_nuts_do_not_cut_into_their_bars(kind: str) -> None:
    made, solids = built(kind)
    mount = Mount(made.detail, made.survey.rail.section.web_thickness)
    seen = 0
    for joint in made.detail.joints:
        for nut, _ in mount.hardware(joint, "T-nut"):
            name = joint.members[-1].instance
            bar = rail_solid(made.survey) if name == "rail" else solid_of(solids, mount.instances[name])
            assert common_volume(solid_of(solids, nut), bar) < TOUCHING
            seen += 1
    assert seen >= 11


@pytest.mark.parametrize("kind", WANTED)
def test_nothing_of_the_mount_lies_in_the_rail(kind: str) -> None:
    """Only what crosses a drilled wall: screws, and the rivet nuts of a tube."""
    made, solids = built(kind)
    bar = rail_solid(made.survey)
    walled = bounding_box(bar)
    for instance in made.detail.instances:
        if instance.joint.startswith("R") and instance.name.endswith(("screw", "rivet nut")):
            continue
        solid = solid_of(solids, instance)
        if bounding_box(solid).gap(walled) < -1e-3:
            assert common_volume(solid, bar) < TOUCHING, instance.name
