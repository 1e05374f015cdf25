"""First-order stiffness: change of sag between settings, a hand on the head, the first natural frequency."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from mountgen.checks.records import Check, Subject, at_least, at_most
from mountgen.checks.scene import Scene
from mountgen.layout import rules
from mountgen.layout.search import least_frequency, most_give, most_sag

BEAMS = "closed forms for cantilevers and L frames (Roark, Table 8.1; Castigliano)"
DUNKERLEY = "Dunkerley's lower bound; out of resonance by 1.4 (common practice)"


def checks(scene: Scene) -> Iterator[Check]:
    survey, layout = scene.survey, scene.layout
    change = float(np.ptp(layout.sag))
    subject = Subject("sag", "change of sag between settings, in the stand-off direction", "mm", BEAMS)
    yield at_most(subject, change, most_sag(survey), "take a stiffer post and arm: {} mm too soft")
    title = f"nozzles pushed by a hand of {rules.HAND_FORCE:g} N, inside the acceptable band"
    subject = Subject("handling", title, "mm", BEAMS)
    remedy = "take a stiffer post and arm, or a shorter overhang: {} mm too soft"
    yield at_most(subject, float(layout.give.max()), most_give(survey), remedy)
    subject = Subject("first_frequency", "first natural frequency against the line", "Hz", DUNKERLEY)
    remedy = "take a stiffer post and arm, or a lighter head: {} Hz too low"
    yield at_least(subject, layout.first_frequency_hz, least_frequency(survey), remedy)
