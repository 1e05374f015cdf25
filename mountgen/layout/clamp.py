"""How a rail is clamped between the rail angle's leg and two jaws, one over its top and one under its bottom.

Nothing is drilled into the rail: tie screws pass above and below it. A jaw is a lever: its *toe* presses on
the rail's edge from behind, its *heel*, bent forward, stands on the leg, and the screw between them draws
both. The rail's edge takes the toe's force as a strut; where the forces on its outer face and on its back are
not in line with the flange, the corner bends, and that limits how far screws may be tightened.

Axes: working view. Heights are measured from the rail's edge, outwards.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mountgen.catalogue.rail_view import Cover, RailSection
from mountgen.catalogue.records import Material, Thread
from mountgen.layout import rules
from mountgen.layout.play import slot_travel
from mountgen.layout.tightening import preload_of
from mountgen.survey.records import Survey

JAW = 5.0
"""mm; thickness of a jaw: a thread of M6 holds in it (0.8 diameters, common practice)."""
TOE = 10.0
"""mm that a jaw reaches over the rail, at most."""
GAP = 6.0
"""mm from the rail's edge to the middle of a screw: half the screw, and air for a rail that is
off its size."""
HEEL_SHORT = 1.0
"""mm that a heel is shorter than the rail is deep, so that the toe presses first: what rolled and folded
rails are off (common practice)."""
BEHIND_HEEL = 2.0
"""mm of leg beyond a heel."""
MOST_DEPTH = 62.0
"""mm; the longest tie screws that shops keep reach no farther."""
LEAST_DEPTH = 24.0
"""mm of rail between leg and jaw, at least: a shorter heel cannot be folded from a plate of JAW."""
FACE_OFF = 0.5
"""mm that the rail's outermost faces at top and bottom may be out of one plane."""
PLATE_SAFETY = 1.1
"""Of jaw and leg in bending against yield (EN 1993-1-1 gamma_M0 and a little)."""
CORNER_SAFETY = 1.5
"""Of the rail's corner in bending against yield (rule of this project)."""
TORQUE_STEP = 0.25
"""N m; torques are rounded down to whole steps, which a torque wrench shows."""


@dataclass(frozen=True)
class Edge:
    """The rail's upper or lower edge as a jaw grips it: y of its outermost and innermost face, how far from
    the edge leg and jaw bear, and by how much that is off the middle of the flange between them."""

    front: float
    back: float
    leg_bears: float
    jaw_bears: float
    off: float

    @property
    def depth(self) -> float:
        return self.back - self.front


@dataclass(frozen=True)
class Clamp:
    """The clamp of one mount. `heel` is from a screw to the middle of its jaw's heel; `share` of a screw's
    force presses on the rail; `torque_nm` is what the weakest of corner, jaw and leg allows, at most the
    thread's own; `corner_stress` of `corner_limit` (MPa) is what it does to the rail's corner."""

    upper: Edge
    lower: Edge
    heel: float
    share: float
    torque_nm: float
    corner_stress: float
    corner_limit: float

    @property
    def face_y(self) -> float:
        """y of the face on which the leg lies."""
        return self.upper.front


def edge_of(section: RailSection, *, upper: bool) -> Edge:
    """One edge of a rail, from the rectangles that cover its section within TOE of it."""
    at, way = (0.0, -1.0) if upper else (-section.depth, 1.0)
    inner = at + way * toe_of(section)
    low, high = min(at, inner), max(at, inner)
    covers = [c for c in section.covers if c.high[1] > low + 1e-6 and c.low[1] < high - 1e-6]
    front, back = min(c.low[0] for c in covers), max(c.high[0] for c in covers)
    wall = next((c.high[1] - c.low[1] for c in covers if c.name.endswith("flange")), section.web_thickness)
    leg, jaw = (
        _bears(section, [c for c in covers if abs(face(c) - plane) < FACE_OFF], wall, upper=upper)
        for face, plane in ((_front, front), (_back, back))
    )
    solid = back - front <= section.web_thickness + FACE_OFF and not section.is_closed
    off = 0.0 if solid else max(abs(leg - wall / 2), abs(jaw - wall / 2))
    return Edge(front, back, leg, jaw, off)


def toe_of(section: RailSection) -> float:
    """mm that the jaws reach over a rail: not past the middle of a low one."""
    return min(TOE, section.depth / 2 - 2.0)


def _front(cover: Cover) -> float:
    return cover.low[0]


def _back(cover: Cover) -> float:
    return cover.high[0]


def _bears(section: RailSection, covers: list[Cover], wall: float, *, upper: bool) -> float:
    """mm from the edge to where a plate bears: in the middle of a flange's edge, else where a wall's flat
    begins past its corner, but not nearer than the flange's middle."""
    names = {cover.name for cover in covers}
    if not names & {"web", "top lip", "bottom lip"}:
        return wall / 2
    flat = section.web_flat if section.is_closed or "web" in names else (-section.depth + 2 * wall, -2 * wall)
    begins = -flat[1] if upper else section.depth + flat[0]
    return max(wall / 2, min(begins, toe_of(section)))


def unfit(survey: Survey) -> str | None:
    """Why a rail cannot be clamped; None where it can."""
    section = survey.rail.section
    if section.slots:
        return "the rail has T-slots: T-nuts hold without a clamp"
    if section.web_flat[1] - section.web_flat[0] < 2 * toe_of(section) or section.depth < 2 * TOE + 4.0:
        return "the rail has no flat faces at its edges for leg and jaws"
    upper, lower = (edge_of(section, upper=up) for up in (True, False))
    if abs(upper.front - lower.front) > FACE_OFF:
        return "the rail's outer faces at top and bottom are not in one plane"
    least = min(upper.depth, lower.depth)
    if least < LEAST_DEPTH:
        return f"the rail's edge is {least:.3g} mm deep: a jaw's heel needs {LEAST_DEPTH:g} mm"
    most = max(upper.depth, lower.depth)
    if most > MOST_DEPTH:
        return f"the rail is {most:.3g} mm deep: tie screws reach over {MOST_DEPTH:g} mm"
    return None


def heel_tangent() -> float:
    """mm from a screw to where its jaw's bend begins."""
    return rules.HOLE_TO_BEND * JAW + rules.LOCK_HOLE_ROOM


def reach_past(survey: Survey) -> float:
    """mm that the leg reaches past the rows of screws: over the heels, wherever its slots let it stand."""
    heel_end = heel_tangent() + JAW * rules.BEND_RADIUS_RATIO + JAW
    return heel_end + BEHIND_HEEL + slot_travel(survey) / 2


def stands_over(survey: Survey) -> float:
    """mm that what holds the post stands over the rail's top; 0 where it does not."""
    return GAP + reach_past(survey) if survey.is_clamped else 0.0


def foot_face(survey: Survey) -> float:
    """y of the face that the rail angle's leg lies on: the web's, or the outermost of a clamped rail."""
    return edge_of(survey.rail.section, upper=True).front if survey.is_clamped else 0.0


def clamp_of(survey: Survey, width: float, leg: float, made_of: tuple[Thread, Material, Material]) -> Clamp:
    """The clamp with as much torque as its weakest part allows.

    A jaw and the leg behind it bend as beams on toe and heel under two screws; the rail's corner bends by
    the force of both over its eccentricity, and so does the web between two corners.
    Source: statics of a strap clamp; elastic bending.

    Args:
        survey: the working view of a rail that can be clamped.
        width: of jaws and leg along the rail, mm.
        leg: its thickness, mm.
        made_of: the screws' thread, the sheet's material, the rail's.
    """
    screw, sheet, steel = made_of
    section = survey.rail.section
    upper, lower = (edge_of(section, upper=up) for up in (True, False))
    heel = heel_tangent() + JAW * rules.BEND_RADIUS_RATIO + JAW / 2
    toe = GAP + max(e for edge in (upper, lower) for e in (edge.leg_bears, edge.jaw_bears))
    share = heel / (toe + heel)
    net, thin = width - 2 * screw.clearance_medium, min(JAW, leg)
    plates = sheet.yield_mpa / PLATE_SAFETY * net * thin**2 / 6 / (toe * share) / 2
    off, wall = max(upper.off, lower.off), section.web_thickness
    limit = steel.yield_mpa / CORNER_SAFETY
    corner = limit * width * wall**2 / 6 / off / share / 2 if off > 0.0 else math.inf
    full = preload_of(screw, screw.torque_nm).high
    torque = min(screw.torque_nm, screw.torque_nm * min(plates, corner) / full)
    torque = max(TORQUE_STEP * math.floor(torque / TORQUE_STEP), TORQUE_STEP)
    stress = 6 * off * 2 * preload_of(screw, torque).high * share / width / wall**2
    return Clamp(upper, lower, heel, share, torque, stress, limit)
