"""The web's plate model against closed forms, bounds, other routes, and properties of any plate."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountgen.mechanics import plates
from mountgen.mechanics.beams import strip_rotation
from mountgen.mechanics.plate_formulas import (
    boss_rotation,
    circular_plate_deflection,
    hole_factor_in_bending,
    hole_factor_in_tension,
    patch_strip_rotation,
    plate_stiffness_d,
)
from mountgen.mechanics.plates import Patch, PatchLoad, Web, needed_patch, patch_response

WEB = Web(height=100.0, length=600.0, thickness=2.5, e_mpa=210000.0, poisson=0.3)
FOOT = Patch(width=60.0, height=50.0, centre=50.0)
D = plate_stiffness_d(2.5, 210000.0, 0.3)


def navier(pressure, shape):
    """Mean of a supported plate's deflection, weighted by `shape`, under a pressure of the same shape.

    Sides a, b; both are given by their double sine series' terms (m, n). Timoshenko, art. 28.
    """
    a, b, terms = 200.0, 100.0, 160
    m, n = np.meshgrid(np.arange(1, terms), np.arange(1, terms), indexing="ij")
    squares = (m / a) ** 2 + (n / b) ** 2
    return float(
        np.sum(4 / (a * b) * pressure(m / a, n / b) * shape(m / a, n / b) / (math.pi**4 * D * squares**2))
    )


SUPPORTED = Web(100.0, 200.0, 2.5, 210000.0, 0.3, "supported", "supported", "supported")


@pytest.mark.parametrize("centre", [50.0, 30.0, 20.0])
def test_small_spot_anywhere_gives_as_the_series_says(centre):
    def point(mx, ny):
        return np.sin(math.pi * mx * 100.0) * np.sin(math.pi * ny * centre)

    spot = patch_response(SUPPORTED, Patch(1.0, 1.0, centre)).flexibility[0, 0]
    assert spot == pytest.approx(navier(point, point), rel=0.015)


@pytest.mark.parametrize(("wide", "tall", "least"), [(4.0, 3.0, 0.95), (12.0, 9.0, 0.8), (40.0, 30.0, 0.4)])
def test_stiff_patch_gives_less_than_an_even_pressure(wide, tall, least):
    """A stiff patch under a force sinks less than the mean of an evenly pressed one: a bound for any size."""

    def even(mx, ny):
        mean = np.sinc(mx * wide / 2) * np.sinc(ny * tall / 2)
        return np.sin(math.pi * mx * 100.0) * np.sin(math.pi * ny * 50.0) * mean

    stiff = patch_response(SUPPORTED, Patch(wide, tall, 50.0)).flexibility[0, 0]
    assert least < stiff / navier(even, even) < 1.0


@pytest.mark.parametrize("tall", [20.0, 30.0, 40.0])
def test_stiff_patch_turns_less_than_under_a_pressure_that_grows_across(tall):
    """Under a couple, against the mean slope under a pressure in proportion to y: a bound again."""

    def linear(mx, ny):
        k = math.pi * ny
        half = k * tall / 2
        lever = 2 * (np.sin(half) - half * np.cos(half)) / k**2 * np.cos(k * 50.0) * 12 / tall**3
        return np.sin(math.pi * mx * 100.0) * np.sinc(mx * 20.0) * lever

    stiff = patch_response(SUPPORTED, Patch(40.0, tall, 50.0)).flexibility[1, 1]
    assert 0.3 < stiff / navier(linear, linear) < 1.0


@pytest.mark.parametrize("way", [1, 2])
def test_square_patch_lies_between_two_round_bosses(way):
    """A larger boss in a smaller round plate is stiffer, a smaller one in a larger plate softer."""
    side, size = 30.0, 150.0
    web = Web(size, size, 2.0, 210000.0, 0.3, "clamped", "clamped", "clamped")
    d = plate_stiffness_d(2.0, 210000.0, 0.3)
    turned = patch_response(web, Patch(side, side, size / 2)).flexibility[way, way]
    stiffer = boss_rotation(1.0, size / 2, side / math.sqrt(2), d, 0.3, "clamped")
    softer = boss_rotation(1.0, size / math.sqrt(2), side / 2, d, 0.3, "clamped")
    assert stiffer < turned < softer


@pytest.mark.parametrize(
    ("low", "high", "ends"),
    [
        ("clamped", "clamped", "fixed"),
        ("supported", "supported", "supported"),
        ("clamped", "free", "one_side_free"),
    ],
)
def test_patch_nearly_as_wide_as_a_web_with_free_ends_is_a_strip(low, high, ends):
    """Between strips as wide as the patch and as wide as the web; nu 0, so that nothing bends sideways."""
    web = Web(100.0, 66.0, 2.5, 210000.0, 0.0, low, high, "free")
    patch = Patch(60.0, 40.0, 50.0 if high != "free" else 79.0)
    span = 100.0 if high != "free" else patch.low + patch.height
    ei = plate_stiffness_d(2.5, 210000.0, 0.0)
    turned = patch_response(web, patch).flexibility[1, 1]
    assert patch_strip_rotation(1.0, span, 40.0, 66.0 * ei, ends) * 0.99 < turned
    assert turned < patch_strip_rotation(1.0, span, 40.0, 60.0 * ei, ends) * 1.001


def test_stress_beside_a_strips_block():
    """Fixed strips of l = 30 mm beside a block: F l / 4 under a force, 4 EI/l + 6 EI/l^2 b/2 by a tilt."""
    web = Web(100.0, 63.0, 2.5, 210000.0, 0.0, ends="free")
    patch = Patch(60.0, 40.0, 50.0)
    response = patch_response(web, patch)
    modulus = 60.0 * 2.5**2 / 6
    assert response.stress(PatchLoad(force=1000.0)) == pytest.approx(1000.0 * 30.0 / 4 / modulus, rel=0.06)
    ei = 60.0 * plate_stiffness_d(2.5, 210000.0, 0.0)
    turned = patch_strip_rotation(1e4, 100.0, 40.0, ei, "fixed")
    moment = turned * ei * (4 / 30.0 + 6 / 30.0**2 * 20.0)
    assert response.stress(PatchLoad(tilt_couple=1e4)) == pytest.approx(moment / modulus, rel=0.06)


def test_web_is_stiffer_than_its_strip():
    strip = patch_strip_rotation(1.0, 100.0, 50.0, 60.0 * D, "fixed")
    assert 0.5 * strip < patch_response(WEB, FOOT).flexibility[1, 1] < strip


def test_strip_without_a_block_is_the_plain_strip():
    for ends in ("fixed", "supported", "one_side_free"):
        plain = strip_rotation(7.0, 80.0, 1000.0, 50.0, ends)
        assert patch_strip_rotation(7.0, 80.0, 0.0, 5e4, ends) == pytest.approx(plain)


def test_half_the_thickness_is_eight_times_the_give():
    thick, thin = (patch_response(replace(WEB, thickness=t), FOOT).flexibility for t in (2.0, 1.0))
    assert thin == pytest.approx(8 * thick, rel=0.01)


def test_twice_the_size_is_twice_the_turn_of_a_quarter():
    """Same thickness, all lengths doubled: force give times 4, rotation by a couple the same."""
    large = patch_response(replace(WEB, height=200.0, length=1200.0), Patch(120.0, 100.0, 100.0)).flexibility
    small = patch_response(WEB, FOOT).flexibility
    assert large[0, 0] == pytest.approx(4 * small[0, 0], rel=0.01)
    assert large[1, 1] == pytest.approx(small[1, 1], rel=0.01)
    assert large[2, 2] == pytest.approx(small[2, 2], rel=0.01)


@settings(max_examples=10, deadline=None)
@given(st.floats(30.0, 70.0), st.sampled_from(["clamped", "supported"]))
def test_mirrored_web(centre, edge):
    """Turned upside down: tilt changes sign against travel, the rest stays."""
    patch = Patch(40.0, 30.0, centre)
    first = patch_response(replace(WEB, low=edge), patch)
    other = patch_response(replace(WEB, high=edge), replace(patch, centre=100.0 - centre))
    signs = np.array([1.0, -1.0, 1.0])
    assert other.flexibility == pytest.approx(first.flexibility * np.outer(signs, signs), rel=1e-6, abs=1e-15)
    load, mirrored = PatchLoad(10.0, 500.0, 70.0), PatchLoad(10.0, -500.0, 70.0)
    assert other.stress(mirrored) == pytest.approx(first.stress(load), rel=1e-6)


def test_couples_add_and_swing_has_no_sign():
    response = patch_response(WEB, FOOT)
    both = response.motion(PatchLoad(10.0, 20.0, 30.0))
    parts = [response.motion(PatchLoad(force=10.0)), response.motion(PatchLoad(0.0, 20.0, 30.0))]
    assert both == pytest.approx(sum(parts))
    assert response.stress(PatchLoad(5.0, 100.0, 40.0)) == pytest.approx(
        response.stress(PatchLoad(5.0, 100.0, -40.0))
    )
    assert response.stress(PatchLoad()) == 0.0


@pytest.mark.parametrize("load", [PatchLoad(force=100.0), PatchLoad(0.0, 1e4), PatchLoad(0.0, 0.0, 1e4)])
def test_finer_grid_gives_the_same(load, monkeypatch):
    """Cells of half the size at the patch: stress within 1 %, give too."""
    coarse = patch_response(WEB, FOOT)
    monkeypatch.setattr(plates, "FIRST_CELL", 0.5)
    fine = patch_response(WEB, FOOT)
    assert coarse.stress(load) == pytest.approx(fine.stress(load), rel=0.01)
    assert coarse.motion(load) == pytest.approx(fine.motion(load), rel=0.01, abs=1e-12)


def test_stress_along_the_outline_is_highest_off_the_middle():
    """A stiff rectangle bears hardest towards its corners."""
    tilted = np.abs(patch_response(WEB, FOOT).unit_stress[:, 1])
    assert tilted.max() > 1.02 * tilted[0]


def test_centred_patch_does_not_tilt_by_a_push():
    flexibility = patch_response(WEB, FOOT).flexibility
    assert abs(flexibility[0, 1]) < 1e-9 * math.sqrt(flexibility[0, 0] * flexibility[1, 1])
    assert np.all(np.linalg.eigvalsh(flexibility) > 0)


def test_long_web_does_not_feel_its_ends():
    near, far = (patch_response(replace(WEB, ends=ends), FOOT).flexibility for ends in ("clamped", "free"))
    assert near == pytest.approx(far, rel=0.005, abs=1e-12)


LOAD = PatchLoad(force=100.0, tilt_couple=60000.0, swing_couple=5000.0)


def test_backing_plate_is_as_small_as_the_stress_allows():
    plate = needed_patch(WEB, FOOT, LOAD, 100.0, rim=3.0)
    assert plate is not None
    grown = (plate.width - FOOT.width) / 2
    assert plate == FOOT.grown(grown)
    assert patch_response(WEB, plate).stress(LOAD) <= 100.0
    assert patch_response(WEB, FOOT.grown(grown - 0.15)).stress(LOAD) > 100.0


def test_backing_plate_not_needed_or_not_enough():
    assert needed_patch(WEB, FOOT, LOAD, 500.0, rim=3.0) == FOOT
    assert needed_patch(WEB, FOOT, LOAD, 5.0, rim=3.0) is None
    assert needed_patch(WEB, FOOT, LOAD, 100.0, rim=25.0) is None


def test_stress_falls_as_the_plate_grows():
    stresses = [patch_response(WEB, FOOT.grown(by)).stress(LOAD) for by in (0.0, 5.0, 10.0, 15.0, 20.0)]
    assert sorted(stresses, reverse=True) == stresses


@pytest.mark.parametrize(
    "make",
    [
        lambda: patch_response(WEB, replace(FOOT, centre=24.0)),
        lambda: patch_response(WEB, replace(FOOT, height=100.0)),
        lambda: patch_response(WEB, replace(FOOT, height=99.6)),
        lambda: patch_response(WEB, replace(FOOT, width=600.0)),
        lambda: Web(0.0, 600.0, 2.0, 210000.0, 0.3),
        lambda: Web(100.0, 600.0, 2.0, 210000.0, 0.6),
        lambda: Patch(0.0, 1.0, 1.0),
        lambda: needed_patch(WEB, FOOT, LOAD, 0.0, 3.0),
        lambda: plate_stiffness_d(0.0, 1.0, 0.3),
        lambda: patch_strip_rotation(1.0, 50.0, 50.0, 1.0, "fixed"),
        lambda: patch_strip_rotation(1.0, 50.0, 10.0, 1.0, "loose"),
        lambda: circular_plate_deflection(1.0, 0.0, 1.0, 0.3, "clamped"),
        lambda: boss_rotation(1.0, 10.0, 10.0, 1.0, 0.3, "clamped"),
        lambda: boss_rotation(1.0, 10.0, 5.0, 1.0, 0.3, "free"),
        lambda: circular_plate_deflection(1.0, 1.0, 1.0, 0.3, "free"),
        lambda: hole_factor_in_tension(10.0, 10.0),
        lambda: hole_factor_in_bending(0.0, 1.0),
    ],
)
def test_impossible_numbers_are_refused(make):
    with pytest.raises(ValueError, match=r"must"):
        make()
