"""The space frame against another solver (PyNiteFEA): statics exactly, modes with its own conventions."""

import math
from dataclasses import replace

import numpy as np
import pytest
from Pynite import FEModel3D

from mountgen.mechanics.frame import Bar, Frame, LoadCase, Mass, Member, NodalLoad, Node, Support
from mountgen.mechanics.frame_solve import solve_modes, solve_static

BAR = Bar(700.0, 6e4, 1.5e5, 4e4, 70000.0, 27000.0, 2.7e-6)
PLACES = {
    "foot": (0.0, 0.0, 0.0),
    "knee": (0.0, 20.0, 180.0),
    "top": (10.0, 0.0, 400.0),
    "tip": (0.0, 300.0, 380.0),
    "eye": (-150.0, 60.0, 180.0),
    "brace": (200.0, 0.0, 0.0),
}
BARS = (("foot", "knee"), ("knee", "top"), ("top", "tip"), ("knee", "eye"), ("brace", "top"))
LOADS = (
    NodalLoad("tip", (10.0, -20.0, -60.0), (1000.0, -500.0, 300.0)),
    NodalLoad("eye", (0.0, 15.0, -5.0), (0.0, 200.0, 0.0)),
)


def ours(bar=BAR, masses=()):
    """Local y of the other solver's bars is square to the bar and upright unless the bar is."""
    nodes = tuple(Node(*place) for place in PLACES.items())
    members = tuple(Member(f"{a}-{b}", a, b, bar, up=up_of(a, b)) for a, b in BARS)
    supports = (Support("foot"), Support("brace", (math.inf,) * 3 + (0.0,) * 3))
    return Frame(nodes, members, supports, masses)


def up_of(a, b):
    """Our z is x cross y: with the other solver's y in the plane of the bar and its global Y."""
    x = np.subtract(PLACES[b], PLACES[a])
    return tuple(np.cross(x, (0.0, 1.0, 0.0)))


def theirs(bar=BAR):
    model = FEModel3D()
    for name, place in PLACES.items():
        model.add_node(name, *place)
    model.add_material("aluminium", bar.e_mpa, bar.g_mpa, 0.3, bar.kg_per_mm3)
    model.add_section("bar", bar.area, bar.iy, bar.iz, bar.j)
    for a, b in BARS:
        model.add_member(f"{a}-{b}", a, b, "aluminium", "bar")
    model.def_support("foot", *[True] * 6)
    model.def_support("brace", *[True] * 3)
    return model


def test_displacements_and_reactions():
    model = theirs()
    for load in LOADS:
        for name, value in zip(("FX", "FY", "FZ"), load.force, strict=True):
            model.add_node_load(load.node, name, value)
        for name, value in zip(("MX", "MY", "MZ"), load.couple, strict=True):
            model.add_node_load(load.node, name, value)
    model.analyze_linear()
    result = solve_static(ours(), LoadCase(LOADS))
    for name in PLACES:
        node = model.nodes[name]
        moved = [getattr(node, way)["Combo 1"] for way in ("DX", "DY", "DZ", "RX", "RY", "RZ")]
        assert result.at(name) == pytest.approx(moved, rel=1e-6, abs=1e-10)
    for row, name in enumerate(("foot", "brace")):
        ways = ("RxnFX", "RxnFY", "RxnFZ", "RxnMX", "RxnMY", "RxnMZ")
        pushed = [getattr(model.nodes[name], way)["Combo 1"] for way in ways]
        assert result.reactions[row] == pytest.approx(pushed, rel=1e-6, abs=1e-5)


BODIES = (("tip", 2.5), ("eye", 0.4), ("knee", 1.1))


def test_modes_with_bodies_at_the_nodes():
    """The other solver turns vertical loads into masses: N over mm/s2 are tonnes, as in our matrices."""
    light = replace(BAR, kg_per_mm3=0.0)
    model = theirs(light)
    for name, kg in BODIES:
        model.add_node_load(name, "FZ", -kg * 9.80665)
    model.analyze_modal(num_modes=5, mass_combo_name="Combo 1", mass_direction="Z", gravity=9806.65)
    modes = solve_modes(ours(light, tuple(Mass(name, kg) for name, kg in BODIES)), 5)
    assert modes.frequencies_hz == pytest.approx(np.sort(model.frequencies), rel=1e-3)


def test_modes_of_heavy_bars():
    """Our consistent mass, one element a bar, against eight pieces with lumped masses in the other solver."""
    model, parts = theirs(replace(BAR, kg_per_mm3=0.0)), 8
    for a, b in BARS:
        ends = np.array(PLACES[a]), np.array(PLACES[b])
        kg = BAR.kg_per_mm3 * BAR.area * np.linalg.norm(ends[1] - ends[0]) / parts
        for i in range(parts + 1):
            share = i / parts
            name = a if i == 0 else b if i == parts else f"{a}-{b}-{i}"
            if name not in PLACES:
                model.add_node(name, *((1 - share) * ends[0] + share * ends[1]))
            model.add_node_load(name, "FZ", -kg * 9.80665 * (0.5 if name in PLACES else 1.0))
    model.analyze_modal(num_modes=4, mass_combo_name="Combo 1", mass_direction="Z", gravity=9806.65)
    modes = solve_modes(ours(BAR), 4)
    assert modes.frequencies_hz == pytest.approx(np.sort(model.frequencies), rel=0.02)
