"""Do the screws hold: slip, strength, threads, the worst group of each."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.records import Check, Subject, at_most, rounded_up
from mountgen.checks.scene import Scene
from mountgen.structure.joint_strength import MOST_FRICTION, JointMargins, torque_for

SLIP = "VDI 2230-1 (preload of a torque), Coulomb, 1.25 against slip (EN 1993-1-8, Table 2.1)"
STRENGTH = "EN 1993-1-8, Tables 3.4 and 6.2; VDI 2230-1 (tightening)"
THREADS = "ISO 965-1; FED-STD-H28/2B (length of engagement)"


def checks(scene: Scene, catalogue: Catalogue) -> Iterator[Check]:
    """Every group by how it holds; a mount whose rail has no flat to bolt to has no joint there to judge."""
    margins = scene.joint_margins
    screwed = [m for m in margins if not m.in_slot]
    if screwed:
        yield _slip("bolt_slip", screwed, catalogue)
    yield _slip("tnut_slip", [m for m in margins if m.in_slot], catalogue)
    yield _strength(margins)
    yield _threads(margins)


def _slip(id_: str, margins: Sequence[JointMargins], catalogue: Catalogue) -> Check:
    """Preload that friction asks for against the least that the torque gives."""
    worst = min(margins, key=lambda m: m.slip.margin)
    subject = Subject(id_, f"{worst.title}: preload that holds it, {worst.slip_load}", "N", SLIP)
    torque = torque_for(catalogue.thread(worst.thread), worst.slip.value)
    return at_most(subject, worst.slip.value, worst.slip.limit, _more_grip(worst, torque))


def _more_grip(worst: JointMargins, torque: float) -> str:
    needed = (
        math.ceil(worst.friction_needed * 100) / 100 if math.isfinite(worst.friction_needed) else math.inf
    )
    tighter = f"tightening to {rounded_up(torque)} N m"
    if needed <= MOST_FRICTION:
        return f"parts that rub with {needed:g} (serrated washers, a sanded face), or {tighter}"
    times = math.ceil(worst.slip.value / worst.slip.limit * 10) / 10
    return (
        f"screws farther apart or stronger by {times:g} times in joint {', '.join(worst.ids)}, or {tighter}"
    )


def _strength(margins: Sequence[JointMargins]) -> Check:
    """The use of what is used most, of all groups."""
    worst = min(margins, key=lambda m: m.weakest.margin)
    title = f"{worst.title}: {worst.weakest.name}, {worst.strength_load}"
    subject = Subject("bolt_strength", title, "of its strength", STRENGTH)
    use = worst.weakest.value
    return at_most(subject, use, 1.0, f"a joint that bears {rounded_up(use)} times as much")


def _threads(margins: Sequence[JointMargins]) -> Check:
    """The screw's greatest force against its threads."""
    worst = min(margins, key=lambda m: m.stripping.margin)
    subject = Subject("thread_engagement", f"{worst.title}: force on the engaged threads", "N", THREADS)
    times = math.ceil(worst.stripping.value / worst.stripping.limit * 10) / 10
    return at_most(
        subject, worst.stripping.value, worst.stripping.limit, f"{times:g} times the length of thread"
    )
