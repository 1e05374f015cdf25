"""Fusing and cutting, with the material accounted for.

Where bodies meet is found once; the cut and what the cut took are both read from it, so that the two
must add up to the body that was there before.
"""

from __future__ import annotations

from collections.abc import Sequence

from OCP.BOPAlgo import BOPAlgo_BOP, BOPAlgo_Operation, BOPAlgo_PaveFiller
from OCP.BRepLib import BRepLib
from OCP.Message import Message_ProgressRange
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopTools import TopTools_ListOfShape

from mountgen.errors import KernelError
from mountgen.kernel.frames import KernelObject, Solid
from mountgen.kernel.gate import RELATIVE, volume_of

SMOOTH = 1e-6
"""rad between the normals of two faces that meet smoothly: views draw their edge as a tangent line."""


def fused(pieces: Sequence[Solid], name: str) -> Solid:
    """All pieces as one shape without seams between them; KernelError naming the part."""
    meeting = _meeting(pieces, name)
    whole = _result("FUSE", pieces[:1], pieces[1:], meeting, name)
    return _seamless(whole, volume_of(whole), name)


def cut(body: Solid, tools: Sequence[Solid], name: str) -> Solid:
    """The body without what the tools hold; KernelError naming the part if material goes astray."""
    meeting = _meeting([body, *tools], name)
    left = _result("CUT", [body], tools, meeting, name)
    taken = _result("COMMON", [body], tools, meeting, name)
    volume = volume_of(left)
    _same_volume(volume + volume_of(taken), volume_of(body), name)
    return _seamless(left, volume, name)


def common_volume(a: Solid, b: Solid, name: str) -> float:
    """mm3 that two bodies share: zero when they are apart or only touch."""
    return volume_of(_result("COMMON", [a], [b], _meeting([a, b], name), name))


def _meeting(shapes: Sequence[Solid], name: str) -> KernelObject:
    filler = BOPAlgo_PaveFiller()
    filler.SetArguments(_shape_list(shapes))
    filler.Perform(Message_ProgressRange())
    if filler.HasErrors():
        raise KernelError(f"{name}: the kernel cannot intersect its {len(shapes)} bodies")
    return filler


def _result(
    operation: str,
    arguments: Sequence[Solid],
    tools: Sequence[Solid],
    meeting: KernelObject,
    name: str,
) -> Solid:
    builder = BOPAlgo_BOP()
    builder.SetArguments(_shape_list(arguments))
    builder.SetTools(_shape_list(tools))
    builder.SetOperation(getattr(BOPAlgo_Operation, f"BOPAlgo_{operation}"))
    builder.PerformWithFiller(meeting, Message_ProgressRange())
    if builder.HasErrors():
        raise KernelError(f"{name}: the kernel cannot build the {operation.lower()} of its bodies")
    return builder.Shape()


def _seamless(shape: Solid, volume: float, name: str) -> Solid:
    """Faces of one plane or cylinder, and edges of one line or circle, merged; the volume (mm3) must stay."""
    merge = ShapeUpgrade_UnifySameDomain(shape, True, True, False)
    merge.Build()
    result = merge.Shape()
    _same_volume(volume_of(result), volume, name)
    BRepLib.EncodeRegularity_s(result, SMOOTH)
    return result


def _same_volume(found: float, expected: float, name: str) -> None:
    if abs(found - expected) > RELATIVE * expected:
        raise KernelError(f"{name}: {found:.3f} mm3 after a step of the kernel that had {expected:.3f} mm3")


def _shape_list(shapes: Sequence[Solid]) -> KernelObject:
    result = TopTools_ListOfShape()
    for shape in shapes:
        result.Append(shape)
    return result
