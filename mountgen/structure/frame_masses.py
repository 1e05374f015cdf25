"""The masses of a frame: every body on its node, carried to a product's setting."""

from __future__ import annotations

from dataclasses import replace

from mountgen.detail.blanks import head_origin
from mountgen.geometry import Vec3, subtract
from mountgen.layout import rules
from mountgen.layout.rail_mast import MastLayout
from mountgen.mechanics.frame import Mass
from mountgen.structure.bodies import Body, BodyName
from mountgen.structure.far_side import mirrored
from mountgen.structure.frame_records import Mount, Places

_NODE_OF: dict[BodyName, str] = {
    "post": "post foot",
    "top": "post top",
    "cross": "cross",
    "arm": "arm root",
    "ear": "arm end",
    "head": "head",
    "encoder": "encoder",
    "post side": "controller",
    "controller": "controller box",
    "far post": "far post foot",
    "far top": "far post top",
    "far cross": "far cross",
    "arm tip": "arm tip",
}


def masses_on(mount: Mount, places: Places, product: int) -> list[Mass]:
    """Every body on its node, carried from the first product's setting to this one."""
    settings, layout = mount.layout.settings, mount.layout
    dy, dz = (float(v[product] - v[0]) for v in (settings.pivot_y, settings.pivot_z))
    lifted: Vec3 = (0.0, 0.0, dz)
    moves: dict[BodyName, Vec3] = {
        "cross": lifted,
        "far cross": lifted,
        "arm": (0.0, dy, dz) if layout.far_rail is None else lifted,
        "arm tip": lifted,
        "ear": (0.0, dy, dz),
    }
    found = []
    for name, body in mount.bodies.items():
        if name in ("rail", "base"):
            continue
        node = places.at.get(_NODE_OF[name], _NODE_OF[name])
        carried = _tilted(layout, body, product) if name == "head" else body
        found.append(carried.mass(node, places.nodes[node], moves.get(name, (0.0, 0.0, 0.0))))
    if layout.on_floor is not None:
        return found
    found.append(_on_post(mount, places))
    if layout.far_rail is not None:
        found.append(replace(found[-1], node=places.at["far post foot"], offset=mirrored(found[-1].offset)))
    return found


def _on_post(mount: Mount, places: Places) -> Mass:
    """The part of the post leg that lies on the post."""
    layout, t, post = mount.layout, mount.layout.on_rail.angle_thickness, places.nodes[places.at["post foot"]]
    low, high = layout.on_rail.pattern.leg_z
    reach = max(layout.post.size, layout.post.size / 2 + rules.EDGE + rules.PLUMB_TRAVEL)
    kg = (high - low) * t * reach * mount.sheet.density_kg_per_m3 * 1e-9
    middle = (layout.angle_x + t / 2, layout.post_y, (low + high) / 2)
    return Mass(places.at["post foot"], kg, subtract(middle, post))


def _tilted(layout: MastLayout, body: Body, product: int) -> Body:
    tilts = layout.settings.tilt_deg
    turn = float(tilts[product] - tilts[0])
    return body.turned(head_origin(layout, 0), turn, head_origin(layout, product))
