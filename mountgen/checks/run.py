"""All checks of a mount, in the order in which a person reads them."""

from __future__ import annotations

from mountgen.catalogue.reader import Catalogue
from mountgen.checks import (
    access,
    assembly,
    clamping,
    clearances,
    eyes,
    installation,
    joints,
    making,
    operator,
    rail_strength,
    reach,
    sensing,
    stand,
    standoff,
    stiffness,
    surroundings,
)
from mountgen.checks.records import Check
from mountgen.checks.scene import Scene


def check(scene: Scene, catalogue: Catalogue) -> tuple[Check, ...]:
    """Every check that applies to this mount; those that do not are left out."""
    return (
        *reach.checks(scene),
        *standoff.checks(scene),
        *clearances.checks(scene),
        *sensing.checks(scene),
        *eyes.checks(scene),
        *stiffness.checks(scene),
        *joints.checks(scene, catalogue),
        *rail_strength.checks(scene),
        *clamping.checks(scene),
        *stand.checks(scene),
        *installation.checks(scene),
        *making.checks(scene, catalogue),
        *access.checks(scene),
        *operator.checks(scene),
        *assembly.checks(scene),
        *surroundings.checks(scene),
    )
