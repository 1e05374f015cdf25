"""Volumes, centres, tight boxes and clearances of exact solids, all in mm."""

from __future__ import annotations

from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps

from mountgen.errors import KernelError
from mountgen.geometry import Box, Vec3
from mountgen.kernel import booleans
from mountgen.kernel.frames import Solid
from mountgen.kernel.gate import volume_of


def volume(shape: Solid) -> float:
    """mm3."""
    return volume_of(shape)


def centre_of_mass(shape: Solid) -> Vec3:
    """The centre of the shape's volume."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    at = properties.CentreOfMass()
    return (at.X(), at.Y(), at.Z())


def bounding_box(shape: Solid) -> Box:
    """The tight axis-parallel box: the kernel's quick one is too large around curved faces."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    if box.IsVoid():
        raise KernelError("an empty shape has no box")
    low, high = box.CornerMin(), box.CornerMax()
    return Box((low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z()))


def common_volume(a: Solid, b: Solid) -> float:
    """mm3 that two shapes share: zero when they are apart or only touch."""
    return booleans.common_volume(a, b, "two solids")


def minimum_distance(a: Solid, b: Solid) -> float:
    """mm between two shapes. Zero when they touch, cross or lie in each other: tell those apart by
    `common_volume`."""
    extrema = BRepExtrema_DistShapeShape(a, b)
    if not extrema.IsDone():
        raise KernelError("the kernel found no distance between two solids")
    return float(extrema.Value())
