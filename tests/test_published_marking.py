"""Bar-code sizes and check digits against GS1's tables."""

import pytest

from mountgen.mechanics import marking


@pytest.mark.parametrize(
    ("percent", "x", "width", "quiet"),
    [
        (50.0, 0.51, 61.21, 5.08),
        (62.5, 0.64, 76.52, 6.35),
        (80.0, 0.81, 97.94, 8.13),
        (100.0, 1.02, 122.43, 10.16),
    ],
)
def test_itf_14(percent, x, width, quiet):
    """GS1 General Specifications, 5.3: X, bars without quiet zones, quiet zone; two decimals printed."""
    size = marking.itf14_size(percent / 100)
    assert size.x_dimension == pytest.approx(x, abs=0.006)
    assert size.bars_width == pytest.approx(width, abs=0.01)
    assert size.quiet_zone == pytest.approx(quiet, abs=0.01)
    assert size.whole_width == pytest.approx(width + 2 * quiet, abs=0.02)


def test_itf_14_bar_height():
    """GS1 General Specifications, symbol specification table 2: 31.75 mm (1.25 in)."""
    assert marking.itf14_size(1.0).bar_height == 31.75


def test_corrugated_board_needs_a_larger_x():
    """GS1 guidance: printed straight on corrugated board from 62.5 %, X >= 0.635 mm."""
    assert marking.itf14_size(marking.LEAST_MAGNIFICATION_ON_CORRUGATED).x_dimension == pytest.approx(0.635)


def test_place_on_the_carton():
    """GS1 General Specifications, 6.6 and 6.7: 32 mm above the base (+/- 3 from memory), 19 from the edge."""
    assert (marking.BARS_ABOVE_BASE, marking.BARS_ABOVE_BASE_LIMIT) == (32.0, 3.0)
    assert marking.LEAST_FROM_EDGE == 19.0


@pytest.mark.parametrize(
    ("digits", "check"),
    [
        ("0952876543210", 8),  # GS1, GTIN-14 09528765432108
        ("978030640615", 7),  # ISO 2108, ISBN 978-0-306-40615-7, from memory
        ("7351353", 7),  # GTIN-8 73513537, from memory
        ("03600029145", 2),  # GTIN-12 036000291452, from memory
    ],
)
def test_check_digit(digits, check):
    assert marking.gtin_check_digit(digits) == check
