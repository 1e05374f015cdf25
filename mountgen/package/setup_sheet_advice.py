"""Wiring, commissioning, aligning, what a wrong setting looks like, maintenance and spare parts.

What is marked *common practice* is what the trade does; numbers beside it come from this mount.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from mountgen.catalogue.head_stack import HeadStack
from mountgen.package.drawing_words import plain
from mountgen.package.mount_words import words_of
from mountgen.package.records import Dossier
from mountgen.package.setup_sheet_words import standing
from mountgen.survey.records import Survey
from mountgen.units import format_length

SPARES = ("photo-eye", "encoder", "measuring wheel", "encoder spring", "pin", "end cap")
"""Names of bought parts, or parts of them, that wear or get lost (common practice)."""
BY_HAND_OFTEN = (
    "cross plate to post",
    "cross plate to arm",
    "far cross plate to far post",
    "ear to beam",
    "tilt lock",
    "pivot",
)
"""Titles of joints that a changeover loosens."""


def wiring(dossier: Dossier) -> list[str]:
    """Where cables run and where the mount is earthed."""
    survey, units = dossier.survey, dossier.survey.units
    up, across = (format_length(travel, units) for travel in travels(dossier))
    head, arm = survey.head, words_of(survey).arm
    return [
        *_several(survey),
        f"Head cable ({format_length(head.cable_length, units)}): along the {arm} to its operator end, in a "
        "loop to "
        f"the post, down the post to the controller. Loop for {up} of height and {across} of reach, no bend "
        f"tighter than {format_length(head.cable_bend_radius, units)}.",
        "Photo-eye and encoder cables: along the same way, tied every 200 mm, away from motor cables (100 mm "
        "at least); nothing hangs into the product's path or under the wheel (common practice).",
        f"Earth point: screw {earth_screw(dossier)} of the {earth_part(dossier)}, toothed washer on bare "
        "metal, green-yellow "
        "conductor to the line's protective earth. Anodised bars insulate: a toothed washer under one screw "
        "of "
        "every bar. Less than 0.1 ohm from head bracket to protective earth (common practice; local codes "
        "decide).",
    ]


def _several(survey: Survey) -> list[str]:
    """What several heads on one bracket ask for."""
    head = survey.head
    if not isinstance(head, HeadStack):
        return []
    pitch = format_length(head.pitch, survey.units)
    return [
        f"{head.count} print heads, {pitch} apart along the column: each prints {pitch} beyond the one "
        "below it. One trigger and one delay for all; every head has its own cable and earth.",
    ]


def travels(dossier: Dossier) -> tuple[float, float]:
    """mm that the head moves up and down, and in and out, between all products."""
    products = dossier.setup.products
    post, arm = [p.post_scale_mm for p in products], [p.arm_scale_mm for p in products]
    return max(post) - min(post), max(arm) - min(arm)


EARTHED = ("rail angle", "foot angle, downstream")
"""The part that takes the earth point: whichever of these a mount has."""


def earth_part(dossier: Dossier) -> str:
    return next(one.name for one in dossier.detail.instances if one.name in EARTHED)


def earth_screw(dossier: Dossier) -> str:
    part = earth_part(dossier)
    return next(j.id for j in dossier.detail.joints if any(m.instance == part for m in j.members))


def _setting_order(survey: Survey) -> str:
    """Which scale sets the stand-off: the arm's when nozzles face a side, the post's when they face down."""
    arm = words_of(survey).arm
    if (survey.products.face == "near_side").all():
        return f"Set the height by the post scale, then the stand-off by the {arm} scale"
    if (survey.products.face == "top").all():
        return f"Set the place across the line by the {arm} scale, then the stand-off by the post scale"
    return f"Set post scale, {arm} scale and tilt; then measure the stand-off"


def commissioning(dossier: Dossier) -> list[str]:
    """The order of commissioning (common practice)."""
    units = dossier.survey.units
    ideal = format_length(dossier.survey.standoff.target, units)
    encoder = "photo-eye and encoder" if dossier.survey.encoder else "photo-eye"
    speed = "divider" if dossier.setup.encoder_divider is not None else "fixed speed"
    distance = format_length(dossier.setup.sensor_to_nozzle_mm, units)
    return [
        standing(dossier.survey),
        "Have a reliable, earthed supply ready; bond the mount.",
        "Connect the first head to the controller's first head port.",
        f"Connect {encoder}; see them switch and count on the screen with the line at rest.",
        "Disable the print trigger and keep it disabled while anything is adjusted under power.",
        f"{_setting_order(dossier.survey)} ({ideal}; 1/8 in is common practice).",
        f"Measure from the beam to the nozzle column along the flow, {distance} by design; note it here: "
        "______. "
        "About 2 1/4 in is typical of a small mount.",
        f"Enter the settings: distance as measured, direction of flow, {speed}, delay of the product.",
        "Seat the cartridge until it clicks.",
        "Prime a new head for 30 to 40 s; catch the ink.",
        "Wipe the head's surround with a lint-free wipe; do not touch the nozzle plate.",
        "Stand clear, restore the line by the owner's procedure, enable the trigger.",
        "Make a test print at creeping, then at full speed; correct by the table below.",
        "Nip up every screw a last time to its torque; mark it with paint.",
    ]


def aligning(dossier: Dossier) -> list[str]:
    """Gauges, and what a millimetre on each scale does to the nozzles."""
    survey, units = dossier.survey, dossier.survey.units
    low, high = (format_length(value, units) for value in survey.standoff.best)
    target, one = format_length(survey.standoff.target, units), format_length(1.0, units)
    ends = format_length(survey.head.print_height / 2 * math.tan(math.radians(1.0)), units, 2)
    scale = words_of(survey).arm.capitalize()
    faces_down = bool((survey.products.face == "top").all())
    post, arm = ("stand-off", "place across the line") if faces_down else ("height of the code", "stand-off")
    return [
        f"Stand-off: lay a strip of {target} between nozzle plate surround and product, slide the head onto "
        "it, "
        f"lock, pull it out. Then {low} must pass and {high} must not, at both ends of the column and for "
        "three "
        "products in a row. Never gauge on the nozzles themselves.",
        f"Post scale: {one} moves the nozzles {one} up ({post}). {scale} scale: {one} moves them {one} "
        f"across ({arm}). Scales are slid, not screwed: there is no turn to count.",
        f"Tilt: one degree moves the ends of the nozzle column by {ends} to and from the product.",
        _print_scale(dossier),
        "Test print: a frame as long as the code with a grid of squares and a line of small letters (common "
        "practice). Print ten products, measure the frame's start and length on each.",
    ]


def _print_scale(dossier: Dossier) -> str:
    one = format_length(1.0, dossier.survey.units)
    counts = dossier.setup.counts_per_mm
    told = f" ({counts:.0f} counts)" if counts is not None else ""
    return f"Delay: {one}{told} more moves the print {one} away from the leading edge."


def faults(dossier: Dossier) -> list[list[str]]:
    """What a wrong setting looks like in print, and the number to change (common practice)."""
    has_encoder = dossier.setup.encoder_divider is not None
    pace = "Encoder divider" if has_encoder else "Fixed speed"
    if has_encoder:
        mend = "new divider = divider x length meant / length printed"
        stretched = "a divider too high; the wheel slips (measure: counts over 5 m of belt)"
    else:
        mend = "new speed = speed x length printed / length meant"
        stretched = "the line does not run at the speed that was entered"
    low, high = (format_length(value, dossier.survey.units) for value in dossier.survey.standoff.acceptable)
    return [
        ["Stretched or squeezed", stretched, f"{pace}: {mend}"],
        ["Too late or too early, always alike", "distance or delay", "Delay: less by as much as it is late"],
        [
            "Place wanders from product to product",
            "wheel slips or bounces; photo-eye sees late",
            "Spring, belt, photo-eye's aim",
        ],
        ["Mirrored or its columns reversed", "direction of flow", "Direction of flow: the other one"],
        ["Slanted", "nozzle column not square to the flow", "Post plumb, tilt lock, head's screws"],
        ["Faint or blurred", f"stand-off too large, beyond {high}", "Stand-off: the scale named above"],
        [
            "Smeared, or the product touches",
            f"stand-off too small, under {low}",
            "Stand-off; the guide's place",
        ],
        [
            "Faint at one edge of the code",
            "nozzle plate not parallel to the product",
            "Tilt; the product's skew",
        ],
        ["Missing rows", "blocked nozzles, cartridge not seated", "Prime, wipe the surround, seat again"],
        [
            "Two prints on one product",
            "the photo-eye sees an opening in it",
            "Off-delay in travel, not in time",
        ],
    ]


def maintenance(dossier: Dossier) -> list[list[str]]:
    """Interval, point and what is done (common practice)."""
    low, high = (format_length(value, dossier.survey.units) for value in dossier.survey.standoff.best)
    fixed = ", ".join(j.id for j in dossier.detail.joints if j.torque_nm and j.title not in BY_HAND_OFTEN)
    often = ", ".join(j.id for j in dossier.detail.joints if j.title in BY_HAND_OFTEN)
    return [
        [
            "Every shift",
            "nozzle surround, lead-in shoe, photo-eye's lens",
            "wipe; look for ink, dust, rubbing marks",
        ],
        ["First day of running", fixed, "to their torque once more; paint marks"],
        ["Every week", "stand-off", f"{low} passes, {high} does not; after every bump, too"],
        ["Every month", often, "paint marks; torque; scales still at their readings"],
        *_wheel_row(dossier),
        [
            "Every six months",
            f"cables, earth at {earth_screw(dossier)}",
            "chafing, bends, slack; less than 0.1 ohm",
        ],
        ["Every year", fixed, "torque; renew wedge-lock washers and locking nuts that were undone"],
    ]


def _wheel_row(dossier: Dossier) -> Iterator[list[str]]:
    setup = dossier.setup
    if setup.counts_per_mm is not None:
        counts = plain(setup.counts_per_mm * 5000.0, 0)
        yield [
            "Every month",
            "measuring wheel and spring",
            f"mark 5 m of belt: {counts} counts by design; enter the measured factor when it is off by 0.5 %",
        ]


def spares(dossier: Dossier) -> list[list[str]]:
    """What to keep on the shelf: bought parts that wear or get lost, and one screw of every kind."""
    detail = dossier.detail
    worn = [part for part in detail.bought if any(word in part.name for word in SPARES)]
    rows = [[p.number, p.name, p.designation, str(detail.quantity(p.number))] for p in worn]
    kinds = [part for part in detail.bought if part.name == "screw"]
    return rows + [[p.number, "screw", p.designation, "2"] for p in kinds]
