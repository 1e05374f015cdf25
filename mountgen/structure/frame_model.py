"""A chosen mount at one product's setting as a space frame: the load path from the rail to the nozzles.

From the rail outwards: rail (a beam on its supports), web (springs around the screws), rail angle (two plate
strips joined at the fold), post, cross plate, arm, ear, swing plate (two strips again), head. Where parts
are screwed together a joint gives way to couples by a stiffness, and not to forces. Everything that is no
bar hangs on the frame as a mass at its true place (`bodies`).

Axes: working view. Nodes and members carry the names of their parts.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np

from mountgen.catalogue.reader import Catalogue
from mountgen.detail.blanks import controller_middle, head_axes, head_origin, head_point
from mountgen.detail.bridge import FAR
from mountgen.detail.records import FAR_RAIL, Detail
from mountgen.geometry import Vec3, subtract
from mountgen.layout import rules
from mountgen.layout.rail_give import RailGive, rail_give, rigid_rail
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.stand import FloorGive, give_of
from mountgen.mechanics.folded_strip import folded_twist
from mountgen.mechanics.frame import End, Frame, Member, Node, Six, Support
from mountgen.structure.bodies import bodies
from mountgen.structure.far_side import mirrored, mirrored_member
from mountgen.structure.frame_masses import masses_on
from mountgen.structure.frame_records import Model, Mount, Part, Places
from mountgen.structure.sections import (
    Strip,
    extrusion_section,
    solid_section,
    strip_section,
)
from mountgen.structure.stand_frame import BASE, base_support, foot_legs
from mountgen.survey.records import Survey

WEB_DEPTH = 10.0
"""mm; length of the stiff block that carries the web's springs."""
NEAR = 1.0
"""mm; places of a bar nearer to each other than this count as one."""
UP: Vec3 = (0.0, 0.0, 1.0)
ALONG: Vec3 = (1.0, 0.0, 0.0)


def mount_of(survey: Survey, layout: MastLayout, detail: Detail, catalogue: Catalogue) -> Mount:
    """A mount as it is, on its rail or floor, with the survey's joints. `survey` is the working view,
    `detail` the first product's setting."""
    return Mount(
        survey=survey,
        layout=layout,
        bodies=bodies(survey, layout, detail, catalogue),
        sheet=catalogue.material(rules.SHEET),
        bar=catalogue.material(layout.post.material),
        joining=survey.joining,
        ground=_ground(survey, layout, catalogue),
    )


def _ground(survey: Survey, layout: MastLayout, catalogue: Catalogue) -> RailGive | FloorGive:
    """How what carries the mount gives way."""
    if layout.on_floor is not None:
        return give_of(layout.on_floor.base, catalogue.material(rules.SHEET).e_mpa)
    foot = layout.on_rail
    columns, rows = foot.pattern.columns, foot.pattern.rows
    rim = foot.backing_margin if foot.backing else rules.EDGE
    patch = (columns[1] - columns[0] + 2 * rim, (rows[0] - rim, rows[1] + rim))
    return rail_give(survey, catalogue.material(survey.rail.profile.material), patch)


def rigid_joints(mount: Mount) -> Mount:
    """The same mount with joints that do not give."""
    joining = replace(mount.joining, plate_stiffness=math.inf, tslot_stiffness=math.inf)
    return replace(mount, joining=joining)


def on_rigid_rail(mount: Mount) -> Mount:
    """The same mount on a rail that does not give."""
    return replace(mount, ground=rigid_rail(mount.survey))


def frame_model(mount: Mount, product: int) -> Model:
    """The frame at a product's setting."""
    places = _places(mount, product)
    foot = _foot(mount, places)
    parts = (
        *foot,
        *_bar(mount, places, "post"),
        _cross(mount, places),
        *_far_side(mount, places, foot),
        *_bar(mount, places, "arm"),
        _ear(mount, places, product),
        *_swing(mount, places, product),
        _controller(mount, places),
    )
    used = {name for member, _ in parts for name in (member.start, member.end)}
    nodes = tuple(Node(name, at) for name, at in places.nodes.items() if name in used)
    masses = tuple(masses_on(mount, places, product))
    frame = Frame(nodes, tuple(member for member, _ in parts), _supports(mount), masses)
    head = places.nodes["head"]
    nozzle = subtract(head_origin(mount.layout, product), head)
    body = mount.survey.head
    middle = ((body.x_after - body.x_before) / 2, (body.u_above - body.u_below) / 2, -body.depth / 2)
    push = subtract(head_point(mount.layout, product, *middle), head)
    axes = head_axes(float(mount.layout.settings.tilt_deg[product]))
    return Model(frame, {member.name: section for member, section in parts}, nozzle, push, *axes)


def _places(mount: Mount, product: int) -> Places:
    layout, head, settings = mount.layout, mount.layout.head, mount.layout.settings
    arm_z = float(settings.arm_z[product])
    post_x, post_y = layout.post_x + layout.post.size / 2, layout.post_y
    on_post = {"post bottom": layout.post_bottom, "post foot": _hold_z(layout), "cross": arm_z}
    on_post |= {"controller": layout.controller_z, "post top": layout.post_bottom + layout.post_length}
    if layout.encoder is not None:
        on_post["encoder"] = layout.encoder.pivot_z
    tip = float(settings.tip_y[product])
    width = head.ear_back + rules.PIVOT_EDGE
    on_arm = {"arm tail": layout.arm_tail(product), "arm root": post_y, "arm end": tip - width / 2}
    if layout.far_post_y is not None:
        on_arm |= {"far root": layout.far_post_y, "arm tip": layout.arm_tail(product) + layout.arm_length}
    arm_x = head.arm_x + layout.arm.size / 2
    posts, at_post = _merged(on_post)
    arms, at_arm = _merged(on_arm)
    middle_u = (head.flange_low + head.flange_high) / 2
    spots = np.array([hole.at for hole in mount.survey.head.pattern]).mean(axis=0)
    behind = head.back_n - head.plate / 2
    nodes: dict[str, Vec3] = {
        **_foot_nodes(mount),
        **{name: (post_x, post_y, z) for name, z in posts.items()},
        **{name: (arm_x, y, arm_z) for name, y in arms.items()},
        "swing": head_point(layout, product, head.ear_x, head.pivot_u, head.pivot_n - head.lock_radius / 2),
        "swing fold": head_point(layout, product, head.swing_x + head.plate / 2, middle_u, behind),
        "head": head_point(layout, product, float(spots[0]), float(spots[1]), head.back_n),
        "controller box": _controller_at(mount),
    }
    near = Places(nodes, {"post": tuple(posts), "arm": tuple(arms)}, {**at_post, **at_arm})
    return near if layout.far_post_y is None else _with_far_nodes(near, layout, arm_z)


def _with_far_nodes(near: Places, layout: MastLayout, arm_z: float) -> Places:
    """The places of a bridge: rail, foot and fold mirrored, and the far post's own stations."""
    assert layout.far_rail is not None and layout.far_post_y is not None
    x, (low, high) = layout.post_x + layout.post.size / 2, layout.on_rail.pattern.leg_z
    spots = {"far post bottom": layout.post_bottom, "far post foot": (low + high) / 2, "far cross": arm_z}
    spots["far post top"] = layout.post_bottom + layout.post_length
    posts, at_post = _merged(spots)
    nodes = {f"{FAR}{name}": mirrored(near.nodes[name], layout.far_rail) for name in ("rail", "foot", "fold")}
    nodes |= {name: (x, layout.far_post_y, z) for name, z in posts.items()}
    return Places(near.nodes | nodes, {**near.stations, "far post": tuple(posts)}, {**near.at, **at_post})


def _hold_z(layout: MastLayout) -> float:
    """z of the middle of what holds the post."""
    return layout.on_floor.hold_z if layout.on_floor else sum(layout.on_rail.pattern.leg_z) / 2


def _foot_nodes(mount: Mount) -> dict[str, Vec3]:
    """Between the ground and the post."""
    layout = mount.layout
    if layout.on_floor is not None:
        return {BASE: (layout.post_x + layout.post.size / 2, layout.post_y, layout.on_floor.top)}
    pattern, t = layout.on_rail.pattern, layout.on_rail.angle_thickness
    foot_x, foot_z = sum(pattern.columns) / 2, sum(pattern.rows) / 2
    return {
        "rail": (foot_x, 0.0, mount.rail.middle_z),
        "foot": (foot_x, 0.0, foot_z),
        "fold": (layout.angle_x + t / 2, layout.on_rail.leg_y - t / 2, _hold_z(layout)),
    }


def _controller_at(mount: Mount) -> Vec3:
    """The controller's back in the middle of its screws."""
    x, back = controller_middle(mount.layout, mount.survey)
    spots = np.array([hole.at for hole in mount.survey.controller.pattern]).mean(axis=0)
    return x + float(spots[0]), back, mount.layout.controller_z + float(spots[1])


def _merged(spots: dict[str, float]) -> tuple[dict[str, float], dict[str, str]]:
    """Places along a bar in order, those too near to each other as one, and which name each one got."""
    kept: dict[str, float] = {}
    names: dict[str, str] = {}
    for name, spot in sorted(spots.items(), key=lambda item: item[1]):
        last = next(reversed(kept), None)
        if last is not None and spot - kept[last] < NEAR:
            names[name] = last
        else:
            kept[name], names[name] = spot, name
    return kept, names


def _turning(stiffness: float) -> Six:
    """A joint: rigid against forces, the same stiffness against couples about every axis."""
    return (math.inf, math.inf, math.inf, stiffness, stiffness, stiffness)


def _supports(mount: Mount) -> tuple[Support, ...]:
    """The near rail, and the far one, which gives as the near one does; or the floor."""
    if isinstance(mount.ground, FloorGive):
        return (base_support(mount.layout, mount.ground),)
    rail = mount.rail
    gives = (math.inf, rail.sideways, rail.upright, rail.twist, rail.nod, rail.swing)
    near = Support("rail", gives)
    return (near,) if mount.layout.far_rail is None else (near, Support(FAR_RAIL, gives))


def _foot(mount: Mount, places: Places) -> tuple[Part, ...]:
    """What holds the post."""
    stand = mount.layout.on_floor
    if stand is None:
        return (*_rail(mount, places), *_angle(mount, places))
    return foot_legs(mount.layout, stand, (mount.joining, mount.sheet), places.at["post foot"])


def _rail(mount: Mount, places: Places) -> tuple[Part, ...]:
    """The web's springs around the foot, at the end of a stiff block."""
    rail, foot = places.nodes["rail"], places.nodes["foot"]
    push, tilt, swing = mount.rail.web_springs
    springs: Six = (push, math.inf, math.inf, math.inf, tilt, swing)
    back = End((0.0, WEB_DEPTH, foot[2] - rail[2]))
    columns, rows = mount.layout.on_rail.pattern.columns, mount.layout.on_rail.pattern.rows
    section = solid_section(columns[1] - columns[0] + 20.0, rows[1] - rows[0] + 20.0, mount.sheet)
    return ((Member("web", "rail", "foot", section.bar, UP, back, End(springs=springs)), section),)


def _angle(mount: Mount, places: Places) -> tuple[Part, ...]:
    """Rail leg from the first column of screws to the fold, post leg from there to the post's near face."""
    layout, t = mount.layout, mount.layout.on_rail.angle_thickness
    foot, fold, post = (places.nodes[name] for name in ("foot", "fold", places.at["post foot"]))
    height = layout.on_rail.pattern.leg_z[1] - layout.on_rail.pattern.leg_z[0]
    begin: Vec3 = (layout.on_rail.pattern.columns[0], fold[1], fold[2])
    end: Vec3 = (fold[0], layout.post_y + layout.post.size / 2, fold[2])
    a, b = begin[0] - fold[0], fold[1] - end[1]
    sizes, e = (height, t), mount.sheet.e_mpa
    rail_leg = Strip(*sizes, a, float(folded_twist(a, b, *sizes, e)), dense=True)
    post_leg = Strip(*sizes, b, float(folded_twist(b, a, *sizes, e)), dense=True)
    on_rail = End(subtract(begin, foot), _turning(mount.joining.plate_stiffness))
    on_post = End(subtract(end, post), _turning(mount.joining.tslot_stiffness))
    first, second = strip_section(rail_leg, mount.sheet), strip_section(post_leg, mount.sheet)
    return (
        (Member("rail leg", "foot", "fold", first.bar, UP, on_rail), first),
        (Member("post leg", "fold", places.at["post foot"], second.bar, UP, end_end=on_post), second),
    )


def _bar(mount: Mount, places: Places, name: str) -> tuple[Part, ...]:
    """A post or the arm, cut at its stations."""
    extrusion = mount.layout.arm if name == "arm" else mount.layout.post
    section = extrusion_section(extrusion, mount.bar)
    stations = places.stations[name]
    return tuple(
        (Member(f"{name}, {a} to {b}", a, b, section.bar, ALONG), section)
        for a, b in itertools.pairwise(stations)
    )


def _far_side(mount: Mount, places: Places, foot: tuple[Part, ...]) -> tuple[Part, ...]:
    """What holds the beam on a bridge's far side: the near foot mirrored, a post and a cross plate."""
    if mount.layout.far_rail is None:
        return ()
    post = {places.at["post foot"]: places.at["far post foot"]}
    names = {"rail": FAR_RAIL, "foot": f"{FAR}foot", "fold": f"{FAR}fold", **post}
    mirrors = ((mirrored_member(member, f"{FAR}{member.name}", names), section) for member, section in foot)
    return (*mirrors, *_bar(mount, places, "far post"), _cross(mount, places, FAR))


def _cross(mount: Mount, places: Places, side: str = "") -> Part:
    """The cross plate, from the post's face to the arm's, a T-slot joint on both."""
    layout = mount.layout
    y, z = layout.cross_half
    section = solid_section(2 * y, 2 * z, mount.sheet)
    joint = _turning(mount.joining.tslot_stiffness)
    start, end = places.at[f"{side}cross"], places.at["far root" if side else "arm root"]
    here, there = places.nodes[start], places.nodes[end]
    on_post = End((-layout.post.size / 2, 0.0, there[2] - here[2]), joint)
    on_arm = End((layout.arm.size / 2, here[1] - there[1], 0.0), joint)
    return Member(f"{side}cross plate", start, end, section.bar, UP, on_post, on_arm), section


def _ear(mount: Mount, places: Places, product: int) -> Part:
    """From the arm's lower edge down to the middle of pivot and lock."""
    layout, head = mount.layout, mount.layout.head
    x = head.ear_x + head.plate / 2
    end, swing = places.nodes[places.at["arm end"]], places.nodes["swing"]
    y = float(layout.settings.tip_y[product]) - (head.ear_back + rules.PIVOT_EDGE) / 2
    top: Vec3 = (x, y, end[2] - layout.arm.size / 2)
    strip = Strip(head.ear_back + rules.PIVOT_EDGE, head.plate, top[2] - swing[2])
    section = strip_section(strip, mount.sheet)
    on_arm = End(subtract(top, end), _turning(mount.joining.tslot_stiffness))
    on_swing = End(subtract((x, y, swing[2]), swing), _turning(mount.joining.plate_stiffness))
    start = places.at["arm end"]
    return Member("ear", start, "swing", section.bar, (0.0, 1.0, 0.0), on_arm, on_swing), section


def _swing(mount: Mount, places: Places, product: int) -> tuple[Part, ...]:
    """Main flange from the lock to the fold, device flange from there to the head's nearest screws."""
    layout, head = mount.layout, mount.layout.head
    swing, fold, back = (places.nodes[name] for name in ("swing", "swing fold", "head"))
    u = (head.flange_low + head.flange_high) / 2
    lock = head_point(layout, product, head.swing_x + head.plate / 2, u, head.pivot_n - head.lock_radius)
    nearest = max(hole.at[0] for hole in mount.survey.head.pattern)
    device = head_point(layout, product, nearest, u, head.back_n - head.plate / 2)
    a, b = math.dist(lock, fold), math.dist(fold, device)
    sizes, e = (head.flange_high - head.flange_low, head.plate), mount.sheet.e_mpa
    first = strip_section(Strip(*sizes, a, float(folded_twist(a, b, *sizes, e))), mount.sheet)
    second = strip_section(Strip(*sizes, b, float(folded_twist(b, a, *sizes, e))), mount.sheet)
    up = subtract(head_point(layout, product, 0.0, 1.0, 0.0), head_point(layout, product, 0.0, 0.0, 0.0))
    on_head = End(subtract(device, back), _turning(mount.joining.plate_stiffness))
    begin = End(subtract(lock, swing))
    return (
        (Member("swing plate, side", "swing", "swing fold", first.bar, up, begin), first),
        (Member("swing plate, back", "swing fold", "head", second.bar, up, end_end=on_head), second),
    )


def _controller(mount: Mount, places: Places) -> Part:
    """The controller's flange from its bend at the post's face to the controller's nearest screws."""
    layout, controller = mount.layout, mount.survey.controller
    post, box = places.nodes[places.at["controller"]], places.nodes["controller box"]
    begin: Vec3 = (layout.angle_x, box[1], box[2])
    middle = controller_middle(layout, mount.survey)[0]
    end: Vec3 = (middle + min(hole.at[0] for hole in controller.pattern), box[1], box[2])
    height = controller.height + 2 * rules.CONTROLLER_EARS
    strip = Strip(height, rules.CONTROLLER_SHEET, end[0] - begin[0])
    section = strip_section(strip, mount.sheet)
    on_post = End(subtract(begin, post), _turning(mount.joining.tslot_stiffness))
    on_box = End(subtract(end, box), _turning(mount.joining.plate_stiffness))
    start = places.at["controller"]
    return Member("controller bracket", start, "controller box", section.bar, UP, on_post, on_box), section
