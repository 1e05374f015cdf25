"""A made-up shop and a job, for tests of times and tables."""

from __future__ import annotations

from mountgen.mechanics.bending import Din6935
from mountgen.shop.records import Cutting, CuttingSpeed, Rates, Saw, Shop, StockBar, StockSheet

DENSITIES = {"steel-s235": 7850.0, "stainless-1.4301": 7900.0, "aluminium-6060-t66": 2700.0}
"""kg/m3; EN 1991-1-1 and the materials' standards, as common practice rounds them."""

RATES = Rates(
    currency="EUR",
    cutting=(CuttingSpeed(6.0, 30.0, 1.5), CuttingSpeed(3.0, 60.0, 0.5), CuttingSpeed(12.0, 15.0, 3.0)),
    bend_s=25.0,
    saw_cut_s=40.0,
    drilled_hole_s=30.0,
    tapped_hole_s=45.0,
    setup_s=600.0,
    laser_per_hour=90.0,
    brake_per_hour=72.0,
    saw_per_hour=36.0,
    drill_per_hour=54.0,
    material_per_kg={"steel-s235": 2.0, "stainless-1.4301": 6.0, "aluminium-6060-t66": 7.0},
    source="made up for a test",
)
SHOP = Shop(
    name="test shop",
    sheets=(StockSheet("steel-s235", 3.0, 2000.0, 1000.0),),
    bars=(StockBar("tslot-40", 6000.0),),
    cutting=Cutting(8.0, 10.0),
    saw=Saw(4.0, 15.0),
    bend_rules={},
    usual_bend_rule=Din6935(),
    dies=(16.0, 24.0, 32.0),
    rates=RATES,
)
