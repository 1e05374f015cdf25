"""A second opinion on the space frame (`pytest -m campaign tests/test_campaign_solids.py`).

The same mounts as bonded solids, meshed by gmsh and solved by CalculiX. First the tool chain itself against
closed forms. Then, for mounts on many rails, the travel of the arm's end under 1 N along each axis and the
first natural frequency with 1 kg there: with the rail angle's screws held fast, and with the rail from tie to
tie. All figures go to `outputs/campaign-solids.md`.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from random_surveys import CATALOGUE, study_of
from solid_model import solver
from solid_model.bare_frame import frame_answer
from solid_model.geometry import Choice, Elastic, Hold, Prism, Solids, bar_prism, solids
from solid_model.mesh import mesh_of, mesher_is_there, volumes
from solid_model.solver import case_of, solve

from mountgen.layout import rules

pytestmark = [
    pytest.mark.campaign,
    pytest.mark.skipif(not solver.is_there(), reason="CalculiX is not installed: no ccx on the path"),
    pytest.mark.skipif(not mesher_is_there(), reason="gmsh is not installed: pip install mountgen[campaign]"),
]

STEEL = Elastic(210000.0, 80769.0, 7.85e-6)
TIP_KG = 1.0


def answer(model, folder, refined=1.0):
    """What a mount's solids do with a mass on the arm's end."""
    return solve(case_of(model, mesh_of(model, refined), TIP_KG), folder)


# The tool chain against closed forms.

CLAMPED = (Hold("arm", "y", (0.0,), ("x", "y", "z")),)
WIDTH, DEPTH, LENGTH = 20.0, 30.0, 450.0
PLAINS = {"true scale": {}, "drawn shorter": {"y": ((40.0, 430.0),)}}


def cantilever(plain):
    corners = ((-10.0, -15.0), (10.0, -15.0), (10.0, 15.0), (-10.0, 15.0))
    bar = Prism("arm", "y", corners, (), (0.0, LENGTH), STEEL, 8.0)
    return Solids((bar,), plain, CLAMPED, LENGTH)


def tip_mass_frequency(ei, kg_per_mm, kg):
    """Hz of a clamped bar with a mass on its end: the least root of
    1 + cos a cosh a + (mass / bar's mass) a (cos a sinh a - sin a cosh a) = 0 (Blevins, Formulas for Natural
    Frequency and Mode Shape, Table 8-8, from memory; the boundary conditions give the same)."""

    def rest(a):
        share = kg / (kg_per_mm * LENGTH)
        return (
            1
            + math.cos(a) * math.cosh(a)
            + share * a * (math.cos(a) * math.sinh(a) - math.sin(a) * math.cosh(a))
        )

    low, high = 1e-3, 1.875105
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if rest(middle) > 0 else (low, middle)
    return low**2 / (2 * math.pi * LENGTH**2) * math.sqrt(ei * 1000.0 / kg_per_mm)


@pytest.mark.parametrize("plain", PLAINS)
def test_a_cantilever_bends_and_swings_as_its_closed_forms(tmp_path, plain):
    """Within 2 %: Euler and Bernoulli, with a mass on the end."""
    got = answer(cantilever(PLAINS[plain]), tmp_path)
    area, weak, strong = WIDTH * DEPTH, DEPTH * WIDTH**3 / 12, WIDTH * DEPTH**3 / 12
    assert got.travel[0, 0] == pytest.approx(LENGTH**3 / (3 * STEEL.e_mpa * weak), rel=0.02)
    assert got.travel[1, 1] == pytest.approx(LENGTH / (STEEL.e_mpa * area), rel=0.02)
    assert got.travel[2, 2] == pytest.approx(LENGTH**3 / (3 * STEEL.e_mpa * strong), rel=0.02)
    per_mm = area * STEEL.kg_per_mm3
    for found, i in zip(got.frequencies_hz, (weak, strong), strict=False):
        assert found == pytest.approx(tip_mass_frequency(STEEL.e_mpa * i, per_mm, TIP_KG), rel=0.02)


def test_the_frequency_formula_without_and_with_a_heavy_mass():
    """1.8751^2 without a mass; 1 / (2 pi) sqrt(3 E I / m L^3) with one that outweighs the bar."""
    ei, per_mm = 2e9, 1e-4
    bare = 1.875104**2 / (2 * math.pi * LENGTH**2) * math.sqrt(ei * 1000 / per_mm)
    assert tip_mass_frequency(ei, per_mm, 0.0) == pytest.approx(bare, rel=1e-5)
    heavy = math.sqrt(3 * ei * 1000 / (1e3 * LENGTH**3)) / (2 * math.pi)
    assert tip_mass_frequency(ei, per_mm, 1e3) == pytest.approx(heavy, rel=1e-4)


# A bar of the drawn section, and the whole mount on a finer mesh.


@pytest.mark.parametrize("name", ["tslot-25", "tslot-40"])
def test_a_bar_of_the_drawn_section_bends_by_the_catalogue_s_second_moment(tmp_path, name):
    """Within 3 %: the drawing without its corner radius is a little heavier, shear a little softer."""
    section = CATALOGUE.extrusion(name)
    bar = bar_prism("arm", "y", (section, (0.0, 0.0)), (0.0, LENGTH), CATALOGUE)
    model = Solids(
        (bar,), {"y": ((15.0, LENGTH - 15.0),)}, (Hold("arm", "y", (0.0,), ("x", "y", "z")),), LENGTH
    )
    mesh = mesh_of(model)
    assert volumes(mesh).min() > 0
    assert volumes(mesh).sum() == pytest.approx(section.area_mm2 * LENGTH, rel=0.02)
    got = solve(case_of(model, mesh, TIP_KG), tmp_path)
    bends = LENGTH**3 / (3 * bar.metal.e_mpa * section.i_mm4)
    assert got.travel[0, 0] == pytest.approx(bends, rel=0.03)
    assert got.travel[2, 2] == pytest.approx(bends, rel=0.03)


def test_a_finer_mesh_changes_little(tmp_path):
    """By less than 3 %, the frequency by less than 2 %."""
    scene, survey = study_of(LAYOUTS[0]).scene, on_one_stretch(study_of(LAYOUTS[0]).scene.survey)
    model = solids(scene.layout, survey, CATALOGUE, Choice(rail=False))
    coarse, fine = (answer(model, made(tmp_path / name), scale) for name, scale in (("a", 1.0), ("b", 1.5)))
    assert coarse.travel.diagonal() == pytest.approx(fine.travel.diagonal(), rel=0.03)
    assert coarse.frequencies_hz[0] == pytest.approx(fine.frequencies_hz[0], rel=0.02)


# The frame against the solids.

LAYOUTS = (8, 1, 0, 18, 28, 13, 3, 10, 12, 2, 11, 16, 17, 21)
"""Seeds of random surveys: channels that open in and out, angles, a flat bar, tubes, a Z."""
AGREEMENT = 0.15
TABLE = Path(__file__).parent.parent / "outputs" / "campaign-solids.md"
COLUMNS = (
    "layout",
    "rail",
    "bars",
    "over the leg",
    "overhang",
    "tilt",
    "held at",
    "what",
    "solid",
    "frame",
    "off",
)


def on_one_stretch(survey):
    """A line whose rail is held as the solids can hold it: from tie to tie, without axles."""
    rail, line = (
        replace(survey.rail, supports_apart=rules.CROSS_TIES_APART),
        replace(survey.line, surface="belt"),
    )
    return replace(survey, rail=rail, line=line)


def made(folder):
    folder.mkdir()
    return folder


@pytest.fixture(scope="module")
def table():
    """Rows of figures, written as they come."""
    TABLE.parent.mkdir(exist_ok=True)
    rule = "|".join(" --- " for _ in COLUMNS)
    TABLE.write_text(f"| {' | '.join(COLUMNS)} |\n|{rule}|\n", encoding="utf-8")

    def add(*cells):
        with TABLE.open("a", encoding="utf-8") as file:
            file.write(f"| {' | '.join(str(cell) for cell in cells)} |\n")

    return add


def named(seed, scene):
    """What tells one layout from another."""
    layout, site = scene.layout, scene.survey.rail
    above = float(layout.settings.arm_z[0]) - layout.on_rail.pattern.leg_z[1]
    overhang = float(layout.settings.tip_y[0]) - layout.post_y
    rail = f"{site.profile.name}, {site.opens}"
    bars = f"{layout.post.name} / {layout.arm.name}"
    return seed, rail, bars, f"{above:.0f}", f"{overhang:.0f}", f"{layout.settings.tilt_deg[0]:.0f}"


@pytest.mark.parametrize("rail", [False, True], ids=["screws held", "rail held"])
@pytest.mark.parametrize("seed", LAYOUTS)
def test_the_frame_agrees_with_the_solids(tmp_path, table, seed, rail):
    """Within 15 %: travel under 1 N across the line and up, and the first natural frequency."""
    scene = study_of(seed).scene
    survey = on_one_stretch(scene.survey)
    solid = answer(solids(scene.layout, survey, CATALOGUE, Choice(rail=rail)), tmp_path)
    frame = frame_answer(survey, scene, CATALOGUE, TIP_KG, rail=rail)
    figures = {f"{axis}, mm/N": (solid.travel[k, k], frame.travel[k, k]) for k, axis in enumerate("xyz")}
    figures["first, Hz"] = (solid.frequencies_hz[0], frame.frequencies_hz[0])
    off = {what: ours / theirs - 1 for what, (theirs, ours) in figures.items()}
    for what, (theirs, ours) in figures.items():
        place = "rail's ends" if rail else "screws"
        table(*named(seed, scene), place, what, f"{theirs:.4g}", f"{ours:.4g}", f"{off[what]:+.1%}")
    del off["x, mm/N"]
    assert max(map(abs, off.values())) < AGREEMENT, off
