"""Prisms as one mesh of ten-node tetrahedra with shared nodes where they touch.

Long bars would need many more elements than their bending does. So the mesher is given a world that is
drawn shorter along the *plain* stretches of each axis, and its nodes are put back afterwards: elements
there are as many times longer along the axis. Flat faces square to an axis stay flat; edges are straight.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mountgen.geometry import Vec2, Vec3
from solid_model.geometry import Axis, Elastic, Prism, Solids, Span

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

AXES: tuple[Axis, Axis, Axis] = ("x", "y", "z")
SHORTER = {"x": 8.0, "y": 4.0, "z": 4.0}
"""How many times shorter plain stretches are drawn."""
ON_PLANE = 1e-4
"""mm from a plane within which a node lies in it."""
TETRAHEDRON, VERTICES = 4, 4
EDGES = ((0, 1), (1, 2), (2, 0), (0, 3), (1, 3), (2, 3))
"""Vertices beside each middle node, in CalculiX's order."""


@dataclass(frozen=True)
class Mesh:
    """Nodes (n, 3), mm; elements (m, 10) of rows of nodes; of each element the row of its metal; of each
    part's name the rows of its nodes."""

    nodes: Floats
    elements: Ints
    metal: Ints
    metals: tuple[Elastic, ...]
    parts: dict[str, Ints]

    def plane(self, part: str, axis: Axis, at: float) -> Ints:
        """A part's nodes in a plane square to an axis."""
        rows = self.parts[part]
        found: Ints = rows[np.abs(self.nodes[rows, AXES.index(axis)] - at) < ON_PLANE]
        return found


@dataclass(frozen=True)
class Ruler:
    """True places along an axis and where the mesher draws them."""

    true: Floats
    drawn: Floats

    @staticmethod
    def of(plain: tuple[Span, ...], ends: Span, shorter: float) -> Ruler:
        """`ends` are true places beyond which there is nothing."""
        marks = {*ends, *(min(max(place, ends[0]), ends[1]) for span in plain for place in span)}
        true = np.array(sorted(marks))
        middles = (true[1:] + true[:-1]) / 2
        inside = np.array([any(low < m < high for low, high in plain) for m in middles], dtype=bool)
        steps = np.diff(true) / np.where(inside, shorter, 1.0)
        return Ruler(true, true[0] + np.concatenate([[0.0], np.cumsum(steps)]))

    def draw(self, place: float) -> float:
        return float(np.interp(place, self.true, self.drawn))

    def undo(self, places: Floats) -> Floats:
        result: Floats = np.interp(places, self.drawn, self.true)
        return result


def mesher_is_there() -> bool:
    return importlib.util.find_spec("gmsh") is not None


def mesh_of(solids: Solids, refined: float = 1.0) -> Mesh:
    """The mesh; elements are about the parts' sizes over `refined` in the drawn world."""
    rulers = {axis: _ruler(solids, axis) for axis in AXES}
    with _session():
        owners = _bonded(solids.prisms, rulers)
        _set_sizes(solids.prisms, owners, refined)
        points, corners, prism = _tetrahedra(owners)
    nodes = np.column_stack([rulers[axis].undo(points[:, k]) for k, axis in enumerate(AXES)])
    nodes, elements = _with_middles(nodes, _right_handed(nodes, corners))
    parts: dict[str, Ints] = {}
    for row, solid in enumerate(solids.prisms):
        mine = np.unique(elements[prism == row])
        parts[solid.name] = np.union1d(parts.get(solid.name, mine), mine)
    return Mesh(nodes, elements, prism, tuple(solid.metal for solid in solids.prisms), parts)


def volumes(mesh: Mesh) -> Floats:
    """mm3 of each element."""
    a, b, c, d = (mesh.nodes[mesh.elements[:, k]] for k in range(VERTICES))
    result: Floats = np.einsum("ij,ij->i", np.cross(b - a, c - a), d - a) / 6
    return result


@contextmanager
def _session() -> Iterator[None]:
    import gmsh  # type: ignore[import-untyped, unused-ignore]

    gmsh.initialize(interruptible=False)
    try:
        for option, value in (
            ("General.Terminal", 0),
            ("General.NumThreads", 1),
            ("Mesh.MeshSizeExtendFromBoundary", 1),
            ("Mesh.MeshSizeFromCurvature", 0),
            ("Mesh.Algorithm", 6),
            ("Mesh.Algorithm3D", 1),
            ("Mesh.Optimize", 1),
        ):
            gmsh.option.setNumber(option, value)
        yield
    finally:
        gmsh.finalize()


def _ruler(solids: Solids, axis: Axis) -> Ruler:
    places = [place for prism in solids.prisms for place in _reach(prism, axis)]
    return Ruler.of(solids.plain.get(axis, ()), (min(places), max(places)), SHORTER[axis])


def _reach(prism: Prism, axis: Axis) -> Span:
    if prism.axis == axis:
        return prism.span
    others = [a for a in AXES if a != prism.axis]
    values = [point[others.index(axis)] for point in prism.outline]
    return min(values), max(values)


def _bonded(prisms: tuple[Prism, ...], rulers: dict[Axis, Ruler]) -> list[list[int]]:
    """The volumes of each prism after their common faces have been made one."""
    import gmsh  # type: ignore[import-untyped, unused-ignore]

    made = [_volume(prism, rulers) for prism in prisms]
    origin = [[(3, tag)] for tag in made]
    if len(made) > 1:
        _, origin = gmsh.model.occ.fragment(origin[0], [(3, tag) for tag in made[1:]])
    gmsh.model.occ.synchronize()
    owners = [[tag for dim, tag in pieces if dim == 3] for pieces in origin]
    claimed = [tag for tags in owners for tag in tags]
    if len(claimed) != len(set(claimed)):
        raise ValueError("two parts of the mount overlap")
    return owners


def _volume(prism: Prism, rulers: dict[Axis, Ruler]) -> int:
    import gmsh  # type: ignore[import-untyped, unused-ignore]

    occ = gmsh.model.occ
    start, end = (rulers[prism.axis].draw(place) for place in prism.span)
    loops = [_loop(points, prism.axis, (prism.span[0], rulers)) for points in (prism.outline, *prism.hollows)]
    face = occ.addPlaneSurface(loops)
    way = [end - start if axis == prism.axis else 0.0 for axis in AXES]
    return next(int(tag) for dim, tag in occ.extrude([(2, face)], *way) if dim == 3)


def _loop(points: tuple[Vec2, ...], axis: Axis, where: tuple[float, dict[Axis, Ruler]]) -> int:
    import gmsh  # type: ignore[import-untyped, unused-ignore]

    occ = gmsh.model.occ
    level, rulers = where
    corners = [_in_space(point, axis, level) for point in points]
    drawn = [[rulers[a].draw(corner[k]) for k, a in enumerate(AXES)] for corner in corners]
    tags = [occ.addPoint(*corner) for corner in drawn]
    lines = [occ.addLine(a, b) for a, b in zip(tags, tags[1:] + tags[:1], strict=True)]
    return int(occ.addCurveLoop(lines))


def _in_space(point: Vec2, axis: Axis, level: float) -> Vec3:
    u, v = point
    return {"x": (level, u, v), "y": (u, level, v), "z": (u, v, level)}[axis]


def _set_sizes(prisms: tuple[Prism, ...], owners: list[list[int]], refined: float) -> None:
    """Coarsest part first, so that common points have the finest size."""
    import gmsh  # type: ignore[import-untyped, unused-ignore]

    for prism, tags in sorted(zip(prisms, owners, strict=True), key=lambda pair: -pair[0].size):
        points = gmsh.model.getBoundary([(3, tag) for tag in tags], recursive=True)
        gmsh.model.mesh.setSize([point for point in points if point[0] == 0], prism.size / refined)


def _tetrahedra(owners: list[list[int]]) -> tuple[Floats, Ints, Ints]:
    """Points (n, 3), corners (m, 4) and the prism of each tetrahedron, in the drawn world."""
    import gmsh  # type: ignore[import-untyped, unused-ignore]

    gmsh.model.mesh.generate(3)
    tags, flat, _ = gmsh.model.mesh.getNodes()
    row = np.zeros(int(tags.max()) + 1, dtype=np.int64)
    row[tags] = np.arange(len(tags))
    corners, prism = [], []
    for number, volumes_of in enumerate(owners):
        for volume in volumes_of:
            _, found = gmsh.model.mesh.getElementsByType(TETRAHEDRON, volume)
            corners.append(row[found].reshape(-1, VERTICES))
            prism.append(np.full(len(corners[-1]), number, dtype=np.int64))
    together = np.vstack(corners)
    used, renumbered = np.unique(together, return_inverse=True)
    points = flat.reshape(-1, 3)[used]
    return points, renumbered.reshape(together.shape), np.concatenate(prism)


def _right_handed(nodes: Floats, corners: Ints) -> Ints:
    a, b, c, d = (nodes[corners[:, k]] for k in range(VERTICES))
    turned = np.einsum("ij,ij->i", np.cross(b - a, c - a), d - a) < 0
    result = corners.copy()
    result[turned] = corners[turned][:, [1, 0, 2, 3]]
    return result


def _with_middles(nodes: Floats, corners: Ints) -> tuple[Floats, Ints]:
    """The same with a node in the middle of every edge."""
    ends = np.sort(corners[:, np.array(EDGES)], axis=2)
    edges, which = np.unique(ends.reshape(-1, 2), axis=0, return_inverse=True)
    middles = nodes[edges].mean(axis=1)
    elements = np.hstack([corners, len(nodes) + which.reshape(-1, len(EDGES))])
    return np.vstack([nodes, middles]), elements
