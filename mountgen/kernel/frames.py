"""Points, directions and placements in the kernel's own types.

The kernel's Python package has no type stubs, so its objects are `Any` under names of our own:
`Solid` for a shape, `Location` for a placement, `KernelObject` for the rest. The kernel's own messages
are turned down for good when this module is imported: it prints them to standard output, where nobody
expects them.
"""

from __future__ import annotations

from typing import Any, TypeAlias

from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
from OCP.Message import Message, Message_Gravity
from OCP.TopLoc import TopLoc_Location

from mountgen.errors import KernelError
from mountgen.geometry import Placement, dot

Solid: TypeAlias = Any
Location: TypeAlias = Any
KernelObject: TypeAlias = Any

SQUARE = 1e-9
"""How far the axes of a placement may be off unit length and off a right angle to each other."""


def quiet_kernel() -> None:
    """Let the kernel print failures alone."""
    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)


def transformation(placement: Placement) -> KernelObject:
    """The placement as a `gp_Trsf`: a turn and a shift, never a mirror (KernelError for skew axes)."""
    x, y, z = placement.x_axis, placement.y_axis, placement.z_axis
    off = max(abs(dot(x, x) - 1.0), abs(dot(z, z) - 1.0), abs(dot(x, z)))
    if off > SQUARE:
        raise KernelError(f"the axes {x} and {z} of a placement are not unit vectors at a right angle")
    rows = zip(x, y, z, placement.origin, strict=True)
    result = gp_Trsf()
    result.SetValues(*(value for row in rows for value in row))
    return result


def axes(placement: Placement) -> KernelObject:
    """The placement as a `gp_Ax2`, to build a primitive in its place."""
    return gp_Ax2(gp_Pnt(*placement.origin), gp_Dir(*placement.z_axis), gp_Dir(*placement.x_axis))


def location(placement: Placement) -> Location:
    """The placement as a `TopLoc_Location`, which the kernel calls identity when it is."""
    if placement == Placement():
        return TopLoc_Location()
    return TopLoc_Location(transformation(placement))


def placed(shape: Solid, placement: Placement) -> Solid:
    """The shape in its place; geometry is shared with the one that was given."""
    return shape.Located(location(placement))


quiet_kernel()
