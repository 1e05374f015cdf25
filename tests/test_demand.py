"""What each product asks of the nozzles, worked by hand, and the working view of a mirrored line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from random_surveys import CATALOGUE, mirrored_line, random_survey

from mountgen.demand import near_sides, require, working_view
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import Code, Guides, Measured, Product, StandOff, Survey

GUIDES = Guides(Measured(75.0, 0.5), Measured(480.0, 2.0), (40.0, 70.0), None, 25.0)
CARTON = Product(
    name="carton",
    length=Measured(280.0, 0.0),
    width=Measured(190.0, 0.0),
    height=Measured(110.0, 0.0),
    against="near",
    gap=250.0,
    code=Code("near_side", (80.0, 12.0), 40.0, above_base=32.0),
    bulge=0.0,
    skew_deg=0.0,
)


def site(*products: Product, guides: Guides | None = GUIDES) -> Survey:
    survey = random_survey(0)
    standoff = StandOff(3.2, (2.0, 4.5), (1.0, 6.0), 0.5)
    line = replace(survey.line, flow="left_to_right")
    head = CATALOGUE.head("head-50")
    return replace(
        survey, products=ProductTable.of(products), guides=guides, head=head, standoff=standoff, line=line
    )


def test_upright_the_column_stands_off_the_near_side_at_the_codes_middle() -> None:
    """Guide at 75, stand-off 3.2: y = 71.8. Code from 32 to 44: z = 38. Column 50.8: 19.4 either way."""
    demand = require(site(CARTON))
    assert (demand.tilt_deg[0], demand.column_y[0], demand.column_z[0]) == pytest.approx((0.0, 71.8, 38.0))
    assert demand.slide[0] == pytest.approx(19.4)
    assert (demand.near_y[0], demand.far_y[0]) == (75.0, 265.0)
    assert demand.code_low[0] == 32.0


def test_below_top_is_measured_down_to_the_codes_top() -> None:
    """Top at 110, 20 below it the code's top, 12 high: bottom at 78, middle at 84."""
    code = replace(CARTON.code, above_base=None, below_top=20.0)
    demand = require(site(replace(CARTON, code=code)))
    assert demand.column_z[0] == pytest.approx(84.0)


def test_downward_the_column_hangs_over_the_top() -> None:
    """Near side 75, code 60 to 72 from it: y = 141. Top 110 and 3.2: z = 113.2."""
    code = replace(CARTON.code, face="top", above_base=None, from_near=60.0)
    demand = require(site(replace(CARTON, code=code)))
    assert (demand.tilt_deg[0], demand.column_y[0], demand.column_z[0]) == pytest.approx((90.0, 141.0, 113.2))
    assert demand.code_low[0] == pytest.approx(135.0)


@pytest.mark.parametrize(("against", "expected"), [("near", 75.0), ("far", 290.0), ("centre", 182.5)])
def test_the_guide_that_positions_a_product_gives_its_near_side(against: str, expected: float) -> None:
    """Width 190 between 75 and 480: 480 - 190; (75 + 480 - 190) / 2."""
    product = replace(CARTON, against=against)
    assert near_sides(site(product)) == pytest.approx([expected])


def test_a_measured_near_side_goes_before_the_guides() -> None:
    product = replace(CARTON, near_side_at=Measured(99.0, 1.0))
    assert near_sides(site(product)).tolist() == [99.0]


def test_a_product_that_nothing_places_is_refused() -> None:
    with pytest.raises(ValueError, match="nothing places product 'carton'"):
        near_sides(site(CARTON, guides=None))


def test_a_row_a_product_in_the_surveys_order() -> None:
    tall = replace(CARTON, name="tall", height=Measured(300.0, 0.0))
    demand = require(site(CARTON, tall, CARTON))
    assert demand.names == ("carton", "tall", "carton")
    assert demand.height.tolist() == [110.0, 300.0, 110.0]


def test_a_line_to_the_right_is_its_own_working_view() -> None:
    survey = site(CARTON)
    assert working_view(survey) is survey


@pytest.mark.parametrize("seed", range(20))
def test_the_working_view_of_a_mirrored_line_is_the_line(seed: int) -> None:
    """But for the devices, whose features are mirrored: bought parts cannot be."""
    survey = random_survey(seed)
    if survey.line.flow == "right_to_left":
        survey = mirrored_line(survey)
    again = working_view(mirrored_line(survey))
    assert again.rail == survey.rail and again.guides == survey.guides
    assert again.line.first_roller_at == survey.line.first_roller_at
    one, other = require(survey), require(again)
    for name in ("column_y", "column_z", "slide", "near_y", "far_y", "tilt_deg", "code_low"):
        assert np.array_equal(getattr(one, name), getattr(other, name))
    head, real = again.head, survey.head
    assert (head.x_before, head.x_after) == (real.x_after, real.x_before)
    assert [hole.at for hole in head.pattern] == [(-hole.at[0], hole.at[1]) for hole in real.pattern]
    assert again.sensor == survey.sensor
