"""Flats, dies and stock as one shop has them; with a bend table of its own as well as by DIN 6935."""

import math
import re
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from drawing_samples import mount
from shapely import LineString, Polygon
from shops import SHOP

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.detail.records import ExtrusionPart
from mountgen.geometry import rectangle
from mountgen.mechanics.bending import bend_deduction, setback
from mountgen.sheet.flat import Die
from mountgen.sheet.tree import Flange, SheetPart
from mountgen.shop.brake_file import read_brake_table
from mountgen.shop.flats import bend_faults, flat_of
from mountgen.shop.stock import stock_faults

CARTONS = profiles_folder() / "surveys" / "seed-cartons.toml"
TABLE = Path(__file__).parent / "shop_files" / "own-brake.csv"
OWN = replace(SHOP, bend_rules=read_brake_table(TABLE, SHOP.dies))


def sheets():
    return mount("seed-cartons").detail.sheets


def plate(length, width, thickness=3.0, material="steel-s235"):
    return SheetPart("A1", "plate", thickness, material, Flange("plate", rectangle(0, 0, length, width)))


def bar(length, section="tslot-40"):
    return ExtrusionPart("B1", "post", Catalogue().extrusion(section), length, "aluminium-6060-t66")


def test_dies_of_the_shop():
    """Of 6, 8 ... 32, 40, 50 ... 100 the narrowest of at least eight thicknesses; 100 where none is."""
    dies = [SHOP.die("steel-s235", t, t).opening for t in (1.0, 2.0, 3.0, 3.01, 4.0, 6.0, 15.0)]
    assert dies == [8, 16, 24, 32, 32, 50, 100]


def test_the_die_of_the_bend_table_comes_first():
    assert OWN.die("steel-s235", 3.0, 3.0) == Die(24.0, True)
    assert OWN.die("steel-s235", 3.0, 4.0) == Die(24.0, False)


@pytest.mark.parametrize("shop", [SHOP, OWN], ids=["din", "table"])
def test_a_flat_cut_at_its_bends_gives_the_flanges_back(shop):
    """The outline without its bend zones falls into pieces of the flanges' areas and depths, whatever the
    rule; a zone is as wide as 2 setbacks less the deduction, by this test's own reading of the table."""
    for part in sheets():
        flat, flanges = flat_of(part, shop), [flange for flange, _ in part.placed_flanges()]
        rest = polygon(flat.outline)
        for line in flat.bend_lines:
            rest = rest.difference(zone(line, 2 * back(part, line) - deduction(part, line, shop)))
        pieces = list(getattr(rest, "geoms", [rest]))
        assert len(pieces) == len(flanges), part.number
        assert sorted(p.area for p in pieces) == pytest.approx(
            sorted(f.outline.area for f in flanges), rel=1e-5
        )


def polygon(outline):
    """With many chords in place of arcs."""
    points = []
    for one, other in zip(outline.vertices, (*outline.vertices[1:], outline.vertices[0]), strict=True):
        points.append((one.x, one.y))
        if one.bulge:
            centre, first, sweep = arc(one, other)
            radius = math.dist(centre, (one.x, one.y))
            angles = (first + sweep * k / 256 for k in range(1, 256))
            points += [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]
    return Polygon(points)


def arc(one, other):
    """DXF reference, LWPOLYLINE 42: bulge = tan(sweep / 4)."""
    centre, *_ = ezdxf.math.bulge_to_arc((one.x, one.y), (other.x, other.y), one.bulge)
    return centre, math.atan2(one.y - centre[1], one.x - centre[0]), 4 * math.atan(one.bulge)


def zone(line, width):
    return LineString([line.start, line.end]).buffer(width / 2, cap_style="flat")


def back(part, line):
    return setback(part.thickness, line.inside_radius, line.angle_deg)


def deduction(part, line, shop):
    if shop is SHOP:
        return bend_deduction(SHOP.usual_bend_rule, part.thickness, line.inside_radius, line.angle_deg)
    rows = {}
    for text in TABLE.read_text(encoding="utf-8").splitlines()[2:]:
        _, t, r, angle, value, _ = text.split(";")
        rows[float(t), float(r), float(angle)] = float(value.replace(",", "."))
    key = (part.thickness, line.inside_radius)
    if (*key, line.angle_deg) in rows:
        return rows[(*key, line.angle_deg)]
    low, high = rows[(*key, 90.0)], rows[(*key, 120.0)]
    allowances = [2 * setback(*key, a) - d for a, d in ((90.0, low), (120.0, high))]
    share = (line.angle_deg - 90.0) / 30.0
    return 2 * back(part, line) - (allowances[0] + share * (allowances[1] - allowances[0]))


def test_another_table_gives_other_flats_of_the_same_parts():
    longer = 0
    for part in sheets():
        din, own = flat_of(part, SHOP), flat_of(part, OWN)
        lost = sum(line.deduction for line in own.bend_lines) - sum(line.deduction for line in din.bend_lines)
        assert (lost > 0.1) == bool(din.bend_lines)
        assert own.outline.area < din.outline.area - 1.0 if din.bend_lines else own.outline == din.outline
        assert {line.die for line in own.bend_lines} <= {Die(24.0, True), Die(16.0, True), Die(40.0, True),
                                                         Die(32.0, True), Die(50.0, True)}  # fmt: skip
        longer += bool(din.bend_lines)
    assert longer >= 4


def without(*rows):
    """The shop whose table lacks some rows."""
    table = OWN.bend_rules["steel-s235"]
    kept = tuple(row for row in table.rows if (row.thickness, row.inside_radius) not in rows)
    return replace(OWN, bend_rules={"steel-s235": replace(table, rows=kept)})


def test_a_row_that_is_missing_is_told_with_every_bend_that_needs_it():
    [fault] = bend_faults(sheets(), without((3.0, 3.0)))
    assert fault.where == "bend table own-brake.csv"
    assert fault.found.startswith("no row for steel-s235, 3 mm thick, inside radius 3 mm, 90 deg (")
    bent = [part for part in sheets() if part.thickness == 3.0 and part.root.bends]
    assert all(f"{part.number} {part.name}, bend B1 to its " in fault.found for part in bent)
    assert fault.expected == "a row for every bend; the nearest is 3 mm thick, inside radius 6 mm, 90 deg"
    assert bend_faults(sheets(), OWN) == bend_faults(sheets(), SHOP) == ()


def test_a_bend_of_a_bent_flange_is_told_by_its_own_number():
    [fault] = bend_faults(sheets(), without((3.0, 6.0)))
    assert fault.found == (
        "no row for steel-s235, 3 mm thick, inside radius 6 mm, 105 deg"
        " (C30-R lead-in shoe, bend B2 to its lip)"
    )


def test_a_material_without_rows_names_those_that_have():
    table = OWN.bend_rules["steel-s235"]
    wrong = replace(
        OWN, bend_rules={"steel-235": table}, usual_bend_rule=replace(table, material="", rows=())
    )
    assert "its materials are steel-235" in bend_faults(sheets(), wrong)[0].expected


@pytest.mark.parametrize(
    ("part", "told"),
    [
        (plate(100, 50, 3.5), "no sheet of steel-s235, 3.5 mm; expected sheet of steel-s235, 3.5 mm; the "
         "nearest that is there is 3 mm; add 3.5 to the thicknesses"),
        (plate(100, 50, material="steel-s355"), "no sheet of steel-s355; expected a sheet of it; there are "
         "aluminium-5754-h22, stainless-1.4301, steel-s235; did you mean steel-s355 by 'steel-s235'?"),
        (plate(1240, 2481), "a flat of 2481.0 x 1240.0 mm; expected at most 2480 x 1230 mm, the largest "
         "sheet of steel-s235, 3 mm less its margins; stock a sheet of 2501.0 x 1260.0 mm or more"),
        (bar(5981), "a bar of 5981.0 mm; expected at most 5980 mm, the longest bar of tslot-40 less its "
         "trims; stock a bar of 6001.0 mm or more"),
    ],
)  # fmt: skip
def test_what_the_stock_does_not_hold(part, told):
    [fault] = stock_faults((part,), SHOP)
    assert str(fault).startswith(f"shop garden-works: {part.number} {part.name}: {told}")


def test_a_section_without_a_bar():
    bars = tuple(one for one in SHOP.bars if one.section != "tslot-40")
    [fault] = stock_faults((bar(300),), replace(SHOP, bars=bars))
    assert (fault.found, "tslot-50" in fault.expected) == ("no bar of tslot-40", True)


def test_what_just_fits_along_or_across():
    assert stock_faults((plate(1230, 2480), plate(2480, 1230), bar(5980)), SHOP) == ()


def shop_file(folder, old, new):
    text = (profiles_folder() / "shops" / "garden-works.toml").read_text(encoding="utf-8")
    assert old in text
    path = folder / "own.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def test_a_build_by_a_table_with_a_hole_writes_nothing(run, tmp_path):
    rows = TABLE.read_text(encoding="utf-8")
    (tmp_path / "bends.csv").write_text(rows.replace("steel-s235;3;3;90;6,3;24\n", ""), encoding="utf-8")
    shop = shop_file(tmp_path, 'bend_rule = "din6935"', 'brake_table = "bends.csv"')
    for command in (("check",), ("build", "--out", tmp_path / "out")):
        outcome = run(*command, CARTONS, "--shop", shop)
        assert (outcome.code, outcome.out) == (2, "")
        assert outcome.err.startswith(
            "bend table bends.csv: no row for steel-s235, 3 mm thick, inside radius 3 mm"
        )
        assert re.search(r"C30-R lead-in shoe, bend B1 to its leg", outcome.err)
        assert "the nearest is" in outcome.err
    assert not (tmp_path / "out").exists()


def test_a_build_from_a_stock_without_a_sheet_writes_nothing(run, tmp_path):
    shop = shop_file(tmp_path, "thicknesses = [1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12]", "thicknesses = [2]")
    outcome = run("build", CARTONS, "--shop", shop, "--out", tmp_path / "out")
    assert (outcome.code, outcome.out) == (2, "")
    assert "shop own: C20-R swing plate: no sheet of steel-s235, 3 mm" in outcome.err
    assert not (tmp_path / "out").exists()


def test_a_wide_die_asks_for_longer_flanges(run, tmp_path):
    """On a die of 40 mm the lip of 17 mm is short of 0.7 x 40 = 28 mm, though longer than 4 t."""
    shop = shop_file(tmp_path, "dies = [6, 8, 10, 12, 16, 20, 24, 32, 40, 50, 63, 80, 100]", "dies = [40]")
    outcome = run("check", CARTONS, "--shop", shop)
    assert outcome.code == 0
    assert re.search(r"TIGHT sheet_rules +17 / 28 mm +lead-in shoe, lip B2: flange length", outcome.out)
