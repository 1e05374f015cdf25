"""What `set-up.pdf` says: cautions, tools, joints and torques, controller numbers, order of commissioning."""

from __future__ import annotations

from collections.abc import Iterable

from mountgen.detail.records import Joint
from mountgen.layout.records import MOST_SETTINGS
from mountgen.mechanics.preload import PreloadRange
from mountgen.package.cut_sheet import edition
from mountgen.package.drawing_words import plain
from mountgen.package.records import Dossier
from mountgen.package.setup_picture import distance_picture
from mountgen.package.slope import slope_in_words
from mountgen.structure.loosening import loosening_advice
from mountgen.survey.records import Survey
from mountgen.units import TORQUE, format_length, format_speed

MOST_PRODUCTS = 200
"""Products listed on the sheet; the manifest holds them all."""

CAUTIONS = (
    "Lock the line out by the line owner's procedure before you drill, fit or reach in. Try to start it "
    "before you trust the lock.",
    "Stored energy: let air, springs and raised loads come to rest; the arm drops when the post's joint is "
    "loosened above its stop.",
    "Pinch points: between head and product, between encoder wheel and belt, along every adjustment.",
    "Sharp edges: wear gloves until every cut edge is broken.",
    "Earthing: bond rail, mount, head and controller to protective earth before the supply is connected.",
    "This sheet defers to local codes, to the line owner's rules and to licensed practice: electrical work "
    "is for a licensed electrician.",
)
PICTURE = "picture"
"""The key under which the drawing stands among the texts."""
COMMON_TOOLS = ("steel rule", "square", "centre punch", "lint-free wipes")
"""Common practice; keys, drills and the torque wrench follow from the joints."""


HOLDS_EXPLAINED = (
    "Preload: of one screw, by torque wrench, zinc plated and dry; oil raises it by half and overstrains the "
    "screw. Grip: least preload over what the joint needs under weight and a leaning hand, with 1.25 in hand."
)
NEWTON_PER_LBF = 4.4482


def set_up_data(dossier: Dossier) -> dict[str, object]:
    """Everything on the sheet as text, ready to be set."""
    survey = dossier.survey
    return {
        "title": f"Set-up: {survey.name}",
        "issued": edition(dossier),
        "verdict": dossier.verdict,
        "cautions": CAUTIONS,
        "tools": tools(dossier),
        "joints": joint_rows(dossier),
        "sources": [f"{letter}: {text}" for text, letter in source_letters(dossier.detail.joints).items()],
        "holds": holding_rows(dossier),
        "holds_explained": HOLDS_EXPLAINED,
        "numbers": controller_numbers(dossier),
        PICTURE: distance_picture(survey, dossier.setup.sensor_to_nozzle_mm),
        "picture_alt": "Distance from photo-eye to nozzles, and delay from leading edge to first column",
        "products": product_rows(dossier),
        "scales": _more_products(dossier) + SCALES_EXPLAINED,
        "steps": commissioning(dossier),
        "assumptions": [[a.key, a.value, a.reason, a.effect] for a in dossier.effects],
    }


SCALES_EXPLAINED = (
    "Delay: travel from the product's leading edge at the beam to the first printed column. Post scale: "
    "underside of the cross joint above the post's lower end. Arm scale: the arm's operator end behind the "
    "middle of the joint. Stand-off: nozzle plate to product."
)


def tools(dossier: Dossier) -> list[list[str]]:
    """Each tool with what it is for: keys and torques from the joints, drills from the rail's holes."""
    detail, units = dossier.detail, dossier.survey.units
    rows = []
    for key in sorted({joint.key for joint in detail.joints if joint.key}):
        rows.append([f"hex key {key}", "joints " + _ids(j for j in detail.joints if j.key == key)])
    torques = [joint.torque_nm for joint in detail.joints if joint.torque_nm > 0]
    if torques:
        span = f"{torque_text(min(torques), dossier.survey)} to {torque_text(max(torques), dossier.survey)}"
        rows.append(["torque wrench", span])
    for diameter in sorted({hole.diameter for hole in detail.rail_holes}):
        tags = ", ".join(hole.tag for hole in detail.rail_holes if hole.diameter == diameter)
        rows.append([f"drill {format_length(diameter, units)}", f"rail holes {tags}"])
    for held in sorted({hole.holds for hole in detail.rail_holes if hole.holds}):
        tags = ", ".join(hole.tag for hole in detail.rail_holes if hole.holds == held)
        rows.append([f"setting tool for {held}", f"rail holes {tags}"])
    level = () if dossier.survey.line.slope_deg else ("spirit level",)
    rows.append([", ".join((*level, *COMMON_TOOLS)), "common practice"])
    return rows


def standing(survey: Survey) -> str:
    """What the post is set square to, and how."""
    slope = slope_in_words(survey)
    if not slope:
        return "Set the post plumb in both directions before the rail angle's screws get their torque."
    return (
        f"Set the post square to the bed, not plumb: {slope}. Hold a square against bed and post; a spirit "
        "level misleads here."
    )


def joint_rows(dossier: Dossier) -> list[list[str]]:
    """Joints that are alike in one row: ids, title, fastener, key, torque, letter of its source."""
    letters = source_letters(dossier.detail.joints)
    alike: dict[tuple[str, ...], list[Joint]] = {}
    for joint in dossier.detail.joints:
        torque = torque_text(joint.torque_nm, dossier.survey) if joint.torque_nm > 0 else "–"
        source = letters.get(joint.torque_source, "–")
        row = (joint.title, joint.fastener, joint.key or "–", torque, source)
        alike.setdefault(row, []).append(joint)
    return [[_ids(joints), *row] for row, joints in alike.items()]


def holding_rows(dossier: Dossier) -> list[list[str]]:
    """Every group of screws that carries the mount: ids, what they hold, preload, margin, advice."""
    return [
        [
            ", ".join(joint.ids),
            joint.title,
            preload_text(joint.preload, dossier.survey),
            f"{joint.slip.margin + 1:.1f}",
            loosening_advice(joint),
        ]
        for joint in dossier.margins
    ]


def preload_text(preload: PreloadRange, survey: Survey) -> str:
    """Least and most in kN, for inch surveys with pound-force in brackets."""
    shown = f"{preload.low / 1000:.1f} to {preload.high / 1000:.1f} kN"
    if survey.units == "mm":
        return shown
    low, high = (round(newton / NEWTON_PER_LBF, -1) for newton in (preload.low, preload.high))
    return f"{shown} [{low:.0f} to {high:.0f} lbf]"


def source_letters(joints: Iterable[Joint]) -> dict[str, str]:
    """Every source of a torque with the letter that stands for it: a, b ..."""
    sources = dict.fromkeys(joint.torque_source for joint in joints if joint.torque_source)
    return {source: chr(ord("a") + i) for i, source in enumerate(sources)}


def torque_text(torque_nm: float, survey: Survey) -> str:
    """A torque in N·m, for inch surveys with pound-force inches in brackets."""
    shown = f"{plain(torque_nm, 1)} N·m"
    if survey.units == "mm":
        return shown
    return f"{shown} [{torque_nm / float(TORQUE.in_base('lbf·in')):.0f} lbf·in]"


def _ids(joints: Iterable[Joint]) -> str:
    return ", ".join(joint.id for joint in joints)


def controller_numbers(dossier: Dossier) -> list[list[str]]:
    """What is entered into the controller, name and value."""
    setup, survey = dossier.setup, dossier.survey
    speed_mm_per_s = setup.speed_m_per_min * 1000 / 60
    rows = [
        ["Photo-eye to nozzles", format_length(setup.sensor_to_nozzle_mm, survey.units)],
        ["Direction of flow", flow_text(survey)],
    ]
    if setup.encoder_divider is None or setup.counts_per_mm is None:
        rows.append(["Fixed speed, no encoder", format_speed(speed_mm_per_s, survey.units)])
    else:
        rows += [
            ["Encoder divider", str(setup.encoder_divider)],
            ["Encoder counts", f"{setup.counts_per_mm:.4f} per mm"],
            ["Fastest line speed", format_speed(speed_mm_per_s, survey.units)],
            ["Error of the print's length", f"{setup.print_length_error_percent:+.2f} %"],
        ]
    return [*rows, ["Resolution along the flow", f"{setup.resolution_dpi:.1f} dpi"]]


def flow_text(survey: Survey) -> str:
    """The direction of flow in words, as seen from the mount's side."""
    way = survey.line.flow.replace("_", " ")
    return f"{way}, seen from the mount's side"


def product_rows(dossier: Dossier) -> list[list[str]]:
    """One row per product: name, delay, scales, tilt, stand-off."""
    units = dossier.survey.units
    return [
        [
            setting.product,
            format_length(setting.delay_mm, units),
            format_length(setting.post_scale_mm, units),
            format_length(setting.arm_scale_mm, units),
            f"{plain(setting.tilt_deg, 1)}°",
            format_length(setting.standoff_mm, units),
        ]
        for setting in dossier.setup.products[:MOST_PRODUCTS]
    ]


def _setting_order(survey: Survey) -> str:
    """Which scale sets the stand-off: the arm's when nozzles face a side, the post's when they face down."""
    if (survey.products.face == "near_side").all():
        return "Set the height by the post scale, then the stand-off by the arm scale"
    if (survey.products.face == "top").all():
        return "Set the place across the line by the arm scale, then the stand-off by the post scale"
    return "Set post scale, arm scale and tilt; then measure the stand-off"


def _more_products(dossier: Dossier) -> str:
    hidden = dossier.setup.product_count - min(len(dossier.setup.products), MOST_PRODUCTS)
    if hidden <= 0:
        return ""
    return f"And {hidden} more products; manifest.json holds the settings of up to {MOST_SETTINGS}. "


def commissioning(dossier: Dossier) -> list[str]:
    """The order of commissioning, in short (common practice)."""
    units = dossier.survey.units
    ideal = format_length(dossier.survey.standoff.target, units)
    encoder = "Connect photo-eye and encoder." if dossier.survey.encoder else "Connect the photo-eye."
    speed = "divider" if dossier.setup.encoder_divider is not None else "fixed speed"
    return [
        standing(dossier.survey),
        "Have a reliable, earthed supply ready; bond the mount.",
        "Connect the first head to the controller's first head port.",
        f"{encoder} Route cables clear of product and drives, with slack for every adjustment.",
        "Disable the trigger and keep it disabled while anything is adjusted.",
        f"{_setting_order(dossier.survey)} ({ideal}).",
        "Measure the distance from the beam to the nozzle column along the flow; note it on this sheet.",
        f"Enter the settings: distance, direction of flow, {speed}, delay of the product.",
        "Seat the cartridge; prime a new head.",
        "Wipe the head's surround with a lint-free wipe; do not touch the nozzle plate.",
        "Stand clear, restore the line by the owner's procedure, enable the trigger, make a test print.",
        "Check height, stand-off and torque marks once more; nip up the adjustment screws.",
    ]
