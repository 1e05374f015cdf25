"""What the mount does to the rail itself: its thin web around the screws, and its span that twists.

Axes: working view. The rail runs along x, its web's normal is y. A *tilt* of the web is positive where its
upper part moves away from the operator, a *swing* where its downstream part does. The rail twists about its
shear centre between cross members (`layout.rail_give`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from mountgen.catalogue.records import Material
from mountgen.detail.blanks import head_origin
from mountgen.geometry import Vec2, Vec3, add, cross, subtract
from mountgen.layout import rules
from mountgen.layout.backing import SAFETY, ScrewPulls, bears_on, washer_stress
from mountgen.layout.rail_give import rail_web, twist_stiffness, web_response
from mountgen.layout.rail_walls import rail_walls
from mountgen.mechanics.plate_formulas import (
    circular_plate_deflection,
    hole_factor_in_bending,
    plate_stiffness_d,
)
from mountgen.mechanics.plates import PatchLoad, PatchResponse, Web
from mountgen.mechanics.torsion import (
    Span,
    WallProperties,
    span_bimoment,
    wall_properties,
    warping_stress,
)
from mountgen.structure.far_side import mirrored, mirrored_couple
from mountgen.structure.joint_groups import FAR_RAIL_GROUP, RAIL_GROUP, Made
from mountgen.structure.joint_strength import ScrewForces
from mountgen.structure.records import Pose, Structure
from mountgen.survey.records import RailSite, Survey

FLOWS_ONCE = 2.0
"""A hole's rim may be strained to this times the yield stress: it flows at the first load and never again
(shakedown, Melan's theorem; the stress range of pressure vessel codes)."""


LEAST_SPAN = 2.0
"""mm; ties cannot be nearer to each other."""


@dataclass(frozen=True)
class FootLoad:
    """What the mount does to the rail at the web's face, in the middle of the rail's screws: N and N mm.

    On a bridge's far rail, at y = `far`, all is mirrored to the near one's axes, as its section is.
    """

    at: Vec3
    force: Vec3
    couple: Vec3
    far: float | None = None

    @property
    def on_web(self) -> PatchLoad:
        """In the web's words: dw/dz is positive against a turn about x."""
        return PatchLoad(self.force[1], -self.couple[0], self.couple[2])

    def nozzles(self, made: Made, pose: Pose) -> Vec3:
        """Where the nozzles are, in the axes of this foot."""
        origin = head_origin(made.layout, pose.product)
        return origin if self.far is None else mirrored(origin, self.far)

    def standoff(self, pose: Pose, motion: Vec3) -> float:
        """mm out of the nozzle face of a motion in the axes of this foot, without its sign."""
        seen = motion if self.far is None else mirrored(motion)
        return abs(pose.standoff(np.array((*seen, 0.0, 0.0, 0.0))))


@dataclass(frozen=True)
class WebStrain:
    """The web where it is strained most: MPa, what it may bear, where, and how far the nozzles move in the
    stand-off direction by the web's own give, mm."""

    stress: float
    limit: float
    where: str
    motion: float


@dataclass(frozen=True)
class RailTwist:
    """The rail under the worst couple: N mm about its shear centre, its twist, rad, what that moves the
    nozzles by in the stand-off direction, mm, its stress and what it may bear, MPa; `apart` is the span."""

    couple: float
    twist: float
    motion: float
    stress: float
    limit: float
    apart: float


def web_strain(made: Made, structure: Structure, screws: ScrewForces) -> WebStrain | None:
    """The web under all poses' loads; None where the wall does not bend by itself.

    Args:
        made: the mount.
        structure: solved.
        screws: forces of the rail's screws, in the order R1, R2 above, R3, R4 below.
    """
    material = made.catalogue.material(made.survey.rail.profile.material)
    found, response = rail_web(made.survey.rail, material), _foot_response(made, material)
    if found is None or response is None or made.layout.clamp is not None:
        return None
    web, _ = found
    feet = [(pose, foot) for pose in structure.poses for foot in foot_loads(pose, made.layout.far_rail)]
    patch = max(response.stress(foot.on_web) for _, foot in feet)
    factor = hole_factor_in_bending(_drill(made), web.thickness)
    places = {"rim of the foot": patch, "rim of a screw's hole": patch * factor / FLOWS_ONCE}
    if not made.layout.on_rail.backing:
        places["washer of the screw pulled most"] = _under_washers(made, web, screws)
    where, stress = max(places.items(), key=lambda item: item[1])
    motion = max(_web_motion(made, web, response, foot) for foot in feet)
    return WebStrain(stress, material.yield_mpa / SAFETY, where, motion)


def foot_loads(pose: Pose, far: float | None = None) -> list[FootLoad]:
    """All load cases of a pose; the screws' heads seat on the leg, `at` moves to the web's face. `far` is y
    of a bridge's far rail."""
    found = []
    for load in pose.joint_loads:
        if load.title not in (RAIL_GROUP, FAR_RAIL_GROUP):
            continue
        (x, y, z), force, couple, side = load.at, load.force, load.couple, None
        if load.title == FAR_RAIL_GROUP and far is not None:
            (x, y, z), force, couple, side = (
                mirrored(load.at, far),
                mirrored(force),
                mirrored_couple(couple),
                far,
            )
        found.append(FootLoad((x, 0.0, z), force, add(couple, cross((0.0, y, 0.0), force)), side))
    return found


def _foot_response(made: Made, material: Material) -> PatchResponse | None:
    """The web around the leg, or around its backing plate."""
    pattern, margin = made.layout.on_rail.pattern, rules.EDGE
    if made.layout.on_rail.backing:
        margin = made.layout.on_rail.backing_margin
    width = pattern.columns[1] - pattern.columns[0] + 2 * margin
    return web_response(
        made.survey.rail, material, (width, (pattern.rows[0] - margin, pattern.rows[1] + margin))
    )


def _drill(made: Made) -> float:
    return max((hole.diameter for hole in made.detail.rail_holes), default=0.1)


def _under_washers(made: Made, web: Web, screws: ScrewForces) -> float:
    """MPa of the bare web under the screw that is pulled most, of all loads."""
    load, screw = np.unravel_index(int(screws.tension.argmax()), screws.tension.shape)
    beside = float(screws.tension[load, int(screw) ^ 1])
    pulls = ScrewPulls(float(screws.tension[load, screw]), beside)
    columns, thread = made.layout.on_rail.pattern.columns, made.catalogue.thread(rules.SCREW)
    return washer_stress(web, pulls, bears_on(made.survey, thread), columns[1] - columns[0])


def _web_motion(made: Made, web: Web, response: PatchResponse, case: tuple[Pose, FootLoad]) -> float:
    """mm in the stand-off direction by the web's give; without a backing plate the pulled screws draw the
    web out by themselves, while the pressed side rests on the leg's rim."""
    pose, foot = case
    load = foot.on_web
    travel, tilt, swing = response.motion(load).tolist()
    if not made.layout.on_rail.backing:
        pattern = made.layout.on_rail.pattern
        tilt += _drawn_out(web, load.tilt_couple, pattern.rows[1] - pattern.rows[0])
        swing += _drawn_out(web, load.swing_couple, pattern.columns[1] - pattern.columns[0])
    x, y, z = cross((-tilt, 0.0, swing), subtract(foot.nozzles(made, pose), foot.at))
    return foot.standoff(pose, (x, y + travel, z))


def _drawn_out(web: Web, couple: float, apart: float) -> float:
    """rad that two screws draw the bare web out on their side: clamped circle (Roark, Table 11.2, 17)."""
    stiffness = plate_stiffness_d(web.thickness, web.e_mpa, web.poisson)
    pull = couple / apart / 2
    return circular_plate_deflection(pull, web.height / 2, stiffness, web.poisson, "clamped") / apart


def rail_twist(made: Made, structure: Structure) -> RailTwist:
    """The rail's span under the largest couple, and the largest motion of the nozzles of all poses."""
    material = made.catalogue.material(made.survey.rail.profile.material)
    walls = rail_walls(made.survey.rail.profile)
    properties = None if walls is None else wall_properties(walls)
    stiffness = twist_stiffness(made.survey, material)
    centre = shear_centre(made.survey.rail, properties)
    feet = [(pose, foot) for pose in structure.poses for foot in foot_loads(pose, made.layout.far_rail)]
    motion = max(_twist_motion(made, case, stiffness, centre) for case in feet)
    worst = max((twist_couple(foot, centre) for _, foot in feet), key=abs)
    apart = min(made.survey.rail.supports_apart, rules.CROSS_TIES_APART)
    stress = twist_stress(made.survey.rail, material, properties, worst, apart)
    return RailTwist(worst, worst / stiffness, motion, stress, material.yield_mpa / SAFETY, apart)


def span_that_holds(survey: Survey, material: Material, twist: RailTwist, room: float) -> float:
    """mm between ties at which the nozzles move no more than `room`, to the millimetre below; at least 2."""
    needed = twist_stiffness(survey, material) * twist.motion / max(room, 1e-6)

    def is_short_enough(apart: float) -> bool:
        tied = replace(survey, rail=replace(survey.rail, supports_apart=apart))
        return twist_stiffness(tied, material) >= needed

    low, high = LEAST_SPAN, twist.apart
    while high - low > 1.0:
        middle = (low + high) / 2
        low, high = (middle, high) if is_short_enough(middle) else (low, middle)
    return math.floor(low)


def shear_centre(rail: RailSite, properties: WallProperties | None) -> Vec2:
    """y and z of the point that a force must pass so that the rail does not twist; where the walls are not
    known, the centroid, which is exact for bars and tubes and farther from the mount for drawn channels."""
    section, top = rail.section, float(rail.top_above_surface)
    if properties is None:
        return section.properties.centroid_x, top + section.properties.centroid_y
    x, y = properties.shear_centre
    return (x if rail.opens == "in" else section.web_thickness - x), top + y


def twist_couple(foot: FootLoad, centre: Vec2) -> float:
    """N mm about the shear centre's line, from the loads at the foot."""
    y, z = foot.at[1] - centre[0], foot.at[2] - centre[1]
    return foot.couple[0] + y * foot.force[2] - z * foot.force[1]


def _twist_motion(made: Made, case: tuple[Pose, FootLoad], stiffness: float, centre: Vec2) -> float:
    """mm in the stand-off direction of the nozzles that turn with the rail."""
    pose, foot = case
    twist = twist_couple(foot, centre) / stiffness
    _, y, z = foot.nozzles(made, pose)
    return foot.standoff(pose, (0.0, -twist * (z - centre[1]), twist * (y - centre[0])))


def twist_stress(
    rail: RailSite, material: Material, properties: WallProperties | None, couple: float, apart: float
) -> float:
    """MPa after von Mises: restrained warping with half the couple's shear on either side of the mount.

    Open walls: T t / J; tubes: T / (2 A t). Source: Vlasov; St Venant; Bredt.
    """
    section, half = rail.section, abs(couple) / 2
    if section.is_closed and not section.slots:
        enclosed = (abs(section.outline.area) + sum(abs(hole.area) for hole in section.holes)) / 2
        shear = half / (2 * enclosed * section.web_thickness)
    else:
        shear = half * section.web_thickness / section.torsion_mm4
    direct = 0.0
    if properties is not None and properties.warping > 0.0:
        ei, gj = material.e_mpa * section.i_weak, material.g_mpa * section.torsion_mm4
        span = Span(apart, ei, gj, material.e_mpa * properties.warping, "fork")
        direct = warping_stress(span_bimoment(couple, span), properties)
    return math.sqrt(direct**2 + 3 * shear**2)
