"""Groups of screws for tests of joints: like ones in the x-z plane, heads to the operator."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Thread
from mountgen.structure.joint_strength import Group
from mountgen.structure.records import JointLoad

CATALOGUE = Catalogue()
ORIGIN = (0.0, 0.0, 0.0)


@cache
def thread(name: str = "M6", diameter: float | None = None) -> Thread:
    found = CATALOGUE.thread(name)
    return found if diameter is None else found.model_copy(update={"diameter": diameter})


def group(spots: list[tuple[float, float]], rim: float = 6.0, **changes: object) -> Group:
    """Screws at (x, z) around the origin, axes along y; the part that hangs is on the operator's side."""
    plain = Group(
        title="plate to wall",
        ids=tuple(f"K{k}" for k in range(len(spots))),
        thread=thread(),
        end="nut",
        seats=tuple((x, 0.0, z) for x, z in spots),
        axis=(0.0, 1.0, 0.0),
        apart=(0.0, -1.0, 0.0),
        plane=0.0,
        rim=(rim, rim),
        torque_nm=10.1,
        engaged=5.0,
        nut_mpa=800.0,
        plates=(),
    )
    return replace(plain, **changes)


def load(
    force: tuple[float, float, float] = ORIGIN, couple: tuple[float, float, float] = ORIGIN
) -> JointLoad:
    return JointLoad("plate to wall", (), ORIGIN, force, couple, "a test")
