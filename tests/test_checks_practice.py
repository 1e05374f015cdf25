"""Facts of the trade and of standards, on the example surveys. Each is marked with where it comes from."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from random_surveys import CATALOGUE, feasible_studies
from shops import SHOP

from mountgen.catalogue.reader import profiles_folder
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey

EXAMPLES = ("seed-cartons", "compost-sacks", "seed-trays-inch")
EIGHTH_OF_AN_INCH = 3.175


@cache
def example(name: str) -> Study:
    return study(
        read_survey(Path(profiles_folder()) / "surveys" / f"{name}.toml", CATALOGUE), CATALOGUE, SHOP
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_eighth_of_an_inch_of_stand_off_lies_in_the_best_band(name: str) -> None:
    """Common practice: nozzles 1/8 in (3.175 mm) from the product."""
    low, high = example(name).survey.standoff.best
    assert low <= EIGHTH_OF_AN_INCH <= high


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_eye_is_some_two_and_a_quarter_inches_upstream(name: str) -> None:
    """Common practice: 2 1/4 in (57 mm) from beam to nozzles on a small mount."""
    assert 50.0 <= example(name).setup.sensor_to_nozzle_mm <= 70.0


@pytest.mark.xdist_group("random mounts")
def test_the_eye_is_upstream_whichever_way_the_line_runs() -> None:
    """Common practice. In the world x runs to the right whatever the flow."""
    seen = set()
    for made in (*(example(name) for name in EXAMPLES), *feasible_studies(60)):
        (eye,) = (i for i in made.detail.instances if i.name == "photo-eye")
        flow = made.survey.line.flow
        assert eye.placement.origin[0] < 0 if flow == "left_to_right" else eye.placement.origin[0] > 0
        assert abs(eye.placement.origin[0]) == pytest.approx(made.setup.sensor_to_nozzle_mm)
        seen.add(flow)
    assert len(seen) == 2


@pytest.mark.parametrize("name", EXAMPLES)
def test_m6_screws_take_a_5_mm_key(name: str) -> None:
    """ISO 4762:2004 Table 1: M6 has a 5 mm hexagon socket, M5 4 mm, M4 3 mm."""
    keys = {joint.thread: joint.key for joint in example(name).detail.joints if joint.thread}
    assert keys["M6"] == "5 mm"
    assert {"M5": "4 mm", "M4": "3 mm"}.items() <= keys.items()


@pytest.mark.parametrize("name", EXAMPLES)
def test_most_screws_that_an_installer_touches_share_one_key(name: str) -> None:
    """Common practice: the rail's and the tilt's screws take the same key."""
    joints = [joint for joint in example(name).detail.joints if joint.id[0] in "RVT" and joint.thread]
    assert {joint.thread for joint in joints} == {"M6"}


def test_gs1_place_of_a_code_on_the_cartons() -> None:
    """GS1 General Specifications, 6.7 (symbol placement on transport packages): lower edge of the bars 32 mm
    above the natural base, no part nearer than 19 mm to a vertical edge. From memory."""
    product = example("seed-cartons").survey.products[0]
    assert product.code.above_base == 32.0
    assert product.code.from_leading >= 19.0
    assert product.length - product.code.from_leading - product.code.size[0] >= 19.0


def test_gs1_height_is_within_the_heads_reach() -> None:
    """A code at 32 mm can be printed on the cartons' line: the lowest that the head reaches is below that."""
    (check,) = (c for c in example("seed-cartons").checks if c.id == "lowest_code")
    assert check.limit < 32.0 == check.value


def test_delays_are_eye_distance_and_the_codes_place_on_the_product() -> None:
    """Arithmetic: from trigger at the leading edge to the first column."""
    for name in EXAMPLES:
        made = example(name)
        for product, setting in zip(made.survey.products, made.setup.products, strict=True):
            expected = made.setup.sensor_to_nozzle_mm + product.code.from_leading
            assert setting.delay_mm == pytest.approx(expected)


def test_divider_of_the_examples_wheel() -> None:
    """Arithmetic: 21000 edges on 200 mm are 2667 to the inch; by 13 that is 205.15 columns an inch, 0.075 %
    from the head's 205."""
    setup = example("seed-cartons").setup
    assert setup.encoder_divider == 13
    assert setup.resolution_dpi == pytest.approx(21000 * 25.4 / 200 / 13)
    assert abs(setup.print_length_error_percent) == pytest.approx(0.075, abs=5e-4)
