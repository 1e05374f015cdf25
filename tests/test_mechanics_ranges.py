"""Every formula refuses what is out of its range, and says which argument."""

import inspect
import math

import numpy as np
import pytest

from mountgen.mechanics import beams, bolts, marking, timing, tolerances

GOOD = {
    beams.cantilever_deflection: {"force": 1.0, "length": 1.0, "e_mpa": 1.0, "i_mm4": 1.0},
    beams.cantilever_slope: {"force": 1.0, "length": 1.0, "e_mpa": 1.0, "i_mm4": 1.0},
    beams.cantilever_deflection_by_couple: {"couple": 1.0, "length": 1.0, "e_mpa": 1.0, "i_mm4": 1.0},
    beams.cantilever_slope_by_couple: {"couple": 1.0, "length": 1.0, "e_mpa": 1.0, "i_mm4": 1.0},
    beams.l_frame_deflection: dict.fromkeys(("force", "arm", "post", "e_mpa", "post_i", "arm_i"), 1.0),
    beams.l_frame_sway: dict.fromkeys(("force", "arm", "post", "e_mpa", "post_i"), 1.0),
    beams.l_frame_rotation: dict.fromkeys(("force", "arm", "post", "e_mpa", "post_i", "arm_i"), 1.0),
    beams.l_frame_out_of_plane: dict.fromkeys(("force", "arm", "post", "arm_ei", "post_ei", "post_gj"), 1.0),
    beams.cantilever_frequency: dict.fromkeys(("length", "e_mpa", "i_mm4", "tip_kg", "own_kg"), 1.0),
    beams.frequency_from_deflection: {"deflection": 1.0},
    beams.strip_rotation: {"couple": 1.0, "span": 1.0, "e_mpa": 1.0, "i_mm4": 1.0, "ends": "fixed"},
    beams.torsion_constant_rectangle: {"width": 1.0, "thickness": 1.0},
    bolts.pitch_diameter: {"diameter": 6.0, "pitch": 1.0},
    bolts.minor_diameter: {"diameter": 6.0, "pitch": 1.0},
    bolts.stress_area: {"diameter": 6.0, "pitch": 1.0},
    bolts.proof_load: {"area": 1.0, "proof_mpa": 1.0},
    bolts.assembly_preload: {"diameter": 6.0, "pitch": 1.0, "yield_mpa": 640.0, "thread_friction": 0.1},
    bolts.bearing_mean_diameter: {"outer": 9.0, "hole": 6.6},
    bolts.tightening_torque: {
        "preload": 1.0,
        "diameter": 6.0,
        "pitch": 1.0,
        "thread_friction": 0.1,
        "head_friction": 0.1,
        "bearing_diameter": 8.0,
    },
    bolts.shear_resistance: {"area": 1.0, "bolt_ultimate_mpa": 800.0, "alpha_v": 0.6},
    bolts.tension_resistance: {"area": 1.0, "bolt_ultimate_mpa": 800.0},
    bolts.bearing_factor_along: {
        "hole": 6.6,
        "end": 12.0,
        "pitch": 20.0,
        "bolt_ultimate_mpa": 800.0,
        "plate_ultimate_mpa": 360.0,
    },
    bolts.bearing_factor_across: {"hole": 6.6, "edge": 12.0, "gauge": 20.0},
    bolts.bearing_resistance: {
        "k_1": 2.5,
        "alpha_b": 0.6,
        "plate_ultimate_mpa": 360.0,
        "diameter": 6.0,
        "thickness": 2.0,
    },
    bolts.least_distances: {"hole": 6.6},
    bolts.slip_resistance: {"preload": 1.0, "friction": 0.2, "surfaces": 1, "safety": 1.25},
    bolts.least_screw_length: {"grip": 8.0, "nut_height": 5.2, "pitch": 1.0},
    timing.counts_per_mm: {"pulses_per_turn": 500, "edges_per_pulse": 4, "circumference": 200.0},
    timing.counts_per_inch: {"per_mm": 5.0},
    timing.counts_per_column: {"per_mm": 50.0, "dpi": 200.0},
    timing.choose_divider: {"counts_per_mm": 50.0, "dpi": 200.0},
    timing.fitting_circumference: {
        "pulses_per_turn": 500,
        "edges_per_pulse": 4,
        "dpi": 200.0,
        "divider": 2,
    },
    timing.column_rate: {"speed": 500.0, "dpi": 200.0},
    timing.top_speed: {"max_column_rate_hz": 4000.0, "dpi": 200.0},
    timing.encoder_frequency: {"speed": 500.0, "circumference": 200.0, "pulses_per_turn": 500},
    timing.pending_triggers: {"distance": 400.0, "pitch": 80.0},
    timing.least_eye_distance: {"delay": 0.005, "speed": 500.0},
    timing.least_seen_length: {"speed": 500.0, "response": 0.001, "beam": 2.0},
    timing.start_window: {"per_mm": 100.0, "speed": 500.0, "response": 0.001},
    timing.fixed_speed_stretch: {"speed": 550.0, "set_speed": 500.0},
    timing.encoder_top_speed: {"max_frequency_hz": 200000.0, "circumference": 200.0, "pulses_per_turn": 500},
    timing.roller_pass_frequency: {"speed": 500.0, "pitch": 75.0},
    timing.slip_shift: {"distance": 400.0, "set_counts_per_mm": 5.0, "measured_counts_per_mm": 4.9},
    tolerances.linear_limit: {"nominal": 30.0},
    tolerances.angular_limit_deg: {"shorter_leg": 30.0},
    marking.itf14_size: {"magnification": 1.0},
    marking.whole_dots: {"least_x": 0.495, "dpi": 200.0},
}
"""Arguments that are in range; each number below must not become nan, negative or zero."""

MAY_BE_ZERO = {"force", "couple", "tip_kg", "own_kg", "response", "beam"}
MAY_BE_NEGATIVE = {"force", "couple"}

CASES = [
    (function, name)
    for function, arguments in GOOD.items()
    for name, value in arguments.items()
    if not isinstance(value, str)
]


@pytest.mark.parametrize("function", GOOD)
def test_arguments_in_range_are_taken(function):
    assert function(**GOOD[function]) is not None


@pytest.mark.parametrize(("function", "name"), CASES)
def test_out_of_range_is_refused(function, name):
    wrong = [math.nan, math.inf]
    wrong += [] if name in MAY_BE_NEGATIVE else [-1]
    wrong += [] if name in MAY_BE_ZERO else [0]
    for value in wrong:
        with pytest.raises(ValueError, match=r"\S"):
            function(**{**GOOD[function], name: value})


@pytest.mark.parametrize("name", ["length", "e_mpa", "i_mm4"])
def test_message_names_the_argument_and_the_value(name):
    with pytest.raises(ValueError, match=rf"^{name} must be above zero, found -3$"):
        beams.cantilever_slope(**{**GOOD[beams.cantilever_slope], name: -3.0})


def test_one_bad_candidate_of_many_is_refused():
    with pytest.raises(ValueError, match="length must be above zero, found 0 to 200"):
        beams.cantilever_deflection(1.0, np.array([200.0, 0.0, 100.0]), 7e4, 1e4)
    with pytest.raises(ValueError, match="force must be a finite number"):
        beams.cantilever_deflection(np.array([1.0, np.nan]), 100.0, 7e4, 1e4)


def test_a_bar_without_any_mass_has_no_frequency():
    with pytest.raises(ValueError, match="tip_kg_and_own_kg"):
        beams.cantilever_frequency(100.0, 7e4, 1e4, 0.0, 0.0)


@pytest.mark.parametrize("frequencies", [[], [5.0, 0.0], [-5.0], [math.nan]])
def test_dunkerley_needs_frequencies(frequencies):
    with pytest.raises(ValueError, match="frequencies"):
        beams.dunkerley_frequency(frequencies)


@pytest.mark.parametrize(
    ("stiffnesses", "distances"), [([], []), ([1.0], []), ([0.0], [1.0]), ([1.0], [0.0]), ([1.0], [math.inf])]
)
def test_tipping_stiffness_needs_supports_off_the_axis(stiffnesses, distances):
    with pytest.raises(ValueError, match=r"\S"):
        beams.tipping_stiffness(stiffnesses, distances)


def test_strip_ends_are_known():
    with pytest.raises(ValueError, match="fixed, supported, one_side_free"):
        beams.strip_rotation(1.0, 1.0, 1.0, 1.0, "welded")


@pytest.mark.parametrize("pitch", [3.0, 3.1])
def test_thread_is_coarser_than_its_diameter_allows(pitch):
    with pytest.raises(ValueError, match="diameter_less_two_pitches"):
        bolts.stress_area(6.0, pitch)


@pytest.mark.parametrize("friction", [0.51, 1.0])
def test_friction_above_one_half_is_refused(friction):
    with pytest.raises(ValueError, match="friction"):
        bolts.assembly_preload(6.0, 1.0, 640.0, friction)


@pytest.mark.parametrize("alpha_v", [0.49, 0.61])
def test_shear_factor_is_between_those_of_the_standard(alpha_v):
    with pytest.raises(ValueError, match="alpha_v must lie in"):
        bolts.shear_resistance(20.1, 800.0, alpha_v)


@pytest.mark.parametrize("arguments", [(2.6, 0.5), (2.5, 1.1)])
def test_bearing_factors_have_an_upper_end(arguments):
    with pytest.raises(ValueError, match="must lie in"):
        bolts.bearing_resistance(*arguments, 360.0, 6.0, 2.0)


def test_hole_too_near_the_edge_has_no_bearing_factor():
    with pytest.raises(ValueError, match="k_1"):
        bolts.bearing_factor_across(10.0, 6.0, None)
    with pytest.raises(ValueError, match="pitch"):
        bolts.bearing_factor_along(10.0, 20.0, 7.0, 800.0, 360.0)


def test_safety_and_surfaces_are_one_at_least():
    for surfaces, safety in ((0, 1.25), (1, 0.9)):
        with pytest.raises(ValueError, match="less_one"):
            bolts.slip_resistance(1000.0, 0.2, surfaces, safety)


def test_combined_use_range():
    for arguments in (
        (-1.0, 1.0, 0.0, 1.0),
        (0.0, 0.0, 0.0, 1.0),
        (0.0, 1.0, -1.0, 1.0),
        (0.0, 1.0, 0.0, 0.0),
    ):
        with pytest.raises(ValueError, match=r"\S"):
            bolts.combined_use(*arguments)


def test_bolts_at_one_place_are_no_group():
    force, at = np.array([0.0, 1.0]), np.array([1.0, 0.0])
    with pytest.raises(ValueError, match="radii"):
        bolts.bolt_group_forces(np.array([[1.0, 1.0], [1.0, 1.0]]), force, at)
    with pytest.raises(ValueError, match="shape"):
        bolts.bolt_group_forces(np.array([1.0, 2.0]), force, at)


@pytest.mark.parametrize(
    ("moment", "distances"), [(-1.0, [1.0]), (1.0, []), (1.0, [0.0]), (1.0, [1.0, -1.0])]
)
def test_tipping_tension_range(moment, distances):
    with pytest.raises(ValueError, match=r"\S"):
        bolts.largest_tipping_tension(moment, distances)


def test_encoder_has_one_two_or_four_edges():
    with pytest.raises(ValueError, match="edges_per_pulse must be 1, 2 or 4, found 3"):
        timing.counts_per_mm(500, 3, 200.0)


def test_travel_and_time_may_be_zero_but_not_negative():
    assert timing.travel_time(0.0, 500.0) == 0.0
    assert timing.trigger_position_error(500.0, 0.0) == 0.0
    for function, arguments in (
        (timing.travel_time, (-1.0, 500.0)),
        (timing.travel_time, (1.0, 0.0)),
        (timing.trigger_position_error, (500.0, -1.0)),
        (timing.trigger_position_error, (0.0, 1.0)),
        (timing.printed_length, (100.0, -1.0)),
        (timing.printed_length, (0.0, 0.0)),
        (timing.off_delay_window, (-1.0, 5.0)),
        (timing.off_delay_window, (1.0, math.nan)),
    ):
        with pytest.raises(ValueError, match=r"\S"):
            function(*arguments)


@pytest.mark.parametrize("nominal", [0.49, 4000.1])
def test_general_tolerance_ends_where_the_table_ends(nominal):
    with pytest.raises(ValueError, match="nominal must lie in"):
        tolerances.linear_limit(nominal)


def test_tolerances_need_contributions_with_limits():
    for function in (tolerances.worst_case, tolerances.root_sum_square):
        with pytest.raises(ValueError, match="at least one"):
            function([])
    with pytest.raises(ValueError, match="plus_minus must not be negative"):
        tolerances.Contribution("play", -0.1, "measured")
    with pytest.raises(ValueError, match="effect"):
        tolerances.Contribution("play", 0.1, "measured", math.nan)


@pytest.mark.parametrize(("length", "play"), [(-1.0, 1.0), (1.0, -1.0), (1.0, 90.0)])
def test_angular_offset_range(length, play):
    with pytest.raises(ValueError, match=r"\S"):
        tolerances.angular_offset(length, play)


@pytest.mark.parametrize("magnification", [0.49, 1.01])
def test_itf_14_range(magnification):
    with pytest.raises(ValueError, match="magnification must lie in"):
        marking.itf14_size(magnification)


@pytest.mark.parametrize("digits", ["", "123456", "12345678", "09528765432108", "095287654321x", "٠٩٥٢٨٧٦"])
def test_gtin_takes_digits_of_known_lengths_alone(digits):
    with pytest.raises(ValueError, match="7, 11, 12 or 13 digits"):
        marking.gtin_check_digit(digits)


def test_every_formula_of_numbers_is_covered_here():
    """A new formula must be added to the list above or be named here with its own test."""
    own_test = {
        "dunkerley_frequency",
        "tipping_stiffness",
        "combined_use",
        "bolt_group_forces",
        "largest_tipping_tension",
        "printed_length",
        "trigger_position_error",
        "travel_time",
        "off_delay_window",
        "worst_case",
        "root_sum_square",
        "tipping_tensions",
        "angular_offset",
        "gtin_check_digit",
    }
    for module in (beams, bolts, timing, tolerances, marking):
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not name.startswith("_"):
                assert function in GOOD or name in own_test, name
