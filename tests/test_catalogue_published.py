"""Threads and materials against the figures of the standards they name."""

import math

import pytest

from mountgen.catalogue.bought import socket_screw
from mountgen.catalogue.reader import Catalogue

INCH = 25.4
CATALOGUE = Catalogue()
METRIC = ("M4", "M5", "M6", "M8", "M10")

# ISO 4762:2004 Table 1: dk max (plain), dk max (knurled), k max, s.
HEADS = {
    "M4": (7.0, 7.22, 4.0, 3.0),
    "M5": (8.5, 8.72, 5.0, 4.0),
    "M6": (10.0, 10.22, 6.0, 5.0),
    "M8": (13.0, 13.27, 8.0, 6.0),
    "M10": (16.0, 16.27, 10.0, 8.0),
}
# ISO 273:1979: fine H12, medium H13, coarse H14.
CLEARANCES = {
    "M4": (4.3, 4.5, 4.8),
    "M5": (5.3, 5.5, 5.8),
    "M6": (6.4, 6.6, 7.0),
    "M8": (8.4, 9.0, 10.0),
    "M10": (10.5, 11.0, 12.0),
}
# ISO 7089:2000: d1, d2, h nominal (h from memory).
WASHERS = {
    "M4": (4.3, 9.0, 0.8),
    "M5": (5.3, 10.0, 1.0),
    "M6": (6.4, 12.0, 1.6),
    "M8": (8.4, 16.0, 1.6),
    "M10": (10.5, 20.0, 2.0),
}
# ISO 898-1: stress area mm2, proof load of class 8.8 in N (580 MPa).
STRENGTH = {
    "M4": (8.78, 5100),
    "M5": (14.2, 8230),
    "M6": (20.1, 11600),
    "M8": (36.6, 21200),
    "M10": (58.0, 33700),
}
# ISO 262 coarse pitch; ISO 2306 tap drill; ISO 4032 across flats and m max (nuts from memory).
PITCH_DRILL_NUT = {
    "M4": (0.7, 3.3, 7.0, 3.2),
    "M5": (0.8, 4.2, 8.0, 4.7),
    "M6": (1.0, 5.0, 10.0, 5.2),
    "M8": (1.25, 6.8, 13.0, 6.8),
    "M10": (1.5, 8.5, 16.0, 8.4),
}
# VDI 2230-1 Table A1, class 8.8, friction 0.12: assembly preload in kN and torque in Nm (M4 from memory).
TIGHTENING = {"M4": (4.4, 3.0), "M5": (7.2, 5.9), "M6": (10.2, 10.1), "M8": (18.6, 24.6), "M10": (29.6, 48.0)}


@pytest.mark.parametrize("name", METRIC)
def test_metric_rows(name):
    t = CATALOGUE.thread(name)
    assert (t.head_diameter, t.head_diameter_max, t.head_height, t.key) == HEADS[name]
    assert (t.clearance_close, t.clearance_medium, t.clearance_coarse) == CLEARANCES[name]
    assert (t.washer_inner, t.washer_outer, t.washer_thickness) == WASHERS[name]
    assert (t.pitch, t.tap_drill, t.nut_across_flats, t.nut_height) == PITCH_DRILL_NUT[name]
    assert t.stress_area_mm2 == STRENGTH[name][0]
    assert t.torque_nm == TIGHTENING[name][1]
    assert t.key_text == f"{t.key:g} mm"


@pytest.mark.parametrize("name", CATALOGUE.names("threads"))
def test_stress_area_from_the_basic_profile(name):
    """ISO 724 and ISO 898-1 clause 9: As = pi/4 ((d2 + d3) / 2)^2; ASME B1.1: pi/4 (d - 0.9743 P)^2."""
    t = CATALOGUE.thread(name)
    middle = t.diameter - ((0.649519 + 1.226869) / 2 if name in METRIC else 0.9743) * t.pitch
    assert t.stress_area_mm2 == pytest.approx(math.pi / 4 * middle**2, rel=5e-3)


@pytest.mark.parametrize("name", METRIC)
def test_proof_load(name):
    assert CATALOGUE.thread(name).stress_area_mm2 * 580 == pytest.approx(STRENGTH[name][1], rel=0.01)


# Outer diameter of the bearing face: dw min of ISO 4014 hexagon heads for the metric sizes.
BEARING = {"M4": 5.9, "M5": 6.9, "M6": 8.9, "M8": 11.6, "M10": 14.6}


@pytest.mark.parametrize("name", METRIC)
def test_torque_by_the_formula(name):
    """VDI 2230-1: preload at 90 % of Rp0.2 = 640 MPa, friction 0.12 in thread and head, hole ISO 273 medium.
    The table rounds the torque to two figures: 2 %."""
    t = CATALOGUE.thread(name)
    preload, torque = tightened(t, yield_mpa=640.0, bearing=BEARING[name])
    assert preload == pytest.approx(TIGHTENING[name][0] * 1e3, rel=0.01)
    assert torque == pytest.approx(t.torque_nm * 1e3, rel=0.02)


@pytest.mark.parametrize(("name", "face_in"), [("1/4-20", 0.428), ("5/16-18", 0.489)])
def test_inch_torque_by_the_formula(name, face_in):
    """The same with the yield of SAE J429 grade 5 (92 ksi) and the least bearing face of ASME B18.2.1 hexagon
    heads (from memory)."""
    t = CATALOGUE.thread(name)
    _, torque = tightened(t, yield_mpa=92 * 6.894757, bearing=face_in * INCH)
    assert torque == pytest.approx(t.torque_nm * 1e3, rel=0.02)


def tightened(t, yield_mpa, bearing, friction=0.12):
    """Assembly preload N and torque Nmm, VDI 2230-1 (R8)."""
    d2, d3 = t.diameter - 0.649519 * t.pitch, t.diameter - 1.226869 * t.pitch
    slope = 1.5 * d2 / ((d2 + d3) / 2) * (t.pitch / (math.pi * d2) + 1.155 * friction)
    preload = t.stress_area_mm2 * 0.9 * yield_mpa / math.sqrt(1 + 3 * slope**2)
    head = friction * (bearing + t.clearance_medium) / 4
    return preload, preload * (0.159 * t.pitch + 0.577 * friction * d2 + head)


# Shop drill chart, 75 % thread: tap drill, close and free fit in inches. ASME B18.3: head diameter, height
# and key (from memory).
@pytest.mark.parametrize(
    ("name", "per_inch", "drills", "head"),
    [
        ("1/4-20", 20, (0.201, 0.257, 0.266), (0.375, 0.250, 3 / 16)),
        ("5/16-18", 18, (0.257, 0.323, 0.332), (0.469, 0.3125, 1 / 4)),
    ],
)
def test_inch_rows(name, per_inch, drills, head):
    t = CATALOGUE.thread(name)
    sizes = (t.tap_drill, t.clearance_close, t.clearance_medium)
    assert t.pitch == pytest.approx(INCH / per_inch, abs=1e-3)
    assert sizes == pytest.approx([d * INCH for d in drills], abs=0.01)
    assert (t.head_diameter, t.head_height, t.key) == pytest.approx([d * INCH for d in head], abs=0.01)


def test_screw_mass():
    """M6 x 20 socket screw: 7.8 kg a thousand (DIN 912 mass tables, from memory), to 5 %."""
    assert socket_screw(CATALOGUE.thread("M6"), 20.0).mass_kg == pytest.approx(7.8e-3, rel=0.05)


# EN 10025-2 (S235JR to 16 mm), EN 755-2 (EN AW-6060 T66, 3 to 25 mm); EN 10088-2 and EN 485-2 from memory.
@pytest.mark.parametrize(
    ("name", "yield_mpa", "ultimate_mpa"),
    [
        ("steel-s235", 235, 360),
        ("stainless-1.4301", 230, 540),
        ("aluminium-6060-t66", 150, 195),
        ("aluminium-5754-h22", 130, 220),
    ],
)
def test_strengths(name, yield_mpa, ultimate_mpa):
    material = CATALOGUE.material(name)
    assert (material.yield_mpa, material.ultimate_mpa) == (yield_mpa, ultimate_mpa)


@pytest.mark.parametrize("name", CATALOGUE.names("materials"))
def test_elastic_constants_agree(name):
    """An isotropic metal has G = E / (2 (1 + nu)), nu 0.27 to 0.34: 210 and 81 GPa in EN 1993-1-1 3.2.6, 70
    and 27 GPa in EN 1999-1-1 3.2.5."""
    material = CATALOGUE.material(name)
    assert 0.27 <= material.e_mpa / material.g_mpa / 2 - 1 <= 0.34
