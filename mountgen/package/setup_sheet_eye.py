"""What the set-up sheet says of a photo-eye that looks across the line: drilling, aiming, testing."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from mountgen.layout.eye_across import beam_window
from mountgen.layout.eye_records import far_half, near_half
from mountgen.package.records import Dossier
from mountgen.survey.records import Survey
from mountgen.units import format_length


def eye_steps(dossier: Dossier, step: str) -> Iterator[str]:
    """What is said at a step, by its title; nothing at other steps."""
    if step == "mount the near eye unit":
        yield _beam(dossier)
    elif step == "mount the far eye unit":
        yield from _far(dossier)


def far_drilling(dossier: Dossier, step: str) -> Iterator[str]:
    """Before the far unit goes on."""
    if step != "mount the far eye unit":
        return
    if any(hole.rail != "rail" for hole in dossier.detail.rail_holes):
        yield (
            "Drill the far rail by rail/drill-template-far.pdf, seen from behind the line. It was taken as "
            "the near rail's profile, mirrored, at the same height: measure it first."
        )
    else:
        yield "Put the T-nuts into the far rail's slot; it was taken as the near rail's profile: look first."


def _beam(dossier: Dossier) -> str:
    survey, units = dossier.survey, dossier.survey.units
    window = beam_window(survey, max(near_half(survey.sensor), far_half(survey.sensor)))
    height = next(i.placement.origin[2] for i in dossier.detail.instances if i.name == "photo-eye")
    low, high, at = (format_length(z, units) for z in (window.low, window.high, height))
    return (
        f"Beam {at} over the conveying surface (anywhere from {low} to {high} it meets every product and no "
        "guide), square to the line; screws finger tight in the upright slots, then the torque. Barrel in "
        "the middle of its slot: slide it to set the distance to the nozzles."
    )


def _far(dossier: Dossier) -> Iterator[str]:
    if dossier.survey.sensor.reflector is None:
        yield (
            "Receiver at the sender's height and x. Supply on: swing the receiver up, down and to both sides "
            "to where it loses the beam, and leave it in the middle (common practice)."
        )
    else:
        yield (
            "Supply on: cover the reflector with a card from above, below and both sides; the eye must "
            "let go at about the middle from every side, else shift the reflector in its slots or the barrel "
            "(common practice)."
        )
    test = _look_test(dossier.survey)
    yield f"Run the lowest product by hand through the beam: one signal, no flicker. {test}"


def _look_test(survey: Survey) -> str:
    return {
        "matt": "Then the darkest and the brightest one.",
        "shiny": "Then the shiniest one, turned by some degrees to either side.",
        "clear": "Then the clearest one, clean and empty: teach the eye on it (common practice).",
    }[survey.sees]


def turned_row(survey: Survey) -> Iterator[list[str]]:
    """How much too soon a turned product's far corner breaks a beam across the line: the print comes nearer
    to the leading edge by so much."""
    if not survey.sensor.looks_across:
        return
    products = survey.products
    early = float((products.width * np.sin(np.radians(products.skew_deg))).max())
    if math.isclose(early, 0.0, abs_tol=5e-3):
        return
    found = format_length(early, survey.units, 2)
    yield [
        "Place of the print, turned product",
        f"{found} early at the most",
        "its far corner breaks the beam before its printed side does",
    ]
