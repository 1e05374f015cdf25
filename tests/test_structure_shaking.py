"""What shakes the nozzle: which frequencies, what a measurement replaces, what makes it more.

Scaling and closed forms: a stiff mount follows its rail by r^2 / (1 - r^2) of the rail's travel.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from random_surveys import CATALOGUE, feasible_studies

from mountgen.mechanics.vibration import Spectrum
from mountgen.structure.records import Structure
from mountgen.structure.shaking import TRAVEL
from mountgen.structure.solve import analyse
from mountgen.study import Study
from mountgen.survey.records import Shaking, Survey


def rolled() -> Study:
    return next(made for made in feasible_studies(20) if made.survey.line.surface == "rollers")


def upright() -> Study:
    return next(made for made in feasible_studies(20) if made.scene.demand.tilt_deg[0] == 0.0)


def solved(made: Study, survey: Survey) -> Structure:
    scene = made.scene
    return analyse(survey, scene.demand, scene.layout, scene.detail, CATALOGUE)


def shaken(made: Study, **changes: object) -> Structure:
    survey = made.scene.survey
    return solved(made, replace(survey, shaking=Shaking(**changes)))


def on_line(made: Study, **changes: object) -> Structure:
    survey = made.scene.survey
    return solved(made, replace(survey, line=replace(survey.line, **changes)))


def test_rollers_chain_and_drive_each_with_two_multiples() -> None:
    made = rolled()
    survey = made.scene.survey
    found = on_line(made, chain_pitch=12.7, drive_rpm=300.0).shaking.lasting
    speed, pitch = survey.line.speed_mm_per_s, survey.line.roller_pitch
    first = {"rollers": speed / pitch, "chain links": speed / 12.7, "drive": 5.0}
    expected = {
        name if n == 1 else f"{name}, {n} times": n * f for name, f in first.items() for n in (1, 2, 3)
    }
    assert {shake.name: shake.frequency_hz for shake in found} == pytest.approx(expected)


def test_a_slow_drive_hardly_moves_a_stiff_mount() -> None:
    """Far below the first frequency a body on springs lags its base by at most about r^2 times the travel."""
    made = rolled()
    structure = on_line(made, surface="belt", drive_rpm=60.0)
    slow = next(shake for shake in structure.shaking.shakes if shake.name == "drive")
    ratio = 1.0 / structure.first_frequency_hz
    assert 0 < slow.standoff < 4 * ratio**2 * TRAVEL["drive"]


def test_separation_is_the_ratio_to_the_nearest_first_frequency() -> None:
    made = rolled()
    f = made.scene.structure.first_frequency_hz
    found = on_line(made, surface="belt", drive_rpm=60 * f / 1.2).shaking
    assert found.separation == pytest.approx(1.2, rel=0.02)
    assert (found.nearest, found.nearest_hz) == ("drive", pytest.approx(f / 1.2))
    over = on_line(made, surface="belt", drive_rpm=60 * f * 1.3).shaking.separation
    assert 1.0 <= over <= 1.3 * 1.001


def test_a_belt_shakes_nothing_steadily() -> None:
    found = on_line(rolled(), surface="belt", chain_pitch=None, drive_rpm=None).shaking
    assert math.isinf(found.separation) and found.lasting == () and found.dot_shift == 0.0


def test_what_was_measured_takes_the_place_of_what_is_taken_by_rule() -> None:
    made = rolled()
    found = shaken(made, rms_mm_per_s2=500.0).shaking
    assert [shake.name for shake in found.lasting] == ["measured shaking"]
    twice = shaken(made, rms_mm_per_s2=1000.0).shaking
    assert twice.dot_shift == pytest.approx(2 * found.dot_shift)


def test_an_rms_is_a_flat_spectrum() -> None:
    made = rolled()
    flat = (500.0 / 9806.65) ** 2 / 990.0
    spectrum = Spectrum(np.array([10.0, 1000.0]), np.array([flat, flat]))
    one, other = shaken(made, rms_mm_per_s2=500.0), shaken(made, spectrum=spectrum)
    assert one.shaking.dot_shift == pytest.approx(other.shaking.dot_shift)


def test_twice_the_damping_shakes_less() -> None:
    made = rolled()
    soft, hard = (shaken(made, rms_mm_per_s2=500.0, damping=zeta).shaking for zeta in (0.02, 0.04))
    assert hard.dot_shift == pytest.approx(soft.dot_shift / math.sqrt(2), rel=0.05)


def test_a_bump_goes_with_its_momentum_and_is_no_lasting_shake() -> None:
    made = upright()
    slow, fast = (shaken(made, impact_speed_mm_per_s=v).shaking for v in (50.0, 100.0))
    bumps = [next(shake for shake in found.shakes if shake.kind == "bump") for found in (slow, fast)]
    assert bumps[1].standoff == pytest.approx(2 * bumps[0].standoff)
    assert slow.dot_shift == fast.dot_shift
    assert all(shake.kind != "bump" for shake in slow.lasting)


def test_a_very_short_bump_is_its_momentum_alone() -> None:
    """Impulse: the answer to a push much shorter than every period that matters does not depend on how
    short it is."""
    made = upright()
    short, shorter = (
        next(s for s in shaken(made, contact_time_s=t).shaking.shakes if s.kind == "bump")
        for t in (2e-4, 1e-4)
    )
    assert short.standoff == pytest.approx(shorter.standoff, rel=0.05)


def test_only_upright_heads_are_bumped() -> None:
    down = next(made for made in feasible_studies(20) if made.scene.demand.tilt_deg[0] == 90.0)
    assert all(shake.kind != "bump" for shake in down.scene.structure.shaking.shakes)
