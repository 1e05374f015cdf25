"""Can it be cut, folded and drilled: sheet rules, edge and pitch distances, the rail's holes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import RivetNut
from mountgen.checks.records import Check, Subject, at_least, at_most, rounded_up
from mountgen.checks.scene import Scene
from mountgen.detail.records import RAILS
from mountgen.detail.web_joints import slot_bar, slot_difference
from mountgen.geometry import Vec2
from mountgen.layout.pattern import axle_gap, keepout_gap, through_flat
from mountgen.layout.rules import HOLE_AIR, SCREW
from mountgen.sheet.edges import edges_of, point_gap
from mountgen.sheet.rules import Finding, measured_rules, tightest
from mountgen.sheet.tree import ArcSlot, Flange, Hole, RoundHole, SheetPart
from mountgen.shop.flats import flat_of
from mountgen.survey.records import Survey

EUROCODE = "EN 1993-1-8:2005 Table 3.3"
RULE = "rule of this project"
CHOSEN = frozenset({"bend_radius", "die_opening", "hole_outside"})
"""Rules that the design meets by choice: told only when they are missed, else the radius would always be
the tightest of all."""
RIVET_PRACTICE = "generic rivet nuts, common practice"
SLOT_OFF = 0.2
"""mm that a rail's slot may differ from the extrusion's whose T-nuts it takes."""
EDGE_RATIO, SLOT_RATIO, PITCH_RATIO = 1.2, 1.5, 2.2


def checks(scene: Scene, catalogue: Catalogue) -> Iterator[Check]:
    yield _sheet_rules(scene, catalogue)
    yield _edges(scene)
    if scene.layout.clamp is not None or scene.layout.on_floor is not None:
        return
    yield _rail_face(scene)
    if scene.layout.on_rail.pattern.flat > 0.0:
        yield from _rail_nuts(scene, catalogue)
        yield _rail_holes(scene, catalogue)


def _sheet_rules(scene: Scene, catalogue: Catalogue) -> Check:
    """The tightest of all shop rules over all sheet parts."""
    found: dict[str, Finding] = {}
    for part in scene.detail.sheets:
        ratio = catalogue.material(part.material).min_bend_ratio
        rules = measured_rules(part, flat_of(part, scene.shop), ratio)
        worst = tightest(f for f in rules if f.severity != "pass" or f.kind not in CHOSEN)
        if worst is not None:
            found[part.name] = worst
    order = {"fail": 0, "caution": 1, "pass": 2}
    name, finding = min(found.items(), key=lambda item: (order[item[1].severity], item[1].margin))
    return Check(
        "sheet_rules",
        f"{name}, {finding.subject}: {finding.kind.replace('_', ' ')}",
        finding.severity,
        finding.value,
        finding.limit,
        "mm",
        finding.margin,
        finding.source,
        finding.remedy,
    )


@dataclass(frozen=True)
class _Distance:
    """A distance in hole diameters, and the least that it should be."""

    ratio: float
    least: float
    what: str

    @property
    def use(self) -> float:
        return self.ratio / self.least


def _edges(scene: Scene) -> Check:
    """Bolt holes to plate edges and to one another, in hole diameters."""
    distances = [d for part in scene.detail.sheets for d in _part_distances(part)]
    if not scene.layout.on_floor and scene.layout.on_rail.pattern.flat > 0.0:
        distances += list(_rail_distances(scene))
    worst = min(distances, key=lambda d: d.use)
    subject = Subject("edge_distance", worst.what, "hole diameters", EUROCODE)
    return at_least(subject, worst.ratio, worst.least, "move the holes {} hole diameters further apart")


def _part_distances(part: SheetPart) -> Iterator[_Distance]:
    for flange, _ in part.placed_flanges():
        bolted = [hole for hole in flange.holes if hole.size.startswith("M") or "/" in hole.size]
        for hole in bolted:
            least = EDGE_RATIO if isinstance(hole, RoundHole) else SLOT_RATIO
            yield _Distance(_edge_ratio(hole, flange), least, f"{part.name}: bolt hole to edge")
        for one, other in itertools.combinations(bolted, 2):
            if isinstance(one, RoundHole) and isinstance(other, RoundHole):
                ratio = math.dist(one.centre, other.centre) / max(one.diameter, other.diameter)
                yield _Distance(ratio, PITCH_RATIO, f"{part.name}: bolt hole to bolt hole")


def _edge_ratio(hole: Hole, flange: Flange) -> float:
    """Least distance from the hole's middle, or from the middles of a slot's ends, to the free edge."""
    width = hole.diameter if isinstance(hole, RoundHole) else hole.width
    edges = [edge for edge in edges_of(flange.outline) if not _is_bent(edge.start, edge.end, flange)]
    return min(point_gap(point, edge) for point in _middles(hole) for edge in edges) / width


def _is_bent(start: tuple[float, float], end: tuple[float, float], flange: Flange) -> bool:
    ends = [{bend.start, bend.end} for bend in flange.bends]
    attached = start[1] == 0.0 and end[1] == 0.0 and flange.name != "plate"
    return {start, end} in ends or attached


def _middles(hole: Hole) -> list[tuple[float, float]]:
    if isinstance(hole, RoundHole):
        return [hole.centre]
    if isinstance(hole, ArcSlot):
        return [_polar(hole, angle) for angle in (hole.start_deg, hole.end_deg)]
    reach = (hole.length - hole.width) / 2
    along = (math.cos(math.radians(hole.angle_deg)), math.sin(math.radians(hole.angle_deg)))
    return [
        (hole.centre[0] + way * reach * along[0], hole.centre[1] + way * reach * along[1]) for way in (-1, 1)
    ]


def _polar(slot: ArcSlot, angle_deg: float) -> tuple[float, float]:
    angle = math.radians(angle_deg)
    return slot.centre[0] + slot.radius * math.cos(angle), slot.centre[1] + slot.radius * math.sin(angle)


def _rail_distances(scene: Scene) -> Iterator[_Distance]:
    rail, holes = scene.survey.rail, scene.detail.rail_holes
    top = float(rail.top_above_surface)
    for hole in holes:
        edge = min(top - hole.z, hole.z - (top - rail.section.depth))
        yield _Distance(edge / hole.diameter, EDGE_RATIO, "rail: bolt hole to edge")
    for one, other in itertools.combinations(holes, 2):
        if one.rail != other.rail:
            continue
        pitch = math.dist((one.x, one.z), (other.x, other.z))
        yield _Distance(pitch / one.diameter, PITCH_RATIO, "rail: bolt hole to bolt hole")


def _rail_face(scene: Scene) -> Check:
    """The rail angle's leg with its bolts on the flat of the web."""
    pattern = scene.layout.on_rail.pattern
    subject = Subject("rail_face", "flat of the rail's web under the rail angle", "mm", RULE)
    needed = rounded_up(pattern.flat_needed)
    remedy = f"needs a clamp: bolting needs a flat of {needed} mm, {{}} mm more than this rail has"
    if scene.survey.rail.section.slots:
        remedy = f"needs a bar with slots farther apart: {needed} mm high, {{}} mm more than this one"
    return at_least(subject, pattern.flat, pattern.flat_needed, remedy)


def _rail_nuts(scene: Scene, catalogue: Catalogue) -> Iterator[Check]:
    """What the screws go into where nobody can hold a nut: T-nuts of the rail's slots, rivet nuts."""
    section = scene.survey.rail.section
    if section.slots:
        slot = section.slots[0]
        off = slot_difference(slot, slot_bar(slot, catalogue))
        subject = Subject("rail_nuts", "T-nut's slot to the rail's slot, difference", "mm", RULE)
        remedy = "add the rail's own extrusion to profiles/extrusions: its slot is {} mm off every one there"
        yield at_most(subject, off, SLOT_OFF, remedy)
    elif section.is_closed:
        yield _rivet_wall(section.web_thickness, catalogue.thread(SCREW).rivet_nuts)
        yield _rivet_room(scene, catalogue.thread(SCREW).rivet_nut(section.web_thickness))


def _rivet_wall(wall: float, nuts: tuple[RivetNut, ...]) -> Check:
    subject = Subject("rail_nuts", "wall of the tube against what rivet nuts grip", "mm", RIVET_PRACTICE)
    least, most = min(nut.grip[0] for nut in nuts), max(nut.grip[1] for nut in nuts)
    if wall < least:
        return at_least(subject, wall, least, "needs a clamp: the wall is {} mm too thin for a rivet nut")
    return at_most(subject, wall, most, "needs a clamp: the wall is {} mm too thick for a rivet nut")


def _rivet_room(scene: Scene, nut: RivetNut) -> Check:
    """A rivet nut goes in at its full length, before it is set."""
    section = scene.survey.rail.section
    subject = Subject("rail_nuts", "room inside the tube for a rivet nut", "mm", RIVET_PRACTICE)
    room = section.reach_in - section.web_thickness
    return at_least(subject, room, nut.length, "needs a clamp: the tube is {} mm too narrow for a rivet nut")


def _rail_holes(scene: Scene, catalogue: Catalogue) -> Check:
    """Washers on the web against axles, keepouts and the web's own radii."""
    survey = scene.survey
    radius = catalogue.thread(SCREW).washer_outer / 2
    spots = _rail_spots(scene)
    gaps = {"roller axle": min(axle_gap(survey, x, z) for x, z in spots)}
    for keepout in survey.rail.keepouts:
        gaps[keepout.what] = min(keepout_gap(keepout, x, z) for x, z in spots)
    gaps["radius of the web"] = _web_room(survey, spots)
    thing, gap = min(gaps.items(), key=lambda item: item[1])
    title = f"washers on the web to the nearest {thing}"
    subject = Subject("rail_holes", title, "mm", RULE)
    remedy = "free the web by {} mm around the bolts, or move the print line by that along the rail"
    return at_least(subject, gap - radius, HOLE_AIR, remedy)


def _rail_spots(scene: Scene) -> list[Vec2]:
    """x and z of every screw into the rail, drilled or not."""
    joints = scene.detail.joints
    return [(j.point[0], j.point[2]) for j in joints if any(m.instance in RAILS for m in j.members)]


def _web_room(survey: Survey, spots: list[Vec2]) -> float:
    """From the screws to the ends of the web's flat part."""
    low, high = through_flat(survey)
    return min(min(high - z, z - low) for _, z in spots)
