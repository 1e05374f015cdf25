"""How stiff every candidate is by the quick estimates, whatever its family."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mountgen.demand import Floats
from mountgen.layout.bridge import spans
from mountgen.layout.candidates import Frame, Job, plan_of
from mountgen.layout.mast_model import mast, portal
from mountgen.layout.portal import Portal, Quick, portal_frequency, portal_picked, portal_quick
from mountgen.layout.stiffness import (
    Picker,
    Swinging,
    first_frequency,
    give,
    head_frequency,
    picked,
    sag,
)


@dataclass(frozen=True)
class Estimate:
    """What is quick to find, as arrays of (poses, posts, angles, frames), and what the rest is found from."""

    quick: Quick
    swinging: Swinging | Portal

    @property
    def first_frequency(self) -> Floats:
        """Hz."""
        return _frequency(self.swinging)

    def few_frequencies(self, few: Picker) -> Floats:
        """Hz of a few candidates, (poses, few)."""
        if isinstance(self.swinging, Portal):
            return _frequency(portal_picked(self.swinging, few))
        return _frequency(picked(self.swinging, few))


def estimate_of(job: Job, frames: Sequence[Frame]) -> Estimate:
    """The estimate of candidates by the family of their survey."""
    plan, hand = plan_of(job, frames), job.survey.joining.hand_force
    if spans(job.survey):
        bridge = portal(plan, job.survey.rail.far_rail_at)
        return Estimate(portal_quick(bridge, hand), bridge)
    made = mast(plan)
    quick = Quick(sag(made), give(made, hand), head_frequency(made.swinging))
    return Estimate(quick, made.swinging)


def _frequency(swinging: Swinging | Portal) -> Floats:
    return portal_frequency(swinging) if isinstance(swinging, Portal) else first_frequency(swinging)
