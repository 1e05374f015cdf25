"""The sheet parts of a rail mast before any hole is in them, each placed where it stands.

One function a part, from the layout's numbers to a flange tree and a placement (working view). Local axes
are chosen so that the root flange's z points along the side named in the comment; outlines are drawn in
the root's x and y. Letters in part numbers: A rail, B mast, C head, D encoder, E controller.
"""

from __future__ import annotations

from mountgen.detail.joints import Placed
from mountgen.geometry import Contour, Placement, Vec2, Vec3, add, cos_deg, rounded, scale, sin_deg
from mountgen.layout import rules
from mountgen.layout.rail_mast import EncoderPlace, MastLayout
from mountgen.sheet.tree import Bend, Flange, SheetPart
from mountgen.survey.records import Survey

FINISH = "zinc plated, all edges broken"
AUXILIARY = rules.AUXILIARY

X: Vec3 = (1.0, 0.0, 0.0)
Y: Vec3 = (0.0, 1.0, 0.0)
Z: Vec3 = (0.0, 0.0, 1.0)
TOWARDS_OPERATOR: Vec3 = (0.0, -1.0, 0.0)


def head_axes(tilt_deg: float) -> tuple[Vec3, Vec3]:
    """The head frame's u (up the column) and n (out of the nozzles) in the world."""
    cos, sin = cos_deg(tilt_deg), sin_deg(tilt_deg)
    return (0.0, sin, cos), (0.0, cos, -sin)


def head_origin(layout: MastLayout, product: int) -> Vec3:
    """The middle of the nozzle column at a product's setting."""
    settings, head = layout.settings, layout.head
    u, n = head_axes(float(settings.tilt_deg[product]))
    pivot = (0.0, float(settings.pivot_y[product]), float(settings.pivot_z[product]))
    return add(pivot, add(scale(n, -head.pivot_n), scale(u, -head.pivot_u)))


def head_point(layout: MastLayout, product: int, x: float, u: float, n: float) -> Vec3:
    """A point of the head's frame in the world."""
    up, out = head_axes(float(layout.settings.tilt_deg[product]))
    return add(head_origin(layout, product), add((x, 0.0, 0.0), add(scale(up, u), scale(out, n))))


def plate(points: tuple[Vec2, ...], sharp: tuple[int, ...] = ()) -> Contour:
    """A polygon with rounded outside corners, but for those that a bend leaves from."""
    radii = [0.0 if i in sharp else rules.CORNER for i in range(len(points))]
    return rounded(points, radii)


def corners(x0: float, y0: float, x1: float, y1: float) -> tuple[Vec2, ...]:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def sheet_part(number: str, name: str, thickness: float, root: Flange, place: Placement) -> Placed:
    part = SheetPart(number, name, round(thickness, 6), rules.SHEET, root, FINISH)
    return Placed(part, place)


def rail_angle(layout: MastLayout) -> Placed:
    """Rail leg on the web (root, z towards the operator), post leg standing out from it."""
    pattern, t = layout.on_rail.pattern, layout.on_rail.angle_thickness
    bend = t * rules.BEND_RADIUS_RATIO
    start_x = layout.angle_x + t + bend
    width, height = pattern.leg_end_x - start_x, pattern.leg_z[1] - pattern.leg_z[0]
    behind = max(layout.post.size / 2, rules.EDGE + rules.PLUMB_TRAVEL)
    reach = layout.on_rail.leg_y - layout.post_y + behind - (bend + t)
    post_leg = Flange("post leg", plate(corners(0, 0, height, reach), sharp=(0, 1)))
    rail_leg = Flange(
        "rail leg",
        plate(corners(0, 0, width, height), sharp=(0, 3)),
        bends=(Bend((0.0, height), (0.0, 0.0), 90.0, bend, post_leg),),
    )
    place = Placement((start_x, layout.on_rail.leg_y, pattern.leg_z[0]), X, TOWARDS_OPERATOR)
    return sheet_part("A10", "rail angle", t, rail_leg, place)


def backing_plate(layout: MastLayout, survey: Survey) -> Placed:
    """Behind the web, around the four bolts, as large as the web needs (z towards the operator)."""
    pattern, margin = layout.on_rail.pattern, layout.on_rail.backing_margin
    x0, x1 = pattern.columns[0] - margin, pattern.columns[1] + margin
    z0, z1 = pattern.rows[0] - margin, pattern.rows[1] + margin
    root = Flange("plate", plate(corners(0, 0, x1 - x0, z1 - z0)))
    back = survey.rail.section.web_thickness + rules.BACKING_THICKNESS
    place = Placement((x0, back, z0), X, TOWARDS_OPERATOR)
    return sheet_part("A11", "backing plate", rules.BACKING_THICKNESS, root, place)


def cross_plate(layout: MastLayout, product: int) -> Placed:
    """Between post and arm, in the y-z plane (z downstream)."""
    y, z = layout.cross_half
    root = Flange("plate", plate(corners(-y, -z, y, z)))
    arm_z = float(layout.settings.arm_z[product])
    place = Placement((layout.cross_x, layout.post_y, arm_z), Y, X)
    return sheet_part("B20", "cross plate", layout.plate, root, place)


def arm_stop(layout: MastLayout, product: int) -> Placed:
    """Under the cross plate on the post: keeps the arm from dropping when it is loosened."""
    half = layout.post.size / 2
    top = float(layout.settings.arm_z[product]) - layout.cross_half[1]
    root = Flange("plate", plate(corners(-half, -2 * rules.STOP_HALF, half, 0.0)))
    place = Placement((layout.post_x - AUXILIARY, layout.post_y, top), Y, X)
    return sheet_part("B21", "arm stop", AUXILIARY, root, place)


def ear(layout: MastLayout, product: int) -> Placed:
    """On the arm's inner end; origin at the pivot (z downstream, x towards the product)."""
    head, edge = layout.head, rules.PIVOT_EDGE
    root = Flange("plate", plate(corners(-head.ear_back, -edge, edge, layout.drop + edge)))
    settings = layout.settings
    pivot = (head.ear_x, float(settings.pivot_y[product]), float(settings.pivot_z[product]))
    return sheet_part("C10", "ear", head.plate, root, Placement(pivot, Y, X))


def swing_plate(layout: MastLayout, product: int) -> Placed:
    """Main flange beside the head (root, x = n, y = u, z downstream), device flange behind it."""
    head, t, bend = layout.head, layout.head.plate, layout.head.bend_radius
    low, high = head.flange_low, head.flange_high
    tangent = head.back_n + bend
    device = Flange(
        "device flange",
        plate(corners(0, 0, high - low, head.swing_x - bend - head.tab_x), sharp=(0, 1)),
    )
    main = Flange(
        "main flange",
        plate(corners(tangent, low, head.pivot_n + rules.PIVOT_EDGE, high), sharp=(0, 3)),
        bends=(Bend((tangent, high), (tangent, low), -90.0, bend, device),),
    )
    _, n = head_axes(float(layout.settings.tilt_deg[product]))
    place = Placement(head_point(layout, product, head.swing_x, 0.0, 0.0), n, X)
    return sheet_part("C20", "swing plate", t, main, place)


def shoe(layout: MastLayout, survey: Survey, product: int) -> Placed:
    """Lead-in shoe: foot on the tab (root, x = u, y downstream, z = n), leg along the head, rounded lip."""
    head, t, bend = layout.head, layout.head.plate, layout.head.bend_radius
    low = min(head.flange_low, -survey.head.print_height / 2 - 2.0)
    high = max(head.flange_high, survey.head.print_height / 2 + 2.0)
    width, foot = high - low, head.foot
    leg_length = rules.SHOE_PROUD - rules.LIP_RADIUS - t - (head.back_n + bend + t)
    lip = Flange("lip", plate(corners(0, 0, width, 8.0), sharp=(0, 1)))
    leg = Flange(
        "leg",
        plate(corners(0, 0, width, leg_length), sharp=(0, 1, 2, 3)),
        bends=(Bend((width, leg_length), (0.0, leg_length), 105.0, rules.LIP_RADIUS, lip),),
    )
    root = Flange(
        "foot",
        plate(corners(0, 0, width, foot), sharp=(2, 3)),
        bends=(Bend((width, foot), (0.0, foot), 90.0, bend, leg),),
    )
    u, n = head_axes(float(layout.settings.tilt_deg[product]))
    place = Placement(head_point(layout, product, head.tab_x, low, head.back_n), u, n)
    return sheet_part("C30", "lead-in shoe", t, root, place)


def eye_arm(layout: MastLayout, survey: Survey, product: int) -> Placed:
    """Behind the tab, reaching upstream to the photo-eye (root: x = u, y downstream, z = n).

    A flat eye sits against a flange that is bent forward at the upstream end; its arm has the slots at
    the tab and reaches past them.
    """
    head, sensor, t = layout.head, survey.sensor, AUXILIARY
    low, high = head.flange_low, max(head.flange_high, head.eye_u + head.eye_radius)
    back = head.back_n - head.plate - t
    start_x, end_x = head.upstream_x, head.tab_x + head.foot
    bends: tuple[Bend, ...] = ()
    sharp: tuple[int, ...] = ()
    if sensor.body == "flat":
        start_x = head.eye_x - sensor.width / 2 + t
        end_x = max(end_x, head.tab_screw_x + rules.FLAT_EYE_TRAVEL - rules.EYE_NEARER + rules.EDGE)
        rise = head.eye_face_n - sensor.pattern[0].at[0] + rules.EDGE - (back + 2 * t)
        side = Flange("eye flange", plate(corners(0, 0, high - low, rise), sharp=(0, 1)))
        bends, sharp = (Bend((0.0, 0.0), (high - low, 0.0), 90.0, t, side),), (0, 1)
    outline = plate(corners(0, 0, high - low, end_x - start_x), sharp=sharp)
    root = Flange("plate", outline, bends=bends)
    u, n = head_axes(float(layout.settings.tilt_deg[product]))
    place = Placement(head_point(layout, product, start_x, low, back), u, n)
    return sheet_part("C40", "photo-eye arm", t, root, place)


def encoder_bracket(layout: MastLayout, encoder: EncoderPlace) -> Placed:
    """On the post's inner face (root, x up, y downstream, z away), across to the encoder's pivot."""
    t = bend = AUXILIARY
    half = rules.ENCODER_BRACKET_HALF
    face = layout.post_y + layout.post.size / 2
    start = layout.post_x + 1.0
    side_x = encoder.pivot_x - rules.PIVOT_EDGE - bend - t
    pivot_face = encoder.plate_y - AUXILIARY - rules.WASHER
    side_length = pivot_face - t - bend - (face + bend + t)
    pivot = Flange("pivot flange", plate(corners(0, 0, 2 * half, 2 * rules.PIVOT_EDGE), sharp=(0, 1)))
    side = Flange(
        "side flange",
        plate(corners(0, 0, 2 * half, side_length), sharp=(0, 1, 2, 3)),
        bends=(Bend((2 * half, side_length), (0.0, side_length), -90.0, bend, pivot),),
    )
    foot = side_x - bend - start
    root = Flange(
        "post flange",
        plate(corners(0, 0, 2 * half, foot), sharp=(2, 3)),
        bends=(Bend((2 * half, foot), (0.0, foot), 90.0, bend, side),),
    )
    place = Placement((start, face, encoder.pivot_z - half), Z, Y)
    return sheet_part("D10", "encoder bracket", t, root, place)


ROUNDED_END = 0.4
"""Of half its width: what is cut off the corners at the encoder arm's end; its screws keep their edge."""


def encoder_arm(encoder: EncoderPlace, survey: Survey) -> Placed:
    """From the pivot to the wheel's axle; origin at the pivot, x towards the wheel (z away)."""
    assert survey.encoder is not None
    half = survey.encoder.body_diameter / 2
    run = encoder.run
    edge = rules.PIVOT_EDGE
    cut = ROUNDED_END * half
    outline: tuple[Vec2, ...] = (
        (-edge, -edge),
        (run - half - 6.0, -edge),
        (run - half + 4.0, -half),
        (run + half - cut, -half),
        (run + half, -half + cut),
        (run + half, half - cut),
        (run + half - cut, half),
        (run - half + 4.0, half),
        (run - half - 6.0, edge),
        (-edge, edge),
    )
    root = Flange("plate", plate(outline))
    return sheet_part("D20", "encoder arm", AUXILIARY, root, encoder_frame(encoder))


def encoder_frame(encoder: EncoderPlace) -> Placement:
    """The encoder arm's frame: origin at the pivot on the face away from the wheel, x to the axle, z away."""
    along = ((encoder.wheel_x - encoder.pivot_x), 0.0, encoder.wheel_z - encoder.pivot_z)
    origin = (encoder.pivot_x, encoder.plate_y - AUXILIARY, encoder.pivot_z)
    return Placement(origin, scale(along, 1 / encoder.run), Y)


def controller_bracket(layout: MastLayout, survey: Survey) -> Placed:
    """Angle on the post's downstream face (root, x away, y up, z downstream); the controller's flange is
    bent downstream at the line's side, within the post's width, so that keys pass it on both sides."""
    controller, t = survey.controller, rules.CONTROLLER_SHEET
    half = controller.height / 2 + rules.CONTROLLER_EARS
    tangent = _controller_tangent(layout)
    width = controller.width + controller_air(layout) - 2 * t
    screen = Flange("controller flange", plate(corners(0, 0, 2 * half, width), sharp=(0, 1)))
    root = Flange(
        "post flange",
        plate(corners(-rules.EDGE, -half, tangent, half), sharp=(1, 2)),
        bends=(Bend((tangent, -half), (tangent, half), 90.0, t, screen),),
    )
    place = Placement((layout.angle_x, layout.post_y, layout.controller_z), Y, X)
    return sheet_part("E10", "controller bracket", t, root, place)


def _controller_tangent(layout: MastLayout) -> float:
    """Where the controller bracket's bend begins, from the post's middle towards the line."""
    return layout.post.size / 2 - 0.6


def controller_air(layout: MastLayout) -> float:
    """mm from the post's downstream face to the controller: room for the key of the arm's screws."""
    return max(8.0, rules.KEY_ROOM + 4.0 - layout.post.size)


def controller_middle(layout: MastLayout, survey: Survey) -> tuple[float, float]:
    """x and y of the middle of the controller's back."""
    x = layout.angle_x + controller_air(layout) + survey.controller.width / 2
    return x, layout.post_y + _controller_tangent(layout) + rules.CONTROLLER_SHEET
