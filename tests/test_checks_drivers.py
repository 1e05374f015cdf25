"""Which products drive a design, and which fall outside."""

from dataclasses import replace
from pathlib import Path

from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.checks.drivers import MOST_OUTSIDE, product_report
from mountgen.study import study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Survey

CATALOGUE = Catalogue()
EXAMPLES = Path(__file__).parents[1] / "profiles/surveys"


def cartons() -> Survey:
    return read_survey(EXAMPLES / "seed-cartons.toml", CATALOGUE)


def test_the_extremes_of_the_cartons_by_hand() -> None:
    """S is the shortest (280), XL the tallest (320) and the one printed highest."""
    report = product_report(study(cartons(), CATALOGUE, SHOP).scene)
    drivers = {driver.role: (driver.product, driver.value) for driver in report.drivers}
    assert drivers["shortest"] == ("carton S", 280.0)
    assert drivers["tallest"] == ("carton XL", 320.0)
    assert drivers["highest setting"][0] == "carton XL"
    assert drivers["lowest setting"][0] in ("carton S", "carton M")
    assert drivers["smallest gap"] == ("carton S", 250.0)
    assert (report.count, report.outside_count, report.outside) == (4, 0, ())


def test_products_outside_are_named_with_every_reason() -> None:
    survey = cartons()
    first, *others = survey.products
    low = replace(first, name="low", code=replace(first.code, above_base=5.0))
    soft = replace(first, name="soft", bulge=4.0)
    made = study(replace(survey, products=ProductTable.of([first, low, soft, *others])), CATALOGUE, SHOP)
    report = product_report(made.scene)
    reasons = {outside.product: outside.reasons for outside in report.outside}
    assert set(reasons) == {"low", "soft"}
    assert "its code lies lower than the head can print" in reasons["low"]
    assert "its stand-off leaves the acceptable band" in reasons["soft"]


def test_of_very_many_outside_the_first_are_named_and_all_are_counted() -> None:
    survey = cartons()
    first = survey.products[0]
    many = [replace(first, name=f"soft {k}", bulge=4.0) for k in range(MOST_OUTSIDE + 30)]
    made = study(replace(survey, products=ProductTable.of([first, *many])), CATALOGUE, SHOP)
    report = product_report(made.scene)
    assert report.outside_count == MOST_OUTSIDE + 30
    assert [outside.product for outside in report.outside] == [p.name for p in many[:MOST_OUTSIDE]]


def test_a_flap_over_the_printed_top_comes_too_near() -> None:
    """A sack whose top rises 60 mm beside the code would meet head and shoe."""
    sacks = read_survey(EXAMPLES / "compost-sacks.toml", CATALOGUE)
    first, *others = sacks.products
    rising = replace(first, clearance_height=float(first.height) + 60.0)
    made = study(replace(sacks, products=ProductTable.of([rising, *others])), CATALOGUE, SHOP)
    assert made.verdict == "not feasible"
    assert [outside.product for outside in product_report(made.scene).outside] == [first.name]


def test_play_at_the_guide_widens_the_standoff() -> None:
    survey = cartons()
    assert survey.guides is not None
    before = {c.id: c.value for c in study(survey, CATALOGUE, SHOP).checks}
    loose = replace(survey, guides=replace(survey.guides, play=0.3))
    after = {c.id: c.value for c in study(loose, CATALOGUE, SHOP).checks}
    assert (
        after["standoff_worst"] - before["standoff_worst"] == 0.3
        or abs(after["standoff_worst"] - before["standoff_worst"] - 0.3) < 1e-9
    )
