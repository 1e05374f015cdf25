"""The floor stand in detail: base plate and two foot angles, what joins them to each other, to the post and
to the floor, and the holes in the floor.

Letters in part numbers: A, as what holds a mount. The angles are each other turned by half a turn about the
post's axis. Angle screws go into threads of the base, so nothing stands out under it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from mountgen.catalogue.reader import Catalogue
from mountgen.detail.blanks import X, Z, corners, plate, sheet_part
from mountgen.detail.joints import (
    Clearance,
    JointPlan,
    NoHole,
    Placed,
    Tapped,
    Through,
    into_bar,
)
from mountgen.detail.records import FloorHole
from mountgen.geometry import Placement, Vec3, scale
from mountgen.layout import rules
from mountgen.layout import stand as sizes
from mountgen.layout.rail_mast import MastLayout
from mountgen.layout.stand import Stand
from mountgen.sheet.tree import Bend, Flange

DOWN: Vec3 = (0.0, 0.0, -1.0)
FOOT_ANGLES = ("foot angle, upstream", "foot angle, downstream")


def stand_blanks(layout: MastLayout, stand: Stand) -> Iterator[Placed]:
    """Base plate and foot angles."""
    base, (x, y) = stand.base, stand.base.middle
    root = Flange("plate", plate(corners(0, 0, base.width, base.depth)))
    place = Placement((x - base.width / 2, y - base.depth / 2, stand.floor + base.gap), X, Z)
    yield sheet_part("A30", "base plate", base.thickness, root, place)
    for number, name, side in zip(("A31", "A32"), FOOT_ANGLES, (-1.0, 1.0), strict=True):
        yield sheet_part(number, name, stand.angle_thickness, _angle(stand), _beside(layout, stand, side))


def _angle(stand: Stand) -> Flange:
    """Leg on the base (root, z up, x away from the post), leg up the post's side."""
    t, width = stand.angle_thickness, stand.angle_width
    bend = t * rules.BEND_RADIUS_RATIO
    up = Flange("post leg", plate(corners(0, 0, width, sizes.ANGLE_HIGH - (bend + t)), sharp=(0, 1)))
    return Flange(
        "base leg",
        plate(corners(0, 0, sizes.ANGLE_LEG - (bend + t), width), sharp=(0, 3)),
        bends=(Bend((0.0, width), (0.0, 0.0), 90.0, bend, up),),
    )


def _beside(layout: MastLayout, stand: Stand, side: float) -> Placement:
    """Where an angle stands: downstream of the post (side 1) or upstream (-1)."""
    t = stand.angle_thickness
    out = layout.post.size / 2 + t * (1 + rules.BEND_RADIUS_RATIO)
    origin = (_middle(layout) + side * out, layout.post_y - side * stand.angle_width / 2, stand.top)
    return Placement(origin, scale(X, side), Z)


def _middle(layout: MastLayout) -> float:
    return layout.post_x + layout.post.size / 2


def stand_joints(layout: MastLayout, stand: Stand, catalogue: Catalogue) -> Iterator[JointPlan]:
    """Feet or anchors, screws of the foot angles into the base, T-bolts into the post."""
    yield from _feet(stand, catalogue)
    for first, name, side in zip((1, 3), FOOT_ANGLES, (-1.0, 1.0), strict=True):
        yield from _angle_screws(layout, stand, (first, name, side), catalogue)
    for first, name, side in zip((1, 3), FOOT_ANGLES, (-1.0, 1.0), strict=True):
        yield from _post_bolts(layout, stand, (first, name, side), catalogue)


def _feet(stand: Stand, catalogue: Catalogue) -> Iterator[JointPlan]:
    """From above through the base's corners to the floor."""
    base, thread = stand.base, catalogue.thread(sizes.ANCHOR)
    hole = Clearance(thread.clearance_coarse)
    title = "base plate to floor" if base.anchored else "levelling foot to base plate"
    for number, (x, y) in enumerate(base.feet, 1):
        yield JointPlan(
            f"F{number}",
            title,
            "floor stand",
            thread,
            (x, y, stand.top),
            DOWN,
            (Through("base plate", hole), Through("floor", NoHole())),
            "anchor" if base.anchored else "foot",
            depth=base.gap,
        )


def _angle_screws(
    layout: MastLayout, stand: Stand, which: tuple[int, str, float], catalogue: Catalogue
) -> Iterator[JointPlan]:
    """An angle's two screws into threads of the base."""
    first, name, side = which
    screw = catalogue.thread(sizes.BASE_SCREW)
    tapped = Through("base plate", Tapped())
    x = _middle(layout) + side * (layout.post.size / 2 + sizes.SCREW_OUT)
    off = stand.angle_width / 2 - sizes.SCREW_IN
    for number, y in enumerate((layout.post_y - off, layout.post_y + off), first):
        yield JointPlan(
            f"G{number}",
            f"{name}, to base plate",
            "floor stand",
            screw,
            (x, y, stand.top + stand.angle_thickness),
            DOWN,
            (Through(name, Clearance(screw.clearance_coarse)), tapped),
            "tapped",
            depth=stand.base.thickness,
        )


def _post_bolts(
    layout: MastLayout, stand: Stand, which: tuple[int, str, float], catalogue: Catalogue
) -> Iterator[JointPlan]:
    """An angle's two T-bolts into the post, one above the other; a hole is no narrower than its plate."""
    first, name, side = which
    least = catalogue.thread(layout.post.nut_thread).clearance_medium
    hole = Clearance(max(least, stand.angle_thickness))
    x = _middle(layout) + side * (layout.post.size / 2 + stand.angle_thickness)
    bolts = (stand.top + sizes.UPPER_BOLT, stand.top + sizes.LOWER_BOLT)
    for number, z in enumerate(bolts, first):
        label, axis = (f"P{number}", f"post to {name}", "mast"), ((x, layout.post_y, z), scale(X, -side))
        yield into_bar(label, axis, Through(name, hole), ("post", layout.post, Z), catalogue)


def floor_holes(plans: Iterable[JointPlan], catalogue: Catalogue) -> Iterator[FloorHole]:
    """What is drilled into the floor."""
    for plan in plans:
        if plan.end == "anchor":
            anchor, (x, y, _) = catalogue.anchor(plan.thread.name), plan.seat
            yield FloorHole(plan.id, x, y, anchor.hole, anchor.depth, plan.id)
