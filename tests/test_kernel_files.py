"""STEP and GLB files: read back with readers that are not ours, and written again byte for byte."""

from __future__ import annotations

import json
import math
import os
import struct
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import trimesh
from kernel_brackets import l_bracket
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from mountgen.detail.records import Instance
from mountgen.geometry import Placement
from mountgen.kernel import measure
from mountgen.kernel.assembly import Assembly, AssemblyNode, Product, grouped_tree
from mountgen.kernel.exchange import write_glb, write_part_step, write_step
from mountgen.kernel.solids import shape_solid, sheet_solid
from mountgen.shapes import Block, Cylinder, HexPrism, Shape

STAMP = "2026-01-02T03:04:05"
GREY = (0.5, 0.5, 0.5)
BESIDE = Placement((0.0, 50.0, 0.0))


def arm(side, x):
    leaves = (
        AssemblyNode(f"bracket-{side}", product="BR-1"),
        AssemblyNode(f"nut-{side}", Placement((10.0, 0.0, 5.0)), product="M6"),
    )
    return AssemblyNode(f"arm-{side}", Placement((x, 0.0, 0.0)), leaves)


def two_arms():
    nut = Shape((HexPrism(10.0, 5.0),), (Cylinder(6.0, 5.0),))
    products = {
        "BR-1": Product("BR-1 Winkel, groß", sheet_solid(l_bracket(90.0)), GREY),
        "M6": Product("Nut M6", shape_solid(nut), (0.8, 0.7, 0.1)),
    }
    return Assembly(AssemblyNode("mount", children=(arm("L", 0.0), arm("R", 200.0))), products)


@dataclass(frozen=True)
class Seen:
    """One node as the kernel's reader gives it back."""

    depth: int
    name: str
    product: str
    definition: str
    origin: tuple[float, float, float]
    colour: tuple[float, float, float] | None
    leaf: bool


def name_of(label):
    attribute = TDataStd_Name()
    return attribute.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), attribute) else ""


def colour_of(label):
    colour = Quantity_Color()
    tool = XCAFDoc_DocumentTool.ColorTool_s(label)
    for kind in (XCAFDoc_ColorType.XCAFDoc_ColorSurf, XCAFDoc_ColorType.XCAFDoc_ColorGen):
        if tool.GetColor_s(label, kind, colour):
            return tuple(colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB))
    return None


def read_nodes(path):
    reader = STEPCAFControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.001)
    assert reader.Transfer(document)
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    found = [
        node for i in range(1, roots.Length() + 1) for node in walk(roots.Value(i), 0, TopLoc_Location())
    ]
    return document, found


def walk(label, depth, outer):
    definition, target = TDF_Label(), label
    if XCAFDoc_ShapeTool.GetReferredShape_s(label, definition):
        target = definition
    place = outer.Multiplied(XCAFDoc_ShapeTool.GetLocation_s(label))
    shift = place.Transformation().TranslationPart()
    children = TDF_LabelSequence()
    XCAFDoc_ShapeTool.GetComponents_s(target, children)
    origin = (shift.X(), shift.Y(), shift.Z())
    colour = colour_of(target) or colour_of(label)
    entry = str(target.Tag())
    yield Seen(depth, name_of(label), name_of(target), entry, origin, colour, children.Length() == 0)
    for i in range(1, children.Length() + 1):
        yield from walk(children.Value(i), depth + 1, place)


@pytest.fixture(scope="module")
def step_file(tmp_path_factory):
    path = tmp_path_factory.mktemp("step") / "mount.step"
    write_step(path, two_arms(), STAMP, "AP242")
    return path


def test_step_tree(step_file):
    _document, nodes = read_nodes(step_file)
    assert [n.depth for n in nodes] == [0, 1, 2, 2, 1, 2, 2]
    assert sum(n.leaf for n in nodes) == 4
    names = [n.name for n in nodes]
    assert names == ["mount", "arm-L", "bracket-L", "nut-L", "arm-R", "bracket-R", "nut-R"]
    assert {n.product for n in nodes if n.leaf} == {"BR-1 Winkel, groß", "Nut M6"}
    assert len({n.definition for n in nodes if n.leaf}) == 2


def test_step_places(step_file):
    _document, nodes = read_nodes(step_file)
    origins = {n.name: n.origin for n in nodes}
    assert origins["arm-L"] == (0.0, 0.0, 0.0)
    assert origins["arm-R"] == (200.0, 0.0, 0.0)
    assert origins["nut-R"] == (210.0, 0.0, 5.0)


def test_step_colours_every_leaf(step_file):
    _document, nodes = read_nodes(step_file)
    leaves = [n for n in nodes if n.leaf]
    assert all(n.colour is not None for n in leaves)
    for node in leaves:
        expected = GREY if node.name.startswith("bracket") else (0.8, 0.7, 0.1)
        assert node.colour == pytest.approx(expected, abs=0.005)


def test_step_stores_each_product_once_in_mm(step_file):
    text = step_file.read_text(encoding="ascii")
    assert text.count("=") > 100
    assert text.count("MANIFOLD_SOLID_BREP(") == 2
    assert text.count("NEXT_ASSEMBLY_USAGE_OCCURRENCE(") == 6
    assert text.count("COLOUR_RGB('',0.5000000034") == 1
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert "PCURVE" not in text


def test_step_solids_keep_their_volume(step_file):
    document, _nodes = read_nodes(step_file)
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    whole = XCAFDoc_ShapeTool.GetShape_s(roots.Value(1))
    assembly = two_arms()
    expected = 2 * sum(measure.volume(p.solid) for p in assembly.products.values())
    assert measure.volume(whole) == pytest.approx(expected, rel=1e-9)


def test_step_header_is_what_was_given(step_file):
    head = step_file.read_text(encoding="ascii").split("DATA;")[0]
    assert f"FILE_NAME('mount.step','{STAMP}'" in head
    assert "FILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF { 1 0 10303 442 1 1 4 }'));" in head


def test_the_schema_is_the_one_asked_for(tmp_path):
    """ISO 10303-214: the schema's name is AUTOMOTIVE_DESIGN, its object identifier 1 0 10303 214."""
    write_step(tmp_path / "a.step", two_arms(), STAMP, "AP214")
    head = (tmp_path / "a.step").read_text(encoding="ascii").split("DATA;")[0]
    assert "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));" in head


def test_turned_occurrence_comes_back_turned(tmp_path):
    turned = Placement((1.0, 2.0, 3.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    block = Product("block", shape_solid(Shape((Block((0, 0, 0), (10, 20, 30)),))), GREY)
    root = AssemblyNode("m", children=(AssemblyNode("b", turned, product="p"),))
    write_step(tmp_path / "t.step", Assembly(root, {"p": block}), STAMP, "AP242")
    document, _nodes = read_nodes(tmp_path / "t.step")
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    box = measure.bounding_box(XCAFDoc_ShapeTool.GetShape_s(roots.Value(1)))
    assert box.low == pytest.approx((-19.0, 2.0, 3.0), abs=1e-5)
    assert box.high == pytest.approx((1.0, 12.0, 33.0), abs=1e-5)


@pytest.mark.parametrize("name", ["Träger № 7", "円筒" * 40, "it's a \\ back", "wheel \U0001f6de", "ü" * 120])
def test_names_survive(tmp_path, name):
    block = Product(name, shape_solid(Shape((Block((0, 0, 0), (1, 2, 3)),))), GREY)
    write_part_step(tmp_path / "part.step", block, STAMP, "AP242")
    _document, nodes = read_nodes(tmp_path / "part.step")
    assert [(n.name, n.leaf, n.depth) for n in nodes] == [(name, True, 0)]
    assert nodes[0].colour == pytest.approx(GREY, abs=0.005)


def body_colours(document):
    """Colours that stand on the bodies of the parts, not on the parts themselves."""
    parts, found = TDF_LabelSequence(), []
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetShapes(parts)
    for i in range(1, parts.Length() + 1):
        bodies = TDF_LabelSequence()
        XCAFDoc_ShapeTool.GetSubShapes_s(parts.Value(i), bodies)
        found += [colour_of(bodies.Value(k)) for k in range(1, bodies.Length() + 1)]
    return found


def test_part_of_two_bodies_is_one_leaf_with_two_coloured_bodies(tmp_path):
    pair = shape_solid(Shape((Block((0, 0, 0), (1, 2, 3)), Block((5, 0, 0), (6, 2, 3)))))
    root = AssemblyNode(
        "m", children=(AssemblyNode("a", product="p"), AssemblyNode("b", BESIDE, product="p"))
    )
    write_step(tmp_path / "pair.step", Assembly(root, {"p": Product("pair", pair, GREY)}), STAMP, "AP242")
    document, nodes = read_nodes(tmp_path / "pair.step")
    assert [n.name for n in nodes] == ["m", "a", "b"]
    assert body_colours(document) == [pytest.approx(GREY, abs=0.005)] * 2


def test_names_in_a_tree_of_mixed_depth(tmp_path):
    """Leaves before, between and after groups, some at the same place in their groups; the reader takes
    the name that stands with the occurrence of that parent."""
    placements = [Placement((0.0, 0.0, 40.0 * k)) for k in range(3)]
    inner = [
        AssemblyNode(
            f"g{i}{j}",
            placements[j],
            tuple(AssemblyNode(f"leaf{i}{j}{k}", placements[k], product="pq"[k % 2]) for k in range(3)),
        )
        for i in range(2)
        for j in range(2)
    ]
    first = AssemblyNode("g0", BESIDE, (AssemblyNode("x0", product="p"), *inner[:2]))
    second = AssemblyNode("g1", Placement((90.0, 0.0, 0.0)), (*inner[2:], AssemblyNode("x1", product="p")))
    top = AssemblyNode("x2", placements[2], product="q")
    root = AssemblyNode("m", children=(first, top, second))
    products = {
        key: Product(key, shape_solid(Shape((Cylinder(d, 5.0),))), GREY)
        for key, d in (("p", 4.0), ("q", 6.0))
    }
    write_step(tmp_path / "deep.step", Assembly(root, products), STAMP, "AP242")
    _document, nodes = read_nodes(tmp_path / "deep.step")
    assert [(n.name, n.product) for n in nodes] == [(n.name, n.product or n.name) for n in root.walk()]


def test_instances_are_gathered_in_groups():
    instances = [Instance(f"i{k}", "BR-1", Placement((k, 0.0, 0.0)), group) for k, group in enumerate("aba")]
    root = grouped_tree("mount", tuple(instances))
    assert [(g.name, [leaf.name for leaf in g.children]) for g in root.children] == [
        ("a", ["i0", "i2"]),
        ("b", ["i1"]),
    ]


WRITE_ELSEWHERE = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[2])
from OCP.Message import Message, Message_Gravity
from test_kernel_files import STAMP, two_arms, write_glb, write_part_step, write_step
out = Path(sys.argv[1])
assembly = two_arms()
write_glb(out / "mount.glb", assembly)
write_part_step(out / "part.step", assembly.products["BR-1"], STAMP, "AP242")
write_step(out / "mount.step", assembly, STAMP, "AP242")
Message.DefaultMessenger_s().Send("a remark of the kernel", Message_Gravity.Message_Warning)
"""


def test_same_bytes_twice_and_in_a_fresh_process_that_prints_nothing(tmp_path):
    """The other process writes in another order, with another hash seed."""
    here, again, elsewhere = (tmp_path / name for name in ("here", "again", "elsewhere"))
    for folder in (here, again, elsewhere):
        folder.mkdir()
    for folder in (here, again):
        assembly = two_arms()
        write_step(folder / "mount.step", assembly, STAMP, "AP242")
        write_glb(folder / "mount.glb", assembly)
        write_part_step(folder / "part.step", assembly.products["BR-1"], STAMP, "AP242")
    command = [sys.executable, "-c", WRITE_ELSEWHERE, str(elsewhere), str(Path(__file__).parent)]
    environment = {**os.environ, "PYTHONHASHSEED": "4711"}
    run = subprocess.run(command, check=True, env=environment, capture_output=True)
    assert (run.stdout, run.stderr) == (b"", b""), "the kernel must not print"
    for name in ("mount.step", "mount.glb", "part.step"):
        first = (here / name).read_bytes()
        assert first == (again / name).read_bytes(), name
        assert first == (elsewhere / name).read_bytes(), name


@pytest.fixture(scope="module")
def glb_file(tmp_path_factory):
    path = tmp_path_factory.mktemp("glb") / "mount.glb"
    write_glb(path, two_arms())
    return path


def gltf_json(path):
    data = path.read_bytes()
    assert data[:4] == b"glTF"
    size = struct.unpack("<I", data[12:16])[0]
    return json.loads(data[20 : 20 + size])


def test_glb_is_in_metres_with_y_up(glb_file):
    """Ours x, y, z in mm go to x, z, -y in m."""
    scene = trimesh.load(glb_file)
    solid = two_arms().products["BR-1"].solid
    box = measure.bounding_box(solid)
    low = np.array([box.low[0], box.low[2], -box.high[1]]) / 1000.0
    high = np.array([box.high[0] + 200.0, box.high[2], -box.low[1]]) / 1000.0
    assert scene.bounds[0] == pytest.approx(low, abs=1e-6)
    assert scene.bounds[1] == pytest.approx(high, abs=1e-6)


def test_glb_names_and_shared_meshes(glb_file):
    content = gltf_json(glb_file)
    names = {node.get("name") for node in content["nodes"]}
    assert {"mount", "arm-L", "arm-R", "bracket-L", "bracket-R", "nut-L", "nut-R"} <= names
    assert {mesh["name"] for mesh in content["meshes"]} == {"BR-1 Winkel, groß", "Nut M6"}
    primitives = [primitive for mesh in content["meshes"] for primitive in mesh["primitives"]]
    assert len({primitive["attributes"]["POSITION"] for primitive in primitives}) == 2


def test_glb_colours_are_linear(glb_file):
    """glTF 2.0, 3.9.2: baseColorFactor is linear; sRGB 0.5 is ((0.5 + 0.055) / 1.055)^2.4 = 0.214
    (IEC 61966-2-1)."""
    factors = [m["pbrMetallicRoughness"]["baseColorFactor"] for m in gltf_json(glb_file)["materials"]]
    grey = ((0.5 + 0.055) / 1.055) ** 2.4
    assert any(factor[:3] == pytest.approx([grey] * 3, abs=0.002) for factor in factors)


def test_glb_meshes_are_close_to_the_solids(glb_file):
    """Within the chord of 0.25 mm times the curved area of the bracket, some 2500 mm2; in fact 1 %."""
    scene = trimesh.load(glb_file)
    total = sum(abs(mesh.volume) for mesh in scene.dump()) * 1e9
    expected = 2 * sum(measure.volume(p.solid) for p in two_arms().products.values())
    assert math.isclose(total, expected, rel_tol=0.01)
