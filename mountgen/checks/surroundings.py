"""What the line's surroundings allow: where it is washed down, nothing may hold water."""

from __future__ import annotations

from collections.abc import Iterator

from mountgen.checks.records import Check, Subject, at_most
from mountgen.checks.scene import Scene

HYGIENE = "common practice of washed-down lines: closed tube, no open slots (as in EN 1672-2, from memory)"
STAINLESS = "stainless-1.4301"
WALL = 2.0
"""mm of wall of the closed tube that a bar is compared with."""


def checks(scene: Scene) -> Iterator[Check]:
    if scene.survey.line.environment == "washdown":
        yield _open_slots(scene)


def _open_slots(scene: Scene) -> Check:
    """Bars of T-slot hold water in every slot. The remedy says what a closed tube in their place would be."""
    bars = scene.detail.extrusions
    title = f"bars with open slots on a line that is washed down ({', '.join(bar.name for bar in bars)})"
    stiffer, heavier = _closed_tube(scene)
    remedy = (
        "keep all {} bars out of reach of the wash-down, or have them made of closed "
        f"stainless tube of the same side and {WALL:g} mm of wall: {stiffer:.1f} times as stiff in bending, "
        f"{heavier:.1f} times as heavy, its sheet {_softer_sheet(scene):.0f} % softer than steel"
    )
    return at_most(Subject("washdown", title, "bars", HYGIENE), float(len(bars)), 0.0, remedy)


def _closed_tube(scene: Scene) -> tuple[float, float]:
    """Stiffness and weight of a square tube over those of the post's bar: E I and rho A."""
    post = scene.layout.post
    own, steel = scene.catalogue.material(post.material), scene.catalogue.material(STAINLESS)
    inner = post.size - 2 * WALL
    bending = steel.e_mpa * (post.size**4 - inner**4) / 12 / (own.e_mpa * post.i_mm4)
    weight = steel.density_kg_per_m3 * (post.size**2 - inner**2) / (own.density_kg_per_m3 * post.area_mm2)
    return bending, weight


def _softer_sheet(scene: Scene) -> float:
    """Per cent that stainless sheet gives way more than the mount's own."""
    own = scene.catalogue.material(scene.detail.sheets[0].material)
    return 100 * (own.e_mpa / scene.catalogue.material(STAINLESS).e_mpa - 1)
