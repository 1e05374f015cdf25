"""What every solid must pass before it is handed on.

The kernel's steps can succeed with the wrong material: a solid is valid, one body, and half of it is
missing. So each made solid is checked for validity, for the number of its bodies, and for its volume
against one that was found without the kernel.
"""

from __future__ import annotations

from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer

from mountgen.errors import KernelError
from mountgen.kernel.frames import Solid

RELATIVE = 1e-6
"""How far a volume may be off, as a share of itself."""


def solids_of(shape: Solid) -> list[Solid]:
    """The bodies of a shape, in the kernel's order."""
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found


def volume_of(shape: Solid) -> float:
    """mm3."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return float(properties.Mass())


def one_solid(shape: Solid, volume: float, name: str) -> Solid:
    """The one body of the shape, if it is valid and has this volume in mm3; KernelError otherwise."""
    body = one_body(shape, name)
    check_volume(body, volume, name)
    return body


def one_body(shape: Solid, name: str) -> Solid:
    """The one body of the shape, if it is valid; KernelError otherwise."""
    bodies = solids_of(shape)
    if len(bodies) != 1:
        raise KernelError(f"{name}: the kernel made {len(bodies)} bodies, expected one")
    check_valid(bodies[0], name)
    return bodies[0]


def sound_bodies(shape: Solid, low: float, high: float, name: str) -> Solid:
    """The shape, if it has bodies, is valid and its volume lies in low..high mm3; KernelError otherwise.

    A single body comes back bare, several as they are.
    """
    bodies = solids_of(shape)
    if not bodies:
        raise KernelError(f"{name}: nothing is left of the solid")
    check_valid(shape, name)
    found = volume_of(shape)
    if not low * (1.0 - RELATIVE) <= found <= high * (1.0 + RELATIVE):
        raise KernelError(f"{name}: volume {found:.3f} mm3, expected {low:.3f} to {high:.3f} mm3")
    return bodies[0] if len(bodies) == 1 else shape


def check_volume(shape: Solid, expected: float, name: str) -> None:
    """KernelError if the volume differs from the expected one (mm3) by more than `RELATIVE`."""
    found = volume_of(shape)
    if abs(found - expected) > RELATIVE * expected:
        raise KernelError(f"{name}: the solid holds {found:.3f} mm3, its dimensions give {expected:.3f} mm3")


def check_valid(shape: Solid, name: str, hint: str = "its pieces do not fit together") -> None:
    """KernelError with the hint if the kernel calls the shape invalid."""
    if not BRepCheck_Analyzer(shape).IsValid():
        raise KernelError(f"{name}: the kernel calls the shape invalid; {hint}")
