"""What a cutting shop would send a flat back for, found before it is sent.

Words: a layer is a *cut layer* when its name begins with CUT, or when the shop calls one of those so. A
*path* is what the laser follows without lifting: a circle, a polyline, or lines and arcs that join end to
end. Every path must be closed, lie at z = 0 with the normal upwards, and keep clear of every other one.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import Arc as ArcEntity
from ezdxf.entities import Circle, DXFEntity, Line, LWPolyline, Polyline

from mountgen.errors import Fault, InputError
from mountgen.geometry import COINCIDENT, Vec2, Vertex, circle
from mountgen.package.dxf_flavour import Flavour
from mountgen.sheet.edges import SAME_CORNER, Edge, edge_between, meeting_points

JOINED = 0.001
"""mm; ends of lines and arcs closer than this are one point."""
MILLIMETRES = 4
UNITS = {0: "none", 1: "inch", 2: "foot", 4: "millimetre", 5: "centimetre", 6: "metre"}

Span = tuple[Vertex, Vertex]


@dataclass(frozen=True)
class _Drawn:
    """One line, arc, circle or polyline in the plane: its spans, what it is called, and its layer."""

    spans: tuple[Span, ...]
    title: str
    layer: str
    on_plane: bool

    @property
    def length(self) -> float:
        return sum(math.hypot(b.x - a.x, b.y - a.y) * (1 + abs(a.bulge)) for a, b in self.spans)

    @property
    def shape(self) -> frozenset[tuple[float, ...]]:
        """The same for two entities on top of each other, whichever way round they were drawn."""
        return frozenset(_span_shape(a, b) for a, b in self.spans)


def lint_flat(path: Path, flavour: Flavour) -> tuple[str, ...]:
    """Every fault of a flat's DXF file that a cutting shop would object to, one sentence each.

    A drawing of the flavour R12 states no unit.

    InputError when the file cannot be read as DXF.
    """
    drawing = _read(path)
    cut = {flavour.layer(layer) for layer in ("CUT_OUTER", "CUT_INNER")}
    drawn: list[_Drawn] = []
    strange: list[str] = []
    for entity in drawing.modelspace():
        found = _drawn(entity)
        if found is not None:
            drawn.append(found)
        elif _is_cut(entity.dxf.layer, cut):
            strange.append(f"{entity.dxftype()} on the cut layer {entity.dxf.layer}")
    sound = [d for d in drawn if d.length > COINCIDENT]
    paths = [group for layer in _by_layer(sound, cut) for group in _joined(layer)]
    return (
        *([] if flavour.version == "R12" else _unit_faults(drawing)),
        *strange,
        *(f"{d.title} on {d.layer} lies off the plane z = 0 or faces down" for d in drawn if not d.on_plane),
        *(f"{d.title} on {d.layer} has no length" for d in drawn if d.length <= COINCIDENT),
        *_double_faults(sound),
        *_path_faults(paths),
    )


def _read(path: Path) -> Drawing:
    try:
        return ezdxf.readfile(path)
    except (OSError, ezdxf.DXFError) as error:
        fault = Fault(str(path), f"cannot be read as DXF ({error})", "a DXF file", "write it again")
        raise InputError([fault]) from error


def _is_cut(layer: str, names: Collection[str]) -> bool:
    return layer in names or layer.upper().startswith("CUT")


def _unit_faults(drawing: Drawing) -> Iterator[str]:
    units = int(drawing.header.get("$INSUNITS", 0))
    if units != MILLIMETRES:
        yield f"the drawing's unit is {UNITS.get(units, f'number {units}')}, not millimetre"


def _drawn(entity: DXFEntity) -> _Drawn | None:
    """The entity's spans as they stand in its own plane; nothing for any other kind of entity."""
    spans, heights = _spans(entity)
    if not heights:
        return None
    normal = entity.dxf.get("extrusion", (0.0, 0.0, 1.0))
    on_plane = max(abs(z) for z in heights) <= COINCIDENT and normal[2] > 1 - COINCIDENT
    return _Drawn(tuple(spans), _title(entity, spans), entity.dxf.layer, on_plane)


def _title(entity: DXFEntity, spans: Sequence[Span]) -> str:
    if isinstance(entity, Circle) and not isinstance(entity, ArcEntity):
        centre = entity.dxf.center
        return f"CIRCLE of diameter {2 * entity.dxf.radius:.3f} about {_at((centre.x, centre.y))}"
    a, b = spans[0][0], spans[-1][1]
    return f"{entity.dxftype()} from {_at((a.x, a.y))} to {_at((b.x, b.y))}"


def _spans(entity: DXFEntity) -> tuple[list[Span], list[float]]:
    """The spans of an entity and the heights z that it has; both empty for an entity that has none."""
    if isinstance(entity, Line):
        start, end = entity.dxf.start, entity.dxf.end
        return [(Vertex(start.x, start.y), Vertex(end.x, end.y))], [start.z, end.z]
    if isinstance(entity, ArcEntity):
        first, last = entity.start_point, entity.end_point
        sweep = (entity.dxf.end_angle - entity.dxf.start_angle) % 360.0
        bulge = math.tan(math.radians(sweep) / 4)
        return [(Vertex(first.x, first.y, bulge), Vertex(last.x, last.y))], [entity.dxf.center.z]
    if isinstance(entity, Circle):
        centre = entity.dxf.center
        return list(circle((centre.x, centre.y), 2 * entity.dxf.radius).segments()), [centre.z]
    if isinstance(entity, LWPolyline) and len(entity) > 1:
        corners = [Vertex(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
        closing = [(corners[-1], corners[0])] if entity.closed else []
        return [*pairwise(corners), *closing], [float(entity.dxf.elevation)]
    if isinstance(entity, Polyline) and entity.is_2d_polyline and len(entity) > 1:
        places = [(vertex.dxf.location, float(vertex.dxf.bulge)) for vertex in entity.vertices]
        corners = [Vertex(at.x, at.y, bulge) for at, bulge in places]
        closing = [(corners[-1], corners[0])] if entity.is_closed else []
        return [*pairwise(corners), *closing], [at.z for at, _ in places]
    return [], []


def _span_shape(a: Vertex, b: Vertex) -> tuple[float, ...]:
    ends = ((a.x, a.y, b.x, b.y, a.bulge), (b.x, b.y, a.x, a.y, -a.bulge))
    return min(tuple(round(value / JOINED) * 1.0 for value in end) for end in ends)


def _double_faults(drawn: Sequence[_Drawn]) -> Iterator[str]:
    seen: set[frozenset[tuple[float, ...]]] = set()
    for d in drawn:
        if d.shape in seen:
            yield f"{d.title} on {d.layer} is drawn twice"
        seen.add(d.shape)


def _by_layer(drawn: Iterable[_Drawn], cut: Collection[str]) -> Iterator[list[_Drawn]]:
    """What is drawn on each cut layer, doubles left out."""
    layers: dict[str, dict[frozenset[tuple[float, ...]], _Drawn]] = {}
    for d in drawn:
        if _is_cut(d.layer, cut):
            layers.setdefault(d.layer, {}).setdefault(d.shape, d)
    yield from (list(layer.values()) for layer in layers.values())


def _joined(drawn: list[_Drawn]) -> list[list[_Drawn]]:
    """Groups of open entities that hang together by their ends, and each closed one by itself."""
    groups: list[list[_Drawn]] = []
    for d in drawn:
        own = [d]
        if _loose_ends(own):
            touching = [g for g in groups if _loose_ends(g) and _share_end(g, own)]
            groups = [g for g in groups if g not in touching]
            own = [*(member for g in touching for member in g), d]
        groups.append(own)
    return groups


def _share_end(one: list[_Drawn], other: list[_Drawn]) -> bool:
    return any(math.dist(p, q) <= JOINED for p in _loose_ends(one) for q in _loose_ends(other))


def _loose_ends(group: list[_Drawn]) -> list[Vec2]:
    """Ends of a group's spans that no other end of it meets."""
    ends = [(v.x, v.y) for d in group for a, b in d.spans for v in (a, b)]
    return [p for i, p in enumerate(ends) if not any(_meet(p, q) for q in ends[:i] + ends[i + 1 :])]


def _meet(p: Vec2, q: Vec2) -> bool:
    return math.dist(p, q) <= JOINED


def _path_faults(paths: list[list[_Drawn]]) -> Iterator[str]:
    closed: list[tuple[str, tuple[Edge, ...]]] = []
    for group in paths:
        ends = _loose_ends(group)
        if ends:
            where = " and ".join(_at(end) for end in ends)
            yield f"open path on {group[0].layer} with loose ends at {where}"
        else:
            closed.append((group[0].title, tuple(edge_between(a, b) for d in group for a, b in d.spans)))
    if not closed:
        yield "no closed path on a layer whose name begins with CUT"
    for title, edges in closed:
        yield from (f"{title} crosses itself at {_at(point)}" for point in _own_crossings(edges))
    for (title, edges), (other, others) in combinations(closed, 2):
        points = [p for a in edges for b in others for p in meeting_points(a, b)]
        if points:
            yield f"{title} meets {other} at {_at(points[0])}"


def _own_crossings(edges: tuple[Edge, ...]) -> list[Vec2]:
    """The first point where edges of one path meet elsewhere than in a corner they share."""
    for a, b in combinations(edges, 2):
        corners = [p for p in (a.start, a.end) if p in (b.start, b.end)]
        for point in meeting_points(a, b):
            if all(math.dist(point, corner) > SAME_CORNER for corner in corners):
                return [point]
    return []


def _at(point: Vec2) -> str:
    return f"({point[0]:.3f}, {point[1]:.3f})"
