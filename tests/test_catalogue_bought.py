"""Bought parts against closed forms: where they sit in their frames, what they weigh, what is cut."""

import math

import pytest

from mountgen.catalogue import bought
from mountgen.catalogue.reader import Catalogue
from mountgen.errors import CatalogueError
from mountgen.geometry import Placement
from mountgen.shapes import primitive_box

CATALOGUE = Catalogue()
M6 = CATALOGUE.thread("M6")
STEEL = 7.85e-6


def test_socket_screw_lies_along_its_axis():
    screw = bought.socket_screw(M6, 16.0)
    assert screw.designation == "ISO 4762 - M6 x 16 - 8.8"
    assert screw.shape.box.low == pytest.approx((-5, -5, -6))
    assert screw.shape.box.high == pytest.approx((5, 5, 16))
    (socket,) = screw.shape.cut
    assert primitive_box(socket).low[2] == -6
    assert primitive_box(socket).high[2] == -3
    volume = math.pi / 4 * (10**2 * 6 + 6**2 * 16) - math.sqrt(3) / 2 * 5**2 * 3
    assert screw.mass_kg == pytest.approx(volume * STEEL)


@pytest.mark.parametrize(
    ("thread", "length", "text"),
    [
        ("1/4-20", 9.525, "ASME B18.3 - 1/4-20 x 3/8 in - ASTM A574"),
        ("1/4-20", 25.4, "ASME B18.3 - 1/4-20 x 1 in - ASTM A574"),
        ("5/16-18", 31.75, "ASME B18.3 - 5/16-18 x 1 1/4 in - ASTM A574"),
    ],
)
def test_inch_screws_are_ordered_in_fractions(thread, length, text):
    assert bought.socket_screw(CATALOGUE.thread(thread), length).designation == text


def test_washer_and_nut():
    washer, nut = bought.washer(M6), bought.hex_nut(M6)
    assert washer.designation == "ISO 7089 - 6 - 200 HV"
    assert (washer.shape.box.low[2], washer.shape.box.high[2]) == (0.0, 1.6)
    assert washer.mass_kg == pytest.approx(math.pi / 4 * (12**2 - 6.4**2) * 1.6 * STEEL)
    assert nut.designation == "ISO 4032 - M6 - 8"
    assert nut.shape.box.high == pytest.approx((10 / math.sqrt(3), 10 / math.sqrt(3), 5.2))
    assert nut.mass_kg == pytest.approx((math.sqrt(3) / 2 * 100 - math.pi * 9) * 5.2 * STEEL)


def test_press_nut_stands_on_the_sheet_with_its_shank_inside():
    nut = bought.press_nut(M6)
    assert nut.shape.box.low[2] == pytest.approx(-M6.press_nut_shank)
    assert nut.shape.box.high[2] == pytest.approx(M6.press_nut_height)
    (bore,) = nut.shape.cut
    assert primitive_box(bore).low[2] == pytest.approx(-M6.press_nut_shank)
    assert primitive_box(bore).high[2] == pytest.approx(M6.press_nut_height)


def test_t_nut_runs_along_x_and_into_the_bar():
    extrusion = CATALOGUE.extrusion("tslot-40")
    nut = bought.t_nut(extrusion, CATALOGUE)
    assert nut.shape.box.low == pytest.approx((-10.0, -8.5, 0.0))
    assert nut.shape.box.high == pytest.approx((10.0, 8.5, 6.5))
    # slot side 20 - 3.5 - (10 + sqrt 2) deep, then 45 deg
    cut_off = 6.5 - (6.5 - math.sqrt(2))
    volume = 20 * (17 * 6.5 - cut_off**2) - math.pi * 9 * 6.5
    assert nut.mass_kg == pytest.approx(volume * STEEL)


def test_pin_cap_and_spring():
    pin = bought.dowel_pin(5, 20)
    assert pin.designation == "ISO 8734 - 5 x 20 - A - St"
    assert pin.mass_kg == pytest.approx(math.pi / 4 * 25 * 20 * STEEL)
    cap = bought.end_cap(CATALOGUE.extrusion("tslot-40"))
    assert cap.shape.box.low == pytest.approx((-20, -20, 0))
    assert cap.mass_kg == pytest.approx((1600 - (4 - math.pi) * 4) * 3 * 1.13e-6)
    spring = bought.torsion_spring(1.5, 14.0, 6)
    assert spring.shape.box.high == pytest.approx((7.75, 7.75, 10.5))
    assert spring.mass_kg == pytest.approx(6 * math.pi * 14 * math.pi / 4 * 1.5**2 * STEEL)
    with pytest.raises(ValueError, match="wire"):
        bought.torsion_spring(3.0, 2.0, 6)


@pytest.mark.parametrize(("least", "most", "length"), [(10, 20, 10), (10.1, 20, 12), (16, 16, 16)])
def test_shortest_stock_screw(least, most, length):
    assert bought.screw_length(M6, least, most) == length


def test_no_stock_screw_says_which_there_are():
    with pytest.raises(CatalogueError) as caught:
        bought.screw_length(M6, 12.5, 15.5)
    (fault,) = caught.value.faults
    assert "12.5 to 15.5" in fault.found
    assert "16" in fault.expected


def world_of_head(tilt_deg):
    """The head's frame in the world: x along x, local z is u. Upright it is the world's own frame."""
    tilt = math.radians(tilt_deg)
    return Placement(z_axis=(0.0, math.sin(tilt), math.cos(tilt)))


def test_head_stands_upright_and_looks_down():
    head = CATALOGUE.head("head-50")
    shape = bought.head_shape(head, CATALOGUE).shape
    upright = shape.box.placed(world_of_head(0))
    assert upright.low == pytest.approx((-head.x_before, -head.depth, -head.u_below))
    assert upright.high == pytest.approx((head.x_after, 0.0, head.u_above))
    downward = shape.box.placed(world_of_head(90))
    assert downward.low == pytest.approx((-head.x_before, -head.u_below, 0.0), abs=1e-9)
    assert downward.high == pytest.approx((head.x_after, head.u_above, head.depth), abs=1e-9)


def test_head_taps_go_in_from_the_back_and_the_column_shows_on_the_face():
    head = CATALOGUE.head("head-25")
    column, *taps = bought.head_shape(head, CATALOGUE).shape.cut
    around = primitive_box(column)
    assert (around.low[2], around.high[2]) == pytest.approx((-12.7, 12.7))
    assert (around.low[1], around.high[1]) == pytest.approx((-0.2, 0.0))
    assert len(taps) == len(head.pattern)
    for tap, hole in zip(taps, head.pattern, strict=True):
        reach = primitive_box(tap)
        assert tap.diameter == 3.3
        assert (reach.low[1], reach.high[1]) == pytest.approx((-head.depth, hole.depth - head.depth))
        assert tap.frame.origin[0::2] == hole.at


def test_sensors_look_along_z():
    barrel = bought.sensor_shape(CATALOGUE.sensor("eye-m18-diffuse"), CATALOGUE).shape.box
    assert (barrel.low, barrel.high) == (pytest.approx((-9, -9, -65)), pytest.approx((9, 9, 0)))
    flat = bought.sensor_shape(CATALOGUE.sensor("eye-flat-diffuse"), CATALOGUE).shape
    assert flat.box.low == pytest.approx((-6, -16, -20))
    for hole in flat.cut:
        through = primitive_box(hole)
        assert (through.low[0], through.high[0]) == pytest.approx((-6, 6))
        assert (through.low[2] + through.high[2]) / 2 == pytest.approx(-10)


def test_barrel_nut_is_as_wide_as_the_record_says():
    sensor = CATALOGUE.sensor("eye-m18-diffuse")
    nut = bought.barrel_nut(sensor)
    assert nut.shape.box.high[0] == pytest.approx(sensor.nut_outer / 2)
    assert nut.designation == "Nut M18 x 1, 24 mm across flats"


def test_encoder_wheel_rolls_its_circumference():
    encoder = CATALOGUE.encoder("encoder-wheel-200")
    shape = bought.encoder_shape(encoder, CATALOGUE).shape
    (wheel,) = bought.measuring_wheel(encoder).shape.add
    assert math.pi * wheel.diameter == pytest.approx(200.0)
    around = primitive_box(wheel)
    assert (around.low[2] + around.high[2]) / 2 == pytest.approx(encoder.wheel_offset)
    assert around.low[2] > encoder.boss_height
    assert all(primitive_box(tap).high[2] <= 1e-9 for tap in shape.cut)
    for hole in encoder.pattern:
        assert encoder.boss_diameter / 2 + 3 < math.hypot(*hole.at) < encoder.body_diameter / 2 - 2


def test_controller_has_its_back_at_zero_and_its_screen_in_front():
    controller = CATALOGUE.controller("controller-panel")
    shape = bought.controller_shape(controller, CATALOGUE).shape
    assert shape.box.low == pytest.approx((-90, -70, 0))
    assert shape.box.high == pytest.approx((90, 70, 70))
    screen, *taps = shape.cut
    assert primitive_box(screen).low == pytest.approx((-78, -58, 69))
    assert all(primitive_box(tap).low[2] == 0 and tap.diameter == 4.2 for tap in taps)
