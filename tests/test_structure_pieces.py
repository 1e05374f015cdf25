"""Sections and rigid bodies of the frame by hand: second moments, moduli, parallel axes."""

from __future__ import annotations

import numpy as np
import pytest
from random_surveys import CATALOGUE

from mountgen.geometry import Box
from mountgen.structure.bodies import Body, box_inertia, joined
from mountgen.structure.sections import Strip, extrusion_section, strip_section

STEEL = CATALOGUE.material("steel-s235")


def test_a_strip_of_60_by_3() -> None:
    """Strong 3 * 60^3 / 12 = 54000 mm4, weak 60 * 27 / 12 = 135 mm4 over 1 - 0.09; moduli 3 * 60^2 / 6 = 1800
    and 60 * 9 / 6 = 90 mm3; thin, so J is near 60 * 27 / 3 less 0.21 t^4 (Roark, Table 10.1)."""
    section = strip_section(Strip(60.0, 3.0, 20.0), STEEL)
    assert section.bar.area == pytest.approx(180.0)
    assert (section.bar.iy, section.bar.iz) == (pytest.approx(54_000.0), pytest.approx(135.0 / 0.91))
    assert (section.modulus_y, section.modulus_z) == (pytest.approx(1800.0), pytest.approx(90.0))
    assert section.bar.j == pytest.approx(60 * 27 / 3 - 0.21 * 81, rel=1e-3)
    assert section.warp == 0.0 and section.bar.kg_per_mm3 == 0.0


def test_fibres_that_bend_add_to_the_torsion_of_a_strip() -> None:
    plain, folded = (strip_section(Strip(60.0, 3.0, 20.0, twist=t), STEEL) for t in (0.0, 5e6))
    assert (folded.bar.j - plain.bar.j) * STEEL.g_mpa / 20.0 == pytest.approx(5e6)
    assert folded.warp > 0.0


def test_a_bar_is_as_its_catalogue_says() -> None:
    bar = CATALOGUE.extrusion("tslot-40")
    section = extrusion_section(bar, CATALOGUE.material(bar.material))
    assert (section.bar.area, section.bar.iy, section.bar.iz) == (bar.area_mm2, bar.i_mm4, bar.i_mm4)
    assert section.bar.j == bar.j_mm4
    assert section.modulus_y == pytest.approx(bar.i_mm4 / 20.0)


def test_inertia_of_a_box() -> None:
    """m (b^2 + c^2) / 12 about each axis: 12 kg, 10 by 20 by 30."""
    found = box_inertia(12.0, Box((0.0, 0.0, 0.0), (10.0, 20.0, 30.0)))
    assert np.diag(found) == pytest.approx([20**2 + 30**2, 10**2 + 30**2, 10**2 + 20**2])


def test_two_pieces_as_one_body() -> None:
    """Dumb-bell: 1 kg at x = 0, 3 kg at x = 40: centre at 30, I = 1 * 30^2 + 3 * 10^2 across."""
    own = np.diag([5.0, 6.0, 7.0])
    body = joined([(1.0, (0.0, 0.0, 0.0), np.zeros((3, 3))), (3.0, (40.0, 0.0, 0.0), own)])
    assert (body.kg, body.centre) == (4.0, pytest.approx((30.0, 0.0, 0.0)))
    assert np.diag(body.tensor) == pytest.approx([5.0, 1206.0, 1207.0])


def test_a_body_turns_with_the_tilt() -> None:
    """A quarter turn carries what was out of the nozzles (y) down (-z)."""
    body = Body(2.0, (7.0, 30.0, 0.0), np.diag([1.0, 2.0, 3.0]))
    turned = body.turned((7.0, 0.0, 0.0), 90.0, (0.0, 100.0, 200.0))
    assert turned.centre == pytest.approx((0.0, 100.0, 170.0))
    assert np.diag(turned.tensor) == pytest.approx([1.0, 3.0, 2.0])
