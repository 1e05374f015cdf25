"""Does the rail itself bear the mount: its web around the screws, its span between cross members."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mountgen.checks.records import Check, Subject, at_most
from mountgen.checks.scene import Scene
from mountgen.layout.search import most_give
from mountgen.structure.rail_strength import RailTwist, WebStrain, span_that_holds

PLATE = "Kirchhoff plate on a grid; Roark, Table 11.2; 1.5 against yield (rule of this project)"
TORSION = "Vlasov; AISC Design Guide 9; 1.5 against yield (rule of this project)"
GIVE = "Kirchhoff plate; Roark, Table 11.2; half the room of the stand-off (rule of this project)"
TURN = "Vlasov; AISC Design Guide 9; half the room of the stand-off (rule of this project)"
RAIL_SHARE = 0.5
"""Share of the stand-off's room that web or twist may take up, each, while a hand leans on the head."""


def checks(scene: Scene) -> Iterator[Check]:
    """Nothing for a mount that does not touch the rail."""
    if scene.layout.on_floor:
        return
    web = scene.web_strain
    if web is not None:
        yield _stress(scene, web)
        yield _rotation(scene, web)
    yield from _torsion(scene, scene.rail_twist)


def _stress(scene: Scene, web: WebStrain) -> Check:
    """Bending stress goes with the thickness squared; a backing plate takes the washers off the web."""
    subject = Subject("web_stress", f"bending stress of the rail's web, {web.where}", "MPa", PLATE)
    thickness = scene.survey.rail.section.web_thickness
    needed = math.ceil(thickness * math.sqrt(web.stress / web.limit) * 10) / 10
    return at_most(
        subject, web.stress, web.limit, f"the web needs {needed:g} mm of wall; fix the mount elsewhere"
    )


def _rotation(scene: Scene, web: WebStrain) -> Check:
    """Give goes with the thickness cubed."""
    room = RAIL_SHARE * most_give(scene.survey)
    title = "nozzles moved by the give of the rail's web, with a hand on the head"
    subject = Subject("web_rotation", title, "mm", GIVE)
    thickness = scene.survey.rail.section.web_thickness
    needed = math.ceil(thickness * math.cbrt(web.motion / max(room, 1e-6)) * 10) / 10
    return at_most(
        subject, web.motion, room, f"the web needs {needed:g} mm of wall, or a backing plate behind it"
    )


def _torsion(scene: Scene, twist: RailTwist) -> Iterator[Check]:
    """Motion falls with the span; stress falls with the wall's thickness squared."""
    survey, room = scene.survey, RAIL_SHARE * most_give(scene.survey)
    title = f"nozzles moved by the rail's twist, cross members {twist.apart:g} mm apart, hand on the head"
    subject, remedy = Subject("rail_torsion", title, "mm", TURN), ""
    if twist.motion > room:
        steel = scene.catalogue.material(survey.rail.profile.material)
        tie = math.floor(span_that_holds(survey, steel, twist, room) / 2)
        remedy = f"tie the rail to the far one within {tie:g} mm to either side of the mount"
    yield at_most(subject, twist.motion, room, remedy)
    subject = Subject("rail_torsion", "stress of the rail that twists under the mount", "MPa", TORSION)
    wall = survey.rail.section.web_thickness * math.sqrt(twist.stress / twist.limit)
    remedy = f"a rail of {math.ceil(10 * wall) / 10:g} mm of wall, or a closed one"
    yield at_most(subject, twist.stress, twist.limit, remedy)
