"""Files that a survey names: what is read about them, though they are not opened yet."""

from mountgen.survey.files import product_file, rail_file
from mountgen.survey.raw import RawProducts, RawRail
from mountgen.survey.records import ProductFile, RailFile

RAIL = {
    "top_above_surface": -6,
    "opens": "in",
    "far_rail_at": 520,
    "free_from": -600,
    "free_to": 610,
    "attach": ["bolted"],
}
EVERY_ROW = {
    "gap": 250,
    "code": {"face": "near_side", "size": [80, 12], "from_leading": 40, "above_base": 32},
}


def rail(**keys):
    return RawRail.model_validate(RAIL | keys, context={"units": "mm"})


def test_a_drawn_rail():
    drawn = rail(file="drawings/rail.dxf", units="in", loop=2, layer="SECTION")
    assert rail_file(drawn) == RailFile("drawings/rail.dxf", "in", 2, "SECTION")
    assert rail_file(rail(file="rail.dxf")) == RailFile("rail.dxf", None, None, None)
    assert rail_file(rail(profile="upn-100")) is None


def test_a_list_of_products():
    table = {"file": "p.csv", "mapping": {"length": "L [mm]"}, "delimiter": ";", "encoding": "Windows-1252"}
    table |= {"sheet": "Products", "units": "in"} | EVERY_ROW
    expected = ProductFile("p.csv", (("length", "L [mm]"),), ";", "cp1252", "Products", "in")
    assert product_file(RawProducts.model_validate(table, context={"units": "mm"})) == expected
    bare = product_file(RawProducts.model_validate({"file": "p.xlsx"} | EVERY_ROW, context={"units": "mm"}))
    assert bare == ProductFile("p.xlsx", (), None, None, None, None)
