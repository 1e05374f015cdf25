"""The shop file: what is read of it, and every fault with its line and column."""

import re

import pytest

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.errors import ShopError
from mountgen.mechanics.bending import Din6935, KFactor
from mountgen.shop.reader import USUAL_SHOP, read_shop
from mountgen.shop.records import Cutting, CuttingSpeed, Saw, StockBar, StockSheet

DEMO = profiles_folder() / USUAL_SHOP
SHOP = """\
bend_rule = "din6935"
dies = [24, "5/8 in", 8]
[[sheet]]
material = "steel-s235"
thicknesses = [2, 3]
length = "2 m"
width = 1000
quantity = 4
[[bar]]
sections = ["tslot-40"]
length = 3000
[cutting]
part_gap = 5
edge_margin = 10
[saw]
kerf = 3
trim = 8
[rates]
source = "invented"
currency = "EUR"
bend_s = 30
saw_cut_s = 40
drilled_hole_s = 25
tapped_hole_s = 45
setup_s = 900
laser_per_hour = 120
brake_per_hour = 80
saw_per_hour = 50
drill_per_hour = 50
[rates.material_per_kg]
steel-s235 = 1.3
[[rates.cutting]]
up_to_thickness = 4
speed_mm_per_s = 50
pierce_s = 0.5
[[rates.cutting]]
up_to_thickness = 2
speed_mm_per_s = 90
pierce_s = 0.3
"""


def read(folder, text):
    path = folder / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return read_shop(path)


def faults_of(folder, old, new):
    assert SHOP.count(old) == 1
    with pytest.raises(ShopError) as refused:
        read(folder, SHOP.replace(old, new))
    return [
        f"{re.sub('.*shop.toml', '', f.where)} {f.found}; {f.expected}; {f.action}"
        for f in refused.value.faults
    ]


def test_a_shop_in_millimetres(tmp_path):
    shop = read(tmp_path, SHOP)
    assert shop.name == "shop"
    assert shop.sheets == (
        StockSheet("steel-s235", 2.0, 2000.0, 1000.0, 4),
        StockSheet("steel-s235", 3.0, 2000.0, 1000.0, 4),
    )
    assert shop.bars == (StockBar("tslot-40", 3000.0, None),)
    assert shop.cutting == Cutting(5.0, 10.0)
    assert shop.saw == Saw(3.0, 8.0)
    assert shop.dies == (8.0, 15.875, 24.0)
    assert shop.rates.cutting == (CuttingSpeed(2.0, 90.0, 0.3), CuttingSpeed(4.0, 50.0, 0.5))
    assert shop.rates.material_per_kg == {"steel-s235": 1.3}
    assert (shop.rates.bend_s, shop.rates.drill_per_hour, shop.rates.source) == (30.0, 50.0, "invented")
    assert shop.bend_rule("steel-s235") == Din6935()


def test_a_k_factor_goes_for_every_material(tmp_path):
    shop = read(tmp_path, SHOP.replace('bend_rule = "din6935"', "k_factor = 0.42"))
    assert shop.bend_rule("steel-s235") == shop.bend_rule("stainless-1.4301") == KFactor(0.42)


def test_the_demo_shop_stocks_every_extrusion_and_knows_every_material():
    shop, catalogue = read_shop(DEMO), Catalogue()
    assert {bar.section for bar in shop.bars} == set(catalogue.names("extrusions"))
    assert set(shop.rates.material_per_kg) <= set(catalogue.names("materials"))
    assert {catalogue.extrusion(bar.section).material for bar in shop.bars} <= set(shop.rates.material_per_kg)
    assert "invented" in shop.rates.source


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('bend_rule = "din6935"', "", ":1:1 nothing says how flats are developed; one of bend_rule"),
        (
            'bend_rule = "din6935"',
            'bend_rule = "din6935"\nk_factor = 0.4',
            ":2:1 bend_rule and k_factor at the top of the file; one of",
        ),
        (
            'bend_rule = "din6935"',
            'bend_rul = "din6935"',
            ":1:1 unknown key 'bend_rul' at the top of the file;",
        ),
        ('"din6935"', '"din"', ":1:13 bend_rule is 'din'; 'din6935'; did you mean 'din6935'?"),
        ('bend_rule = "din6935"', "k_factor = 0.6", ":1:12 k_factor is 0.6; 0.01 to 0.5; check the number"),
        (
            "kerf = 3",
            "kerv = 3",
            ":16:1 unknown key 'kerv' in [saw]; one of kerf, trim; did you mean 'kerf'?",
        ),
        ("kerf = 3\n", "", ":15:2 no key 'kerf' in [saw]; width of a saw's cut; add it"),
        ("kerf = 3", "kerf = true", ":16:8 saw.kerf is True;"),
        ("kerf = 3", 'kerf = "3 kg"', ":16:8 saw.kerf is '3 kg', with the unit 'kg';"),
        ("kerf = 3", "kerf = nan", ":16:8 saw.kerf is nan, which is no size;"),
        ("quantity = 4", "quantity = 0", ":8:12 sheet[1].quantity is 0; greater than or equal to 1;"),
        ("quantity = 4", "quantity = true", ":8:12 sheet[1].quantity is true; a number;"),
        ("[2, 3]", "[]", ":5:15 sheet[1].thicknesses is []; at least one;"),
        (
            "[2, 3]",
            "[2, 2]",
            ":5:19 steel-s235 2 mm, 2000 x 1000 mm, stands here and in sheet[1].thicknesses[1];",
        ),
        ("[2, 3]", "[2, 5]", ":5:19 a sheet of 5 mm, and cutting speeds up to 4 mm; a speed for every sheet"),
        ('["tslot-40"]', '["tslot-40", "tslot-40"]', ":10:25 tslot-40, 3000 mm, stands here and in bar[1]"),
        ("edge_margin = 10", "edge_margin = 500", ":7:9 a sheet's width of 1000 mm, and margins of 1000 mm;"),
        ("[24, ", "[8, ", ":2:22 the die 8 mm stands here and in dies[1]; each of them once;"),
        (
            "steel-s235 = 1.3",
            "steel-s236 = 1.3",
            ":4:12 no price for steel-s235; one of steel-s236; did you mean",
        ),
        (
            "up_to_thickness = 2",
            "up_to_thickness = 4",
            ":37:19 a speed up to 4 mm stands here and in rates.cutting[1]",
        ),
        ("setup_s = 900", "setup_s = -1", ":25:11 rates.setup_s is -1; 0 to 86400; check the number"),
        ("setup_s = 900", "setup_s = 10000000000000000000", ":25:11 rates.setup_s is a number of 64 bits;"),
        ('source = "invented"', "source =", ":19:9 this is not TOML:"),
    ],
)
def test_every_fault_has_its_place(tmp_path, old, new, told):
    assert faults_of(tmp_path, old, new)[0].startswith(told)


def test_a_bar_that_the_trims_use_up(tmp_path):
    text = SHOP.replace("length = 3000", "length = 900").replace("trim = 8", "trim = 450")
    with pytest.raises(ShopError, match="11:10: a bar of 900 mm, of which 900 mm are cut off"):
        read(tmp_path, text)


def test_all_faults_are_told_at_once_in_the_order_of_the_file(tmp_path):
    text = SHOP.replace("kerf = 3", "kerv = 3").replace("dies = [24,", "dies = [-1,").replace("EUR", "")
    with pytest.raises(ShopError) as refused:
        read(tmp_path, text)
    assert [int(fault.where.split(":")[1]) for fault in refused.value.faults] == [2, 16, 20]


def test_no_file(tmp_path):
    with pytest.raises(ShopError, match="there is no such file; expected a shop file"):
        read_shop(tmp_path / "none.toml")
