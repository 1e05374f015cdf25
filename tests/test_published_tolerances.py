"""Stacks of tolerances against published examples and the standard's tables."""

import pytest

from mountgen.mechanics import tolerances
from mountgen.mechanics.tolerances import Contribution


def chain(*limits: float) -> list[Contribution]:
    return [Contribution(f"link {i}", limit, "drawing") for i, limit in enumerate(limits)]


def test_housing_stack():
    """Published example, inches: 4.020 +/- .005 less 2.000 +/- .005, 1.500 +/- .003, 0.500 +/- .002.

    Gap 0.020, worst case 0.015, root sum of squares 0.00794.
    """
    links = chain(0.005, 0.005, 0.003, 0.002)
    assert tolerances.worst_case(links) == pytest.approx(0.015, abs=1e-5)
    assert tolerances.root_sum_square(links) == pytest.approx(0.00794, abs=1e-5)


def test_spacer_and_ring_in_a_bore():
    """Published example, mm: 40 +/- 0.10 less 25 +/- 0.05, 2 +/- 0.03, 10 +/- 0.05: 0.23 and 0.1261."""
    links = chain(0.10, 0.05, 0.03, 0.05)
    assert tolerances.worst_case(links) == pytest.approx(0.23, abs=5e-4)
    assert tolerances.root_sum_square(links) == pytest.approx(0.1261, abs=5e-4)


@pytest.mark.parametrize(
    ("nominal", "limit"),
    [
        (0.5, 0.1),
        (3.0, 0.1),
        (6.0, 0.1),
        (6.01, 0.2),
        (30.0, 0.2),
        (30.01, 0.3),
        (120.0, 0.3),
        (120.01, 0.5),
        (400.0, 0.5),
        (400.01, 0.8),
        (1000.0, 0.8),
        (1000.01, 1.2),
        (2000.0, 1.2),
        (2000.01, 2.0),
        (4000.0, 2.0),
    ],
)
def test_general_tolerance_of_lengths(nominal, limit):
    """ISO 2768-1:1989, Table 1, class m."""
    assert tolerances.linear_limit(nominal) == limit


@pytest.mark.parametrize(
    ("leg", "minutes"),
    [
        (10.0, 60),
        (10.1, 30),
        (50.0, 30),
        (50.1, 20),
        (120.0, 20),
        (120.1, 10),
        (400.0, 10),
        (400.1, 5),
        (3000.0, 5),
    ],
)
def test_general_tolerance_of_angles(leg, minutes):
    """ISO 2768-1:1989, Table 3, class m, from memory."""
    assert tolerances.angular_limit_deg(leg) * 60 == pytest.approx(minutes)


@pytest.mark.parametrize(("length", "play", "offset"), [(300.0, 0.1, 0.524), (60.0, 1.0, 1.047)])
def test_angular_play(length, play, offset):
    """Geometry, L tan(a)."""
    assert tolerances.angular_offset(length, play) == pytest.approx(offset, abs=1e-3)
