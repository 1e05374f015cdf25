"""What `set-up.pdf` says: cautions, tools, steps of assembly, torques, numbers, commissioning, upkeep."""

from __future__ import annotations

from mountgen.detail.records import Joint
from mountgen.mechanics.preload import PreloadRange
from mountgen.package.cut_sheet import edition
from mountgen.package.mount_words import words_of
from mountgen.package.records import Dossier
from mountgen.package.setup_picture import distance_picture
from mountgen.package.setup_sheet_advice import aligning, commissioning, faults, maintenance, spares, wiring
from mountgen.package.setup_sheet_numbers import controller_numbers, limit_rows, product_rows, scales_text
from mountgen.package.setup_sheet_stand import stand_cautions
from mountgen.package.setup_sheet_steps import PROVEN, step_blocks
from mountgen.package.setup_sheet_tools import tools
from mountgen.package.setup_sheet_words import ids, source_letters, torque_text
from mountgen.structure.loosening import loosening_advice
from mountgen.survey.records import Survey

CAUTIONS = (
    "Lock the line out by the line owner's procedure before you drill, fit or reach in. Try to start it "
    "before you trust the lock.",
    "Pinch points: between head and product, between encoder wheel and belt, along every adjustment.",
    "Sharp edges: wear gloves until every cut edge is broken.",
    "Earthing: bond rail, mount, head and controller to protective earth before the supply is connected.",
    "This sheet defers to local codes, to the line owner's rules and to licensed practice: electrical work "
    "is for a licensed electrician.",
)
PICTURE = "picture"
"""The key under which the drawing stands among the texts."""
HOLDS_EXPLAINED = (
    "Preload: of one screw, by torque wrench, zinc plated and dry; oil raises it by half and overstrains the "
    "screw. Grip: least preload over what the joint needs under weight and a leaning hand, with 1.25 in hand."
)
NEWTON_PER_LBF = 4.4482


def set_up_data(dossier: Dossier) -> dict[str, object]:
    """Everything on the sheet as text, ready to be set."""
    survey, told = dossier.survey, words_of(dossier.survey)
    return {
        "title": f"Set-up: {survey.name}",
        "issued": edition(dossier),
        "verdict": dossier.verdict,
        "cautions": (*CAUTIONS[:1], told.stored, *CAUTIONS[1:], *stand_cautions(dossier)),
        "tools": tools(dossier),
        "blocks": step_blocks(dossier),
        "proven": PROVEN,
        "joints": joint_rows(dossier),
        "sources": [f"{letter}: {text}" for text, letter in source_letters(dossier.detail.joints).items()],
        "holds": holding_rows(dossier),
        "holds_explained": HOLDS_EXPLAINED,
        "wiring": wiring(dossier),
        "steps": commissioning(dossier),
        "numbers": controller_numbers(dossier),
        PICTURE: distance_picture(survey, dossier.setup),
        "picture_alt": "Distance from photo-eye to nozzles, and delay from leading edge to first column",
        "limits": limit_rows(dossier),
        "products": product_rows(dossier),
        "arm_scale": f"{told.arm.capitalize()} scale",
        "scales": scales_text(dossier),
        "aligning": aligning(dossier),
        "faults": faults(dossier),
        "maintenance": maintenance(dossier),
        "spares": spares(dossier),
        "assumptions": [[a.key, a.value, a.reason, a.effect] for a in dossier.effects],
    }


def joint_rows(dossier: Dossier) -> list[list[str]]:
    """Joints that are alike in one row: ids, title, fastener, key, torque, letter of its source."""
    letters = source_letters(dossier.detail.joints)
    alike: dict[tuple[str, ...], list[Joint]] = {}
    for joint in dossier.detail.joints:
        torque = torque_text(joint.torque_nm, dossier.survey) if joint.torque_nm > 0 else "–"
        source = letters.get(joint.torque_source, "–")
        row = (joint.title, joint.fastener, joint.key or "–", torque, source)
        alike.setdefault(row, []).append(joint)
    return [[ids(joints), *row] for row, joints in alike.items()]


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
