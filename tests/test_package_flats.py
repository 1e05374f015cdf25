"""The flats of every example, read back with ezdxf and measured with shapely.

Nothing of the writer or of the project's own lint is used. Bends take up sheet by DIN 6935, whose formula
stands here once more.
"""

import math
from collections import Counter

import ezdxf
import pytest
from conftest import times_told
from ezdxf.math import bulge_to_arc
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from shapely import MultiPoint, Polygon

LAYERS = {"CUT_OUTER", "CUT_INNER", "BEND_UP", "BEND_DOWN", "MARK"}
TYPES = {"LWPOLYLINE", "CIRCLE", "LINE"}
CHORD = 1e-5
"""mm between an arc and its chords."""


@pytest.fixture
def flats(package):
    """Every sheet part with its flat as ezdxf reads it."""
    parts = package.study.detail.sheets
    return [(part, ezdxf.readfile(package.folder / f"flat/{part.number}.dxf")) for part in parts]


def on(layer, drawing):
    return [entity for entity in drawing.modelspace() if entity.dxf.layer == layer]


def polygon_of(entity) -> Polygon:
    """A closed outline with its arcs as chords."""
    if entity.dxftype() == "CIRCLE":
        return Polygon([(p.x, p.y) for p in entity.flattening(CHORD)])
    corners = entity.get_points("xyb")
    pairs = zip(corners, corners[1:] + corners[:1], strict=True)
    return Polygon(
        [point for (x, y, bulge), (x1, y1, _) in pairs for point in chords((x, y), (x1, y1), bulge)]
    )


def chords(start, end, bulge):
    """Points along a segment, its end left out. DXF reference, LWPOLYLINE 42: bulge = tan(sweep / 4)."""
    if bulge == 0.0:
        return [start]
    centre, *_, radius = bulge_to_arc(start, end, bulge)
    sweep, first = 4 * math.atan(bulge), math.atan2(start[1] - centre.y, start[0] - centre.x)
    count = math.ceil(abs(sweep) / 2 / math.acos(1 - CHORD / radius))
    angles = [first + sweep * i / count for i in range(count)]
    return [(centre.x + radius * math.cos(a), centre.y + radius * math.sin(a)) for a in angles]


def outline_of(drawing) -> Polygon:
    [outer] = on("CUT_OUTER", drawing)
    return polygon_of(outer)


def holes_of(drawing) -> list[Polygon]:
    return [polygon_of(entity) for entity in on("CUT_INNER", drawing)]


def test_millimetres_and_clean(flats):
    for part, drawing in flats:
        assert drawing.header["$INSUNITS"] == 4, part.number  # DXF reference: 4 is millimetres
        assert drawing.header["$MEASUREMENT"] == 1
        auditor = drawing.audit()
        assert auditor.errors == []
        assert auditor.fixes == []


def test_only_plain_entities_on_known_layers(flats):
    for _, drawing in flats:
        entities = list(drawing.modelspace())
        assert {entity.dxftype() for entity in entities} <= TYPES
        assert {entity.dxf.layer for entity in entities} <= LAYERS
        assert all(
            entity.dxftype() == "LINE" for entity in (*on("BEND_UP", drawing), *on("BEND_DOWN", drawing))
        )


def test_every_cut_is_closed_and_simple(flats):
    for part, drawing in flats:
        cuts = [*on("CUT_OUTER", drawing), *on("CUT_INNER", drawing)]
        assert all(cut.closed for cut in cuts if cut.dxftype() == "LWPOLYLINE"), part.number
        assert all(polygon_of(cut).is_valid for cut in cuts), part.number


def test_arcs_are_bulges_not_chords(flats):
    """Round corners and slots: no run of short chords stands for an arc."""
    for part, drawing in flats:
        for cut in [*on("CUT_OUTER", drawing), *on("CUT_INNER", drawing)]:
            if cut.dxftype() == "LWPOLYLINE":
                assert len(cut) <= 40, part.number
        inner = [cut for cut in on("CUT_INNER", drawing) if cut.dxftype() == "LWPOLYLINE"]
        assert all(any(bulge != 0.0 for *_, bulge in cut.get_points("xyb")) for cut in inner)


def test_holes_lie_inside_and_apart(flats):
    for part, drawing in flats:
        outline, holes = outline_of(drawing), holes_of(drawing)
        assert all(outline.contains(hole) for hole in holes), part.number
        assert all(a.disjoint(b) for i, a in enumerate(holes) for b in holes[:i]), part.number


def test_datum_corner_and_size_of_the_drawing(package, flats):
    text = "\n".join(package.drawing_pages)
    for part, drawing in flats:
        low_x, low_y, high_x, high_y = outline_of(drawing).bounds
        assert (low_x, low_y) == pytest.approx((0.0, 0.0), abs=1e-6)
        # The same two figures head the cut list and the drawing.
        for size in (high_x, high_y):
            assert f"{round(size, 2):g}" in text, (part.number, size)


def test_size_of_a_part_with_one_bend_is_legs_plus_allowance(flats):
    checked = 0
    for part, drawing in flats:
        if len(part.root.bends) == 1 and not part.root.bends[0].child.bends:
            [bend] = part.root.bends
            along = [abs(bend.end[i] - bend.start[i]) for i in (0, 1)]
            axis = along.index(min(along))  # across the bend line
            x0, y0, x1, y1 = part.root.outline.bounds
            root_length = (x1 - x0, y1 - y0)[axis]
            child_length = bend.child.outline.bounds[3]
            expected = root_length + child_length + din_6935(part.thickness, bend)
            sizes = outline_of(drawing).bounds[2:]
            assert any(size == pytest.approx(expected, abs=1e-4) for size in sizes), part.number
            checked += 1
    assert checked >= 1


def din_6935(thickness, bend) -> float:
    """Length of the neutral line: DIN 6935, phi (r + k s / 2), k = 0.65 + 0.5 lg(r / s) up to r / s = 5."""
    ratio = bend.inside_radius / thickness
    k = 0.65 + 0.5 * math.log10(ratio) if ratio <= 5 else 1.0
    return math.radians(abs(bend.angle_deg)) * (bend.inside_radius + k * thickness / 2)


def bends_of(part):
    return [bend for flange, _ in part.placed_flanges() for bend in flange.bends]


def test_sheet_area_times_thickness_is_the_folded_volume(package, flats):
    """A flat's bend zone is as long as the neutral line, the folded bend is a sector of a ring (Pappus:
    its middle line r + s / 2)."""
    for part, drawing in flats:
        area = outline_of(drawing).area - sum(hole.area for hole in holes_of(drawing))
        volume = area * part.thickness
        for bend in bends_of(part):
            middle = math.radians(abs(bend.angle_deg)) * (bend.inside_radius + part.thickness / 2)
            volume += (middle - din_6935(part.thickness, bend)) * bend.width * part.thickness
        assert package.made()[part.number]["volume_mm3"] == pytest.approx(volume, rel=1e-5), part.number


def test_a_line_for_every_bend_as_wide_as_the_bend(flats):
    for part, drawing in flats:
        lines = {"BEND_UP": [], "BEND_DOWN": []}
        for bend in bends_of(part):
            lines["BEND_UP" if bend.angle_deg > 0 else "BEND_DOWN"].append(bend.width)
        for layer, widths in lines.items():
            drawn = [entity.dxf.start.distance(entity.dxf.end) for entity in on(layer, drawing)]
            assert sorted(drawn) == pytest.approx(sorted(widths)), part.number


def test_marks_lie_on_the_sheet_clear_of_every_cut(flats):
    for part, drawing in flats:
        strokes = on("MARK", drawing)
        assert strokes, part.number
        sheet = outline_of(drawing)
        marks = MultiPoint([point for stroke in strokes for point in stroke.get_points("xy")])
        assert sheet.contains(marks)
        assert all(hole.distance(marks) > 0.5 for hole in holes_of(drawing))


def solid(path):
    reader = STEPControl_Reader()
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    reader.TransferRoots()
    return reader.OneShape()


def explored(shape, kind):
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def hole_rims(shape):
    """For each inner wire of a face, the radius of its circle, or 0.0 for a slot's rim."""
    for item in explored(shape, TopAbs_ShapeEnum.TopAbs_FACE):
        face = TopoDS.Face_s(item)
        outer = BRepTools.OuterWire_s(face)
        for wire in explored(face, TopAbs_ShapeEnum.TopAbs_WIRE):
            if not wire.IsSame(outer):
                curves = [
                    BRepAdaptor_Curve(TopoDS.Edge_s(e)) for e in explored(wire, TopAbs_ShapeEnum.TopAbs_EDGE)
                ]
                round_ = all(c.GetType() == GeomAbs_CurveType.GeomAbs_Circle for c in curves)
                radii = {round(c.Circle().Radius(), 6) for c in curves} if round_ else {0.0}
                yield radii.pop() if len(radii) == 1 else 0.0


def test_the_holes_of_the_flat_are_those_of_the_folded_solid(package, flats):
    """Each hole has a rim on both faces of the sheet."""
    for part, drawing in flats:
        rims = Counter(hole_rims(solid(package.folder / f"parts/{part.number}.step")))
        cuts = on("CUT_INNER", drawing)
        drawn = Counter(round(c.dxf.radius, 6) if c.dxftype() == "CIRCLE" else 0.0 for c in cuts)
        assert rims == Counter({radius: 2 * count for radius, count in drawn.items()}), part.number


def test_round_holes_stand_where_the_drawing_says(package, flats):
    for part, drawing in flats:
        pages = [p for p in package.drawing_pages if f"Identification number\n{part.number}\n" in p]
        page = "\n".join(pages)
        for cut in drawing.modelspace().query("CIRCLE"):
            assert times_told(f"{round(cut.dxf.center.x, 2):g}", page), part.number
            assert times_told(f"{round(cut.dxf.center.y, 2):g}", page), part.number
