"""STEP and GLB files of parts and assemblies: names, colours, shared products, same input same bytes.

Both are written from one kind of document: each product stored once, each occurrence a named, placed
reference to it.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from OCP.BRepGProp import BRepGProp
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepTools import BRepTools
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message_ProgressRange
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.RWGltf import RWGltf_CafWriter
from OCP.RWMesh import RWMesh_CoordinateSystem, RWMesh_NameFormat
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_StepModelType
from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString
from OCP.TColStd import TColStd_IndexedDataMapOfStringString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import (
    XCAFDoc_Area,
    XCAFDoc_Centroid,
    XCAFDoc_ColorType,
    XCAFDoc_DocumentTool,
    XCAFDoc_Volume,
)

from mountgen.detail.records import Rgb
from mountgen.errors import KernelError
from mountgen.kernel.assembly import Assembly, AssemblyNode, Product, check_assembly
from mountgen.kernel.frames import KernelObject, Solid, location
from mountgen.kernel.step_text import Schema, StepHeader, canonical

CHORD = 0.25
"""mm between a curved face and the facets of a GLB file."""

FACET_ANGLE = 0.5
"""rad between neighbouring facets of a curved face, at most."""

KERNEL_SCHEMAS: Mapping[Schema, str] = MappingProxyType({"AP214": "AP214IS", "AP242": "AP242DIS"})
"""What the kernel calls the schemas."""
_METRE_PER_MM = 0.001


def write_step(path: Path, assembly: Assembly, time_stamp: str, schema: Schema) -> None:
    """The assembly as STEP in mm; `time_stamp` (ISO 8601) goes to the header as it is.

    Every product carries its geometric validation properties (volume, area, centroid), so that a reader can
    prove what it made of the file. KernelError for a tree that is not sound or that the kernel cannot write.
    """
    check_assembly(assembly)
    text = _step_bytes(_assembly_document(assembly, validated=True), path.name, schema)
    names = [node.name for node in assembly.root.walk()][1:]
    path.write_bytes(canonical(text, StepHeader(path.name, time_stamp, schema), names))


def write_part_step(path: Path, product: Product, time_stamp: str, schema: Schema) -> None:
    """One part as STEP in mm, in its own frame, under its name, with its validation properties."""
    document = _new_document()
    _set_validation(_add_product(document, product), product.solid)
    text = _step_bytes(document, path.name, schema)
    path.write_bytes(canonical(text, StepHeader(path.name, time_stamp, schema)))


def write_glb(path: Path, assembly: Assembly) -> None:
    """The assembly as binary glTF: metres, y up, one node per occurrence under its name."""
    check_assembly(assembly)
    for key in assembly.used_products():
        _mesh(assembly.products[key])
    document = _assembly_document(assembly, validated=False)
    writer = RWGltf_CafWriter(TCollection_AsciiString(str(path)), True)
    writer.SetMergeFaces(True)
    writer.SetNodeNameFormat(RWMesh_NameFormat.RWMesh_NameFormat_InstanceOrProduct)
    writer.SetMeshNameFormat(RWMesh_NameFormat.RWMesh_NameFormat_Product)
    converter = writer.ChangeCoordinateSystemConverter()
    converter.SetInputCoordinateSystem(RWMesh_CoordinateSystem.RWMesh_CoordinateSystem_Zup)
    if not writer.Perform(document, TColStd_IndexedDataMapOfStringString(), Message_ProgressRange()):
        raise KernelError(f"{path.name}: the kernel cannot write the GLB file")


def _mesh(product: Product) -> None:
    """Facets, kept by the kernel beside the exact faces; always from scratch, so that they depend on
    nothing that was done before."""
    BRepTools.Clean_s(product.solid)
    mesh = BRepMesh_IncrementalMesh(product.solid, CHORD, False, FACET_ANGLE, False)
    if not mesh.IsDone():
        raise KernelError(f"{product.name}: the kernel cannot mesh the solid")


def _step_bytes(document: KernelObject, name: str, schema: Schema) -> bytes:
    writer = STEPCAFControl_Writer()
    _set_step_options(schema)
    writer.SetColorMode(True)
    writer.SetNameMode(True)
    writer.SetPropsMode(True)
    stream = io.BytesIO()
    if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
        raise KernelError(f"{name}: the kernel cannot translate the model to STEP")
    if writer.WriteStream(stream) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise KernelError(f"{name}: the kernel cannot write the STEP file")
    return stream.getvalue()


def _set_step_options(schema: Schema) -> None:
    """The kernel's options for STEP; they exist only once a writer was made.

    Curves on surfaces are left out: every reader finds them again, and they double the file.
    """
    numbers = {"write.surfacecurve.mode": 0, "write.step.assembly": 1}
    texts = {"write.step.schema": KERNEL_SCHEMAS[schema], "write.step.unit": "MM"}
    done = [Interface_Static.SetIVal_s(key, value) for key, value in numbers.items()]
    done += [Interface_Static.SetCVal_s(key, value) for key, value in texts.items()]
    if not all(done):
        raise KernelError("the kernel does not know one of its STEP options")


def _new_document() -> KernelObject:
    document = TDocStd_Document(TCollection_ExtendedString("XmlOcaf"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, _METRE_PER_MM)
    return document


def _assembly_document(assembly: Assembly, *, validated: bool) -> KernelObject:
    document = _new_document()
    labels = {key: _add_product(document, assembly.products[key]) for key in assembly.used_products()}
    if validated:
        for key, label in labels.items():
            _set_validation(label, assembly.products[key].solid)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    _add_group(shapes, assembly.root, labels)
    shapes.UpdateAssemblies()
    return document


def _add_product(document: KernelObject, product: Product) -> KernelObject:
    main = document.Main()
    label = XCAFDoc_DocumentTool.ShapeTool_s(main).AddShape(product.solid, False, False)
    _set_name(label, product.name)
    colours = XCAFDoc_DocumentTool.ColorTool_s(main)
    colours.SetColor(label, _colour(product.colour), XCAFDoc_ColorType.XCAFDoc_ColorSurf)
    return label


def _set_validation(label: KernelObject, solid: Solid) -> None:
    """Volume, area and centroid of a product, in mm."""
    whole, faces = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, whole)
    BRepGProp.SurfaceProperties_s(solid, faces)
    XCAFDoc_Volume.Set_s(label, whole.Mass())
    XCAFDoc_Area.Set_s(label, faces.Mass())
    XCAFDoc_Centroid.Set_s(label, whole.CentreOfMass())


def _add_group(shapes: KernelObject, node: AssemblyNode, labels: dict[str, KernelObject]) -> KernelObject:
    """A definition of its own for each group, so that every occurrence below it has its own name."""
    group = shapes.NewShape()
    _set_name(group, node.name)
    for child in node.children:
        definition = labels[child.product] if child.product else _add_group(shapes, child, labels)
        _set_name(shapes.AddComponent(group, definition, location(child.placement)), child.name)
    return group


def _set_name(label: KernelObject, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _colour(rgb: Rgb) -> KernelObject:
    return Quantity_Color(*rgb, Quantity_TypeOfColor.Quantity_TOC_sRGB)
