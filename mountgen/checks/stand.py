"""Does a floor stand stay where it was set: tipping, knocks, sliding; its anchors where it is anchored."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mountgen.checks.records import Check, Subject, at_least, at_most
from mountgen.checks.scene import Scene
from mountgen.layout.stand import ANCHOR, LEAST_TILT, SAFETY
from mountgen.structure.stand_strength import FloorLoad

TIPPING = "statics, moments about the edge of the feet; 1.5 (common practice)"
KNOCKED = "statics; IEC 60950-1, 4.1 (from memory): 10 deg out of plumb"
SLIDING = "Coulomb, 0.2 on concrete (rule of this project); 1.5 (common practice)"
PULLED = "statics of a rigid base (pile group formula); anchor's load generic, invented"


def checks(scene: Scene) -> Iterator[Check]:
    """Nothing for a mount that does not stand on the floor."""
    stand = scene.layout.on_floor
    if stand is None:
        return
    if stand.base.anchored:
        yield from _anchors(scene)
    else:
        yield from _free(scene.floor_loads)


def _free(loads: tuple[FloorLoad, ...]) -> Iterator[Check]:
    """On its levelling feet, at the pose that stands worst."""
    worst = min(loads, key=lambda load: load.safety)
    title = f"stand against tipping, a hand of {worst.hand:g} N on the head from any side"
    ballast = max(load.ballast(SAFETY) for load in loads)
    told = (
        f"lay {math.ceil(ballast)} kg on the base" if math.isfinite(ballast) else f"make it {SAFETY:g} times"
    )
    remedy = f"{told}, or anchor it to the floor: {{}} times too little"
    yield at_least(Subject("tip_over", title, "times", TIPPING), worst.safety, SAFETY, remedy)
    subject = Subject("tip_over", "tilt at which the knocked stand falls by itself", "deg", KNOCKED)
    tilt = min(load.tilt_deg for load in loads)
    yield at_least(subject, tilt, LEAST_TILT, "anchor it to the floor: {} deg too little")
    sliding = min(load.sliding for load in loads)
    subject = Subject("stand_slides", f"stand against sliding under {worst.hand:g} N", "times", SLIDING)
    yield at_least(subject, sliding, SAFETY, "anchor it to the floor: {} times too little")


def _anchors(scene: Scene) -> Iterator[Check]:
    anchor, loads = scene.catalogue.anchor(ANCHOR), scene.floor_loads
    hand = loads[0].hand
    for way, value, limit in (
        ("pull", max(load.anchor_pull for load in loads), anchor.pull_n),
        ("shear", max(load.anchor_shear for load in loads), anchor.shear_n),
    ):
        title = f"{way} on the worst anchor, a hand of {hand:g} N on the head"
        yield at_most(
            Subject("anchor", title, "N", PULLED), value, limit, f"an anchor that bears {{}} N more in {way}"
        )
