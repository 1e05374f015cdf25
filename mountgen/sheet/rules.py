"""What a sheet shop asks of a part before it cuts and bends it.

Every rule is measured for every hole, bend and flange, and each measurement is a finding whether it
passes or not: nothing is left out, so that the tightest one can be told even when all is well.
Distances are taken in the flat pattern. Limits are common practice of laser and press-brake shops unless
the finding's source says otherwise; what hangs on the press brake's die is measured with the die that
the flat's bend line names.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from mountgen.geometry import COINCIDENT, Contour, Vec2, Vertex
from mountgen.mechanics.bending import setback
from mountgen.sheet.edges import (
    Edge,
    edge_between,
    edge_gap,
    edges_of,
    is_inside,
    meeting_points,
    point_gap,
    spine_of,
)
from mountgen.sheet.flat import BendLine, Die, FlatPattern, PlacedHole
from mountgen.sheet.tree import Bend, Flange, SheetPart

Kind = Literal[
    "hole_edge",
    "hole_bend",
    "hole_die",
    "hole_web",
    "hole_size",
    "hole_outside",
    "flange_length",
    "die_opening",
    "bend_radius",
    "bend_relief",
]
Severity = Literal["pass", "caution", "fail"]
RANK: dict[Severity, int] = {"fail": 0, "caution": 1, "pass": 2}

EDGE_THICKNESSES = 1.5
WEB_THICKNESSES = 2.0
BEND_THICKNESSES = 2.0
FLANGE_THICKNESSES = 4.0
CORE_THICKNESSES = 0.5
"""A thread's core may be narrower than other holes: the tap takes off what the cut leaves rough."""
FLANGE_OF_DIE = 0.7
DIE_THICKNESSES = 8.0
LEAST_CUT = 1.0
"""mm; neither an opening nor a web is cut narrower."""
PROBE = 0.05
"""mm; how far beside a bend's end one looks for material."""

SOURCES: dict[Kind, str] = {
    "hole_edge": "common practice: hole edge to part edge at least 1.5 t and 1 mm; under 1 t it burns away",
    "hole_bend": "common practice: hole edge to bend tangent at least 2 t; never inside the bend",
    "hole_die": "common practice: hole edge to bend centre at least half the die opening",
    "hole_web": "common practice: web between holes at least 2 t and 1 mm; under 1 t it burns away",
    "hole_size": "common practice: hole or slot at least 1 t and 1 mm wide, a thread's core 0.5 t",
    "hole_outside": "a hole belongs to the flange that it lies in",
    "flange_length": "common practice: outside length at least 4 t and 0.7 of the die opening",
    "die_opening": "common practice: die opening at least 8 t, where the shop has not measured another",
    "bend_radius": "smallest inside radius of the material, times t",
    "bend_relief": "common practice: relief at least 1 t wide where a bend ends inside an edge",
}


@dataclass(frozen=True)
class Finding:
    """One rule measured: `value` and `limit` in mm, `remedy` is '' when it passes."""

    kind: Kind
    subject: str
    value: float
    limit: float
    severity: Severity
    source: str
    remedy: str

    @property
    def margin(self) -> float:
        """What is left to the limit, mm; negative when the limit is not kept."""
        return self.value - self.limit


def measured_rules(part: SheetPart, flat: FlatPattern, min_bend_ratio: float) -> tuple[Finding, ...]:
    """Every rule on every hole, bend and flange, the passing ones too.

    `min_bend_ratio` is the material's least inside radius / thickness. For a bend line without a die the
    flange length assumes 8 t, and the rules of dies are left out.
    """
    flanges = {flange.name: flange for flange, _ in part.placed_flanges()}
    return (
        *_hole_rules(flat, flanges, part.thickness),
        *_web_rules(flat.holes, part.thickness),
        *_bend_rules(flat, flanges, part.thickness, min_bend_ratio),
    )


def rule_findings(part: SheetPart, flat: FlatPattern, min_bend_ratio: float) -> tuple[Finding, ...]:
    """The measured rules that do not pass, the worst first."""
    measured = measured_rules(part, flat, min_bend_ratio)
    return tuple(sorted((f for f in measured if f.severity != "pass"), key=_tightness))


def tightest(findings: Iterable[Finding]) -> Finding | None:
    """The finding that comes nearest to its limit or falls furthest short; nothing for none."""
    return min(findings, key=_tightness, default=None)


def _tightness(finding: Finding) -> tuple[int, float]:
    return RANK[finding.severity], finding.margin


def _finding(kind: Kind, subject: str, measure: tuple[float, float, float], remedy: str) -> Finding:
    """Measure is (value, limit, what it must reach not to fail); a remedy's {} is the amount that lacks."""
    value, limit, least = measure
    severity: Severity = "pass"
    if value < limit - COINCIDENT:
        severity = "caution" if value >= least - COINCIDENT else "fail"
    lacking = math.ceil((limit - value) * 10 - 1e-6) / 10
    text = "" if severity == "pass" else remedy.format(f"{lacking:.1f} mm")
    return Finding(kind, subject, value, limit, severity, SOURCES[kind], text)


def _hole_rules(flat: FlatPattern, flanges: dict[str, Flange], t: float) -> Iterator[Finding]:
    outline = edges_of(flat.outline)
    for placed in flat.holes:
        subject = f"{placed.flange} {placed.tag}"
        yield _edge_rule(placed, flat.outline, outline, t)
        yield _size_rule(placed, t)
        yield _owner_rule(placed, flanges[placed.flange])
        for line in flat.bend_lines:
            if placed.flange in (line.parent, line.child):
                yield _bend_gap_rule(placed, line, t)
                if line.die is not None:
                    reach = _bare_gap(placed, (edge_between(Vertex(*line.start), Vertex(*line.end)),))
                    remedy = f"move {placed.tag} {{}} away from bend {line.tag}, or use a narrower die"
                    yield _finding("hole_die", subject, (reach, line.die.opening / 2, -math.inf), remedy)


def _bare_gap(placed: PlacedHole, edges: Iterable[Edge]) -> float:
    """From the hole's edge to the nearest of some edges; negative when it reaches over it."""
    spine, half = spine_of(placed.hole)
    if spine.start == spine.end:
        return min(point_gap(spine.start, edge) for edge in edges) - half
    return min(edge_gap(spine, edge) for edge in edges) - half


def _edge_rule(placed: PlacedHole, outline: Contour, edges: tuple[Edge, ...], t: float) -> Finding:
    spine, half = spine_of(placed.hole)
    gap = _bare_gap(placed, edges)
    if not is_inside(spine.start, outline):
        gap = -gap - 2 * half
    limit, least = max(EDGE_THICKNESSES * t, LEAST_CUT), max(t, LEAST_CUT)
    remedy = f"move {placed.tag} {{}} away from the part's edge"
    return _finding("hole_edge", f"{placed.flange} {placed.tag}", (gap, limit, least), remedy)


def _size_rule(placed: PlacedHole, t: float) -> Finding:
    share = CORE_THICKNESSES if placed.hole.kind == "tapped" else 1.0
    width, limit = 2 * spine_of(placed.hole)[1], max(share * t, LEAST_CUT)
    remedy = f"make {placed.tag} {{}} wider, or drill it"
    return _finding("hole_size", f"{placed.flange} {placed.tag}", (width, limit, 0.0), remedy)


def _owner_rule(placed: PlacedHole, flange: Flange) -> Finding:
    """How far the middle of the hole lies inside the flange that owns it."""
    middle = spine_of(placed.local)[0].start
    gap = min(point_gap(middle, edge) for edge in edges_of(flange.outline))
    value = gap if is_inside(middle, flange.outline) else -gap
    remedy = f"move {placed.tag} at least {{}} back into flange {flange.name}"
    return _finding("hole_outside", f"{placed.flange} {placed.tag}", (value, 0.0, 0.0), remedy)


def _bend_gap_rule(placed: PlacedHole, line: BendLine, t: float) -> Finding:
    zone = bend_zone(line)
    spine, half = spine_of(placed.hole)
    gap = _bare_gap(placed, edges_of(zone))
    if is_inside(spine.start, zone):
        gap = -gap - 2 * half
    remedy = f"move {placed.tag} {{}} away from bend {line.tag}"
    measure = (gap, BEND_THICKNESSES * t, 0.0)
    return _finding("hole_bend", f"{placed.flange} {placed.tag}", measure, remedy)


def bend_zone(line: BendLine) -> Contour:
    """The stretch of the flat that a bend takes up, tangent line to tangent line."""
    (ax, ay), (bx, by) = line.start, line.end
    size = math.dist(line.start, line.end)
    x, y = (line.allowance / 2 * d / size for d in (by - ay, ax - bx))
    corners = ((ax + x, ay + y), (bx + x, by + y), (bx - x, by - y), (ax - x, ay - y))
    return Contour(tuple(Vertex(*corner) for corner in corners))


def _web_rules(holes: tuple[PlacedHole, ...], t: float) -> Iterator[Finding]:
    limit, least = max(WEB_THICKNESSES * t, LEAST_CUT), max(t, LEAST_CUT)
    for a, b in combinations(holes, 2):
        spine, half = spine_of(b.hole)
        web = _bare_gap(a, (spine,)) - half
        remedy = f"move {a.tag} and {b.tag} {{}} further apart"
        yield _finding("hole_web", f"{a.flange} {a.tag}, {b.flange} {b.tag}", (web, limit, least), remedy)


def _bend_rules(
    flat: FlatPattern, flanges: dict[str, Flange], t: float, min_bend_ratio: float
) -> Iterator[Finding]:
    for line in flat.bend_lines:
        parent, child = flanges[line.parent], flanges[line.child]
        bend = next(b for b in parent.bends if b.child.name == child.name)
        least = min_bend_ratio * t
        remedy = f"bend {line.tag} with an inside radius of {least:g} mm or more ({{}} more)"
        measure = (bend.inside_radius, least, least)
        yield _finding("bend_radius", f"{child.name} {line.tag}", measure, remedy)
        if line.die is not None and not line.die.measured:
            yield _die_rule(f"{child.name} {line.tag}", line.die, t)
        along = (bend.start, bend.end)
        yield _length_rule(parent, along, line, t)
        yield _length_rule(child, ((0.0, 0.0), (bend.width, 0.0)), line, t)
        yield from _relief_rules(parent, child, bend, line.tag, t)


def _die_rule(subject: str, die: Die, t: float) -> Finding:
    remedy = "use a die that is {} wider, or measure this bend's deduction on that die"
    return _finding("die_opening", subject, (die.opening, DIE_THICKNESSES * t, -math.inf), remedy)


def _length_rule(flange: Flange, edge: tuple[Vec2, Vec2], line: BendLine, t: float) -> Finding:
    """Outside length of a flange across one of its bends: its depth and the setback (of 90 deg at most)."""
    inward = _inward(*edge)
    depth = max(
        (v.x - edge[0][0]) * inward[0] + (v.y - edge[0][1]) * inward[1] for v in flange.outline.vertices
    )
    outside = depth + setback(t, line.inside_radius, min(line.angle_deg, 90.0))
    least = FLANGE_THICKNESSES * t
    die_opening = DIE_THICKNESSES * t if line.die is None else line.die.opening
    limit = max(least, FLANGE_OF_DIE * die_opening)
    remedy = f"make flange {flange.name} {{}} longer across bend {line.tag}"
    return _finding("flange_length", f"{flange.name} {line.tag}", (outside, limit, least), remedy)


def _inward(start: Vec2, end: Vec2) -> Vec2:
    """Towards the material: left of a counter-clockwise edge."""
    size = math.dist(start, end)
    return ((start[1] - end[1]) / size, (end[0] - start[0]) / size)


def _relief_rules(parent: Flange, child: Flange, bend: Bend, tag: str, t: float) -> Iterator[Finding]:
    sides = ((parent, bend.start, bend.end), (child, (0.0, 0.0), (bend.width, 0.0)))
    for flange, start, end in sides:
        for at, other in ((start, end), (end, start)):
            width = _room_beside(flange.outline, at, other, _inward(start, end))
            where = f"at ({at[0]:.1f}, {at[1]:.1f}) of flange {flange.name}"
            depth = t + bend.inside_radius
            remedy = f"cut a relief {t:g} mm wide ({{}} more) and {depth:g} mm deep {where}"
            if math.isfinite(width):
                yield _finding("bend_relief", f"{flange.name} {tag}", (width, t, -math.inf), remedy)


def _room_beside(outline: Contour, at: Vec2, other: Vec2, inward: Vec2) -> float:
    """Free width beside a bend's end, just inside its tangent line: 0 where the sheet runs on, infinite
    where the flange ends with the bend."""
    size = math.dist(at, other)
    away = ((at[0] - other[0]) / size, (at[1] - other[1]) / size)
    x, y = at[0] + PROBE * inward[0], at[1] + PROBE * inward[1]
    if is_inside((x + PROBE * away[0], y + PROBE * away[1]), outline):
        return 0.0
    bounds = outline.bounds
    far = math.hypot(bounds[2] - bounds[0], bounds[3] - bounds[1])
    ray = edge_between(
        Vertex(x + PROBE * away[0], y + PROBE * away[1]), Vertex(x + far * away[0], y + far * away[1])
    )
    hits = [point for edge in edges_of(outline) for point in meeting_points(ray, edge)]
    return min((math.dist((x, y), hit) for hit in hits), default=math.inf)
