"""What the papers say of the bar that carries the head: an arm on one post, or a bridge's beam on two."""

from __future__ import annotations

from dataclasses import dataclass

from mountgen.layout.bridge import spans
from mountgen.survey.records import Survey


@dataclass(frozen=True)
class MountWords:
    """Sentences that differ between a mast and a bridge."""

    arm: str
    drops: str
    pinch: str
    up_and_down: str
    across: str
    post_zero: str
    post_strip: str
    arm_zero: str
    arm_read: str
    stored: str
    scales: str


MAST = MountWords(
    arm="arm",
    drops="The arm may drop when the cross joint is loosened: see that the arm stop sits tight under it, and "
    "hold the arm.",
    pinch="Pinch points: between head and product, under the cross joint, along post and arm.",
    up_and_down="Going up: hold the arm, loosen the cross joint, raise it to the reading, tighten it, bring "
    "the arm stop up under it. Going down: first set the arm stop with its top at the new reading, then "
    "lower the joint onto it.",
    across="Set the arm scale, then the tilt stop. Tighten every screw that was loosened.",
    post_zero="the post's sawn lower end",
    post_strip="the strip goes on the post's face towards the operator.",
    arm_zero="the arm's sawn operator end (without its cap)",
    arm_read="at the cross plate's edge on the operator's side; the strip goes on the arm's upper face.",
    stored="Stored energy: let air, springs and raised loads come to rest; the arm drops when the post's "
    "joint is loosened above its stop.",
    scales="Post scale: underside of the cross joint above the post's lower end. Arm scale: the arm's "
    "operator end behind the middle of the joint.",
)
BRIDGE = MountWords(
    arm="beam",
    drops="The beam may drop where a cross joint is loosened: see that the arm stops sit tight under both "
    "before you loosen any.",
    pinch="Pinch points: between head and product, under both cross joints, along posts and beam.",
    up_and_down="Two people, or one side at a time: the arm stops hold the beam. Loosen both cross joints. "
    "Going up: raise one side by no more than 10 mm, bring its arm stop up under it, then the other side, "
    "and so on. Going down: lower one arm stop by no more than 10 mm and the beam onto it, then the other. "
    "Tighten both joints where both post scales show the reading.",
    across="Hold the head, loosen the ear's screws, slide it along the beam to the beam scale's reading, "
    "tighten them; then the tilt stop. The beam itself stays. Tighten every screw that was loosened.",
    post_zero="each post's sawn lower end",
    post_strip="one strip goes on each post's face away from the line, and both read the same.",
    arm_zero="the beam's sawn far end (without its cap)",
    arm_read="at the ear's far edge; the strip goes on the beam's upper face, at the side of the ear.",
    stored="Stored energy: let air, springs and raised loads come to rest; the beam drops where a post's "
    "joint is loosened above its stop.",
    scales="Post scale: underside of the cross joint above the post's lower end, the same on both posts. "
    "Beam scale: the ear's far edge before the beam's far end.",
)


def words_of(survey: Survey) -> MountWords:
    """The words for a survey whose family is settled."""
    return BRIDGE if spans(survey) else MAST
