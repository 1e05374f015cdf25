"""What the kernel alone needs: the solids of one mount, its STEP and its GLB, written as a script would.

    python tests/benchmarks/bare_build.py MOUNT.json FOLDER

It imports nothing of mountgen, checks nothing and writes no drawing.
"""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCylinder,
    BRepPrimAPI_MakePrism,
    BRepPrimAPI_MakeRevol,
)
from OCP.GC import GC_MakeArcOfCircle
from OCP.gp import gp_Ax1, gp_Ax2, gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Message import Message, Message_Gravity, Message_ProgressRange
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.RWGltf import RWGltf_CafWriter
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_StepModelType
from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString
from OCP.TColStd import TColStd_IndexedDataMapOfStringString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_ListOfShape
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool


def solid_of(part):
    body = joined(
        BRepAlgoAPI_Fuse(), [piece(p) for p in part["add"][:1]], [piece(p) for p in part["add"][1:]]
    )
    return joined(BRepAlgoAPI_Cut(), [body], [piece(p) for p in part["cut"]])


def joined(operation, arguments, tools):
    if not tools:
        return arguments[0]
    operation.SetArguments(shapes(arguments))
    operation.SetTools(shapes(tools))
    operation.Build()
    merge = ShapeUpgrade_UnifySameDomain(operation.Shape(), True, True, False)
    merge.Build()
    return merge.Shape()


def shapes(items):
    result = TopTools_ListOfShape()
    for item in items:
        result.Append(item)
    return result


def piece(data):
    if "low" in data:
        return BRepPrimAPI_MakeBox(gp_Pnt(*data["low"]), gp_Pnt(*data["high"])).Shape()
    if "diameter" in data:
        frame = data["frame"]
        axes = gp_Ax2(gp_Pnt(*frame["origin"]), gp_Dir(*frame["z"]), gp_Dir(*frame["x"]))
        return BRepPrimAPI_MakeCylinder(axes, data["diameter"] / 2, data["height"]).Shape()
    body = bend(data) if "angle" in data else prism(data)
    return body.Located(location(data["frame"]))


def prism(data):
    face = BRepBuilderAPI_MakeFace(wire(data["outline"]))
    for hole in data["holes"]:
        face.Add(TopoDS.Wire_s(wire(hole).Reversed()))
    return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0, 0, data["height"])).Shape()


def wire(corners):
    maker = BRepBuilderAPI_MakeWire()
    for (x, y, bulge), (x1, y1, _) in zip(corners, corners[1:] + corners[:1], strict=True):
        if math.dist((x, y), (x1, y1)) < 1e-6:
            continue
        a, b = gp_Pnt(x, y, 0), gp_Pnt(x1, y1, 0)
        if bulge:
            middle = gp_Pnt((x + x1 + bulge * (y1 - y)) / 2, (y + y1 - bulge * (x1 - x)) / 2, 0)
            maker.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(a, middle, b).Value()).Edge())
        else:
            maker.Add(BRepBuilderAPI_MakeEdge(a, b).Edge())
    return maker.Wire()


def bend(data):
    """The bent strip: its rectangle over the tangent line, turned about the bend's axis."""
    (x0, y0), (x1, y1), t = data["start"], data["end"], data["thickness"]
    corners = [gp_Pnt(x, y, z) for x, y, z in ((x0, y0, 0), (x1, y1, 0), (x1, y1, t), (x0, y0, t))]
    edges = [
        BRepBuilderAPI_MakeEdge(a, b).Edge() for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    face = BRepBuilderAPI_MakeFace(BRepBuilderAPI_MakeWire(*edges).Wire()).Face()
    up = data["angle"] > 0
    height = t + data["radius"] if up else -data["radius"]
    along = gp_Dir(x0 - x1, y0 - y1, 0) if up else gp_Dir(x1 - x0, y1 - y0, 0)
    return BRepPrimAPI_MakeRevol(face, gp_Ax1(gp_Pnt(x0, y0, height), along), abs(data["angle"])).Shape()


def location(frame):
    move = gp_Trsf()
    move.SetTransformation(
        gp_Ax3(gp_Pnt(*frame["origin"]), gp_Dir(*frame["z"]), gp_Dir(*frame["x"])), gp_Ax3()
    )
    return TopLoc_Location(move)


def document_of(data, solids):
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.001)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    labels = {}
    for number, part in data["parts"].items():
        labels[number] = named(tool.AddShape(solids[number], False), part["name"])
        colour = Quantity_Color(*part["colour"], Quantity_TypeOfColor.Quantity_TOC_sRGB)
        colours.SetColor(labels[number], colour, XCAFDoc_ColorType.XCAFDoc_ColorSurf)
    root, groups = named(tool.NewShape(), data["name"]), {}
    for item in data["instances"]:
        if item["group"] not in groups:
            groups[item["group"]] = named(tool.NewShape(), item["group"])
        place = location(item["frame"])
        named(tool.AddComponent(groups[item["group"]], labels[item["part"]], place), item["name"])
    for name, group in groups.items():
        named(tool.AddComponent(root, group, TopLoc_Location()), name)
    tool.UpdateAssemblies()
    return document


def named(label, name):
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))
    return label


def write(document, folder):
    writer = STEPCAFControl_Writer()
    writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    assert writer.Write(str(folder / "assembly.step")) == IFSelect_ReturnStatus.IFSelect_RetDone
    glb = RWGltf_CafWriter(TCollection_AsciiString(str(folder / "assembly.glb")), True)
    glb.SetMergeFaces(True)
    assert glb.Perform(document, TColStd_IndexedDataMapOfStringString(), Message_ProgressRange())


def main():
    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    data = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    folder = Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    solids = {number: solid_of(part) for number, part in data["parts"].items()}
    for solid in solids.values():
        BRepMesh_IncrementalMesh(solid, 0.25, False, 0.5)
    write(document_of(data, solids), folder)


if __name__ == "__main__":
    main()
