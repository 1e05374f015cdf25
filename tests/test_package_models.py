"""The model files of every example, opened with readers that are not ours.

STEP is read by the kernel's XCAF reader, GLB by trimesh. What they give is compared with the manifest and
with the detail that was to be written.
"""

import json
import math
from collections import Counter
from dataclasses import dataclass

import numpy as np
import pytest
import trimesh
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Message import Message, Message_Gravity
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from mountgen.build.solids import colour_of
from mountgen.geometry import Placement

RELATIVE = 1e-6


@dataclass(frozen=True)
class Node:
    """One node of a STEP file's tree: its own name, that of what it shows, and its place in the world."""

    depth: int
    name: str
    product: str
    definition: TDF_Label
    place: TopLoc_Location
    leaf: bool


@dataclass(frozen=True)
class Tree:
    document: TDocStd_Document  # labels do not outlive it
    roots: int
    nodes: tuple[Node, ...]

    @property
    def leaves(self):
        return [node for node in self.nodes if node.leaf]


def read_tree(path):
    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    reader = STEPCAFControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.001)
    assert reader.Transfer(document)
    roots = TDF_LabelSequence()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    nodes = [n for i in range(roots.Length()) for n in walk(roots.Value(i + 1), 0, TopLoc_Location())]
    return Tree(document, roots.Length(), tuple(nodes))


def walk(label, depth, outer):
    target, referred = label, TDF_Label()
    if XCAFDoc_ShapeTool.GetReferredShape_s(label, referred):
        target = referred
    children = TDF_LabelSequence()
    XCAFDoc_ShapeTool.GetComponents_s(target, children)
    place = outer.Multiplied(XCAFDoc_ShapeTool.GetLocation_s(label))
    yield Node(depth, name_of(label), name_of(target), target, place, children.Length() == 0)
    for i in range(children.Length()):
        yield from walk(children.Value(i + 1), depth + 1, place)


def name_of(label):
    attribute = TDataStd_Name()
    assert label.FindAttribute(TDataStd_Name.GetID_s(), attribute)
    return attribute.Get().ToExtString()


def volume(shape):
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return properties.Mass()


def tight_box(shapes):
    box = Bnd_Box()
    for shape in shapes:
        BRepBndLib.AddOptimal_s(shape, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return (low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z())


def solids_in(shape):
    explorer, count = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID), 0
    while explorer.More():
        count += 1
        explorer.Next()
    return count


def surface_colour(label):
    colour, tool = Quantity_Color(), XCAFDoc_DocumentTool.ColorTool_s(label)
    for kind in (XCAFDoc_ColorType.XCAFDoc_ColorSurf, XCAFDoc_ColorType.XCAFDoc_ColorGen):
        if tool.GetColor_s(label, kind, colour):
            return colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)
    return None


def matrix(place):
    """The rows of a kernel location's 3 x 4 matrix."""
    transformation = place.Transformation()
    return np.array([[transformation.Value(row, column) for column in (1, 2, 3, 4)] for row in (1, 2, 3)])


def expected_matrix(placement: Placement):
    columns = (placement.x_axis, placement.y_axis, placement.z_axis, placement.origin)
    return np.array(columns).T


def number_of(product_name: str) -> str:
    return product_name.split(maxsplit=1)[0]


@pytest.fixture(scope="module")
def trees():
    return {}


@pytest.fixture
def tree(package, trees) -> Tree:
    """The STEP assembly, read once."""
    name = package.folder.name
    if name not in trees:
        trees[name] = read_tree(package.folder / "assembly.step")
    return trees[name]


def test_one_root_with_groups_over_every_instance(package, tree):
    instances = package.study.detail.instances
    assert tree.roots == 1
    assert tree.nodes[0].name == package.folder.name
    groups = [node.name for node in tree.nodes if node.depth == 1]
    assert groups == list(dict.fromkeys(instance.group for instance in instances))
    assert {node.depth for node in tree.leaves} == {2}
    assert len(tree.leaves) == len(instances) == sum(p["quantity"] for p in package.manifest["parts"])


def test_names_are_given_and_used_once(package, tree):
    names = [node.name for node in tree.nodes]
    assert all(name.strip() for name in names)
    assert [name for name, count in Counter(names).items() if count > 1] == []
    assert {node.name for node in tree.leaves} == {i.name for i in package.study.detail.instances}


def test_each_part_is_stored_once(package, tree):
    numbers = Counter(number_of(node.product) for node in tree.leaves)
    assert numbers == {part["number"]: part["quantity"] for part in package.manifest["parts"]}
    definitions = {(number_of(node.product), node.definition.Tag()) for node in tree.leaves}
    assert len(definitions) == len(package.manifest["parts"])


def test_every_part_has_its_colour(package, tree):
    parts = package.study.detail.parts
    for node in tree.leaves:
        seen = surface_colour(node.definition)
        assert seen == pytest.approx(colour_of(parts[number_of(node.product)]), abs=1e-4), node.name


def test_millimetres(package):
    text = (package.folder / "assembly.step").read_text(encoding="ascii")
    assert "SI_UNIT(.MILLI.,.METRE.)" in text.replace(" ", "")
    assert "CONVERSION_BASED_UNIT" not in text


def test_placements_are_those_of_the_detail(package, tree):
    places = {node.name: matrix(node.place) for node in tree.leaves}
    for instance in package.study.detail.instances:
        assert np.abs(places[instance.name] - expected_matrix(instance.placement)).max() < 1e-6


def test_nothing_is_mirrored(tree):
    assert all(np.linalg.det(matrix(node.place)[:, :3]) == pytest.approx(1.0) for node in tree.leaves)


def test_volumes_of_the_assembly_are_those_of_the_manifest(package, tree):
    total = {part["number"]: 0.0 for part in package.manifest["parts"]}
    for node in tree.leaves:
        total[number_of(node.product)] += volume(XCAFDoc_ShapeTool.GetShape_s(node.definition))
    for number, part in package.made().items():
        assert total[number] == pytest.approx(part["volume_mm3"] * part["quantity"], rel=RELATIVE)


def test_part_files_hold_one_valid_solid_of_the_manifests_volume(package):
    for number, part in package.made().items():
        tree = read_tree(package.folder / f"parts/{number}.step")
        [node] = tree.nodes
        shape = XCAFDoc_ShapeTool.GetShape_s(node.definition)
        assert number_of(node.name) == number
        assert solids_in(shape) == 1
        assert BRepCheck_Analyzer(shape).IsValid()
        assert volume(shape) == pytest.approx(part["volume_mm3"], rel=RELATIVE)


def test_both_hands_never_meet_in_one_mount(package):
    hands = {part["hand"] for part in package.manifest["parts"] if "hand" in part}
    assert hands == {package.manifest["layout"]["hand"]}


@pytest.fixture
def scene(package) -> trimesh.Scene:
    return trimesh.load_scene(package.folder / "assembly.glb")


def test_glb_names_every_instance(package, scene):
    shown = set(scene.graph.nodes_geometry)
    assert shown == {instance.name for instance in package.study.detail.instances}


def test_glb_meshes_are_within_a_hundredth_of_the_solids(package, scene):
    instances = {instance.name: instance.part for instance in package.study.detail.instances}
    for name in scene.graph.nodes_geometry:
        _, geometry = scene.graph[name]
        part = package.made().get(instances[name])
        if part is not None:
            mesh = scene.geometry[geometry]
            # Metres in the file.
            assert mesh.volume * 1e9 == pytest.approx(part["volume_mm3"], rel=0.01), name
            assert geometry.split()[0] == part["number"]


def test_glb_is_the_step_model_in_metres_with_y_up(package, scene, tree):
    shapes = (XCAFDoc_ShapeTool.GetShape_s(node.definition).Located(node.place) for node in tree.leaves)
    low, high = tight_box(shapes)
    # World x, y, z become x, z, -y.
    expected = [[low[0], low[2], -high[1]], [high[0], high[2], -low[1]]]
    chord = 0.3
    assert np.abs(scene.bounds * 1000 - np.array(expected)).max() < chord


def test_glb_stores_the_corners_of_each_part_once(package):
    """glTF 2.0, 4.4: the first chunk is JSON, its length in bytes 12 to 15."""
    content = (package.folder / "assembly.glb").read_bytes()
    text = json.loads(content[20 : 20 + int.from_bytes(content[12:16], "little")])
    corners = [p["attributes"]["POSITION"] for mesh in text["meshes"] for p in mesh["primitives"]]
    assert len(set(corners)) == len(package.manifest["parts"])


def through_holes(mesh: trimesh.Trimesh) -> int:
    """From the Euler characteristic of a closed surface: V - E + F = 2 - 2 holes."""
    joined = mesh.copy()
    joined.merge_vertices(merge_tex=True, merge_norm=True)
    assert joined.is_watertight
    return (2 - joined.euler_number) // 2


def test_as_many_holes_through_each_sheet_as_its_tree_owns(package, scene):
    meshes = {name.split()[0]: mesh for name, mesh in scene.geometry.items()}
    for part in package.study.detail.sheets:
        owned = sum(len(flange.holes) for flange, _ in part.placed_flanges())
        assert through_holes(meshes[part.number]) == owned, part.number


def test_bars_are_as_long_as_the_cut_list_says(package):
    for bar in package.study.detail.extrusions:
        tree = read_tree(package.folder / f"parts/{bar.number}.step")
        low, high = tight_box([XCAFDoc_ShapeTool.GetShape_s(tree.nodes[0].definition)])
        assert math.isclose(low[2], 0.0, abs_tol=1e-6)
        assert math.isclose(high[2], bar.length, abs_tol=1e-6)
