"""A mount's stock plan and its files: the DXF read by GDAL, the page read as text, the manifest's entry."""

import re
from collections import Counter
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pyogrio
import pypdf
import pytest
import shapely
from random_surveys import feasible_studies

from mountgen.errors import SheetError
from mountgen.fabrication.nest_plan import stock_plan
from mountgen.fabrication.nest_stock import StockPlan, sheet_files
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.nest_dxf import nest_drawing, write_nests
from mountgen.package.nest_entry import nest_entry
from mountgen.package.nest_page import write_nest_page
from mountgen.package.nest_picture import bar_picture, sheet_picture
from mountgen.shop.flats import flat_of
from mountgen.shop.reader import read_shop
from mountgen.shop.records import Cutting, StockBar

SHOP = read_shop(Path(__file__).parent.parent / "profiles/shops/garden-works.toml")
STUDY = replace(feasible_studies(1)[0], scene=replace(feasible_studies(1)[0].scene, shop=SHOP))
ARC_STEP = "0.5"
"""deg; GDAL draws arcs as chords of this."""


@pytest.fixture(scope="module")
def mount():
    return feasible_studies(1)[0].detail


@pytest.fixture(scope="module")
def flats(mount):
    return {part.number: flat_of(part, SHOP) for part in mount.sheets}


@pytest.fixture(scope="module")
def plan(mount, flats):
    return stock_plan(mount, flats, SHOP)


@pytest.fixture(scope="module")
def folder(plan, flats, tmp_path_factory):
    place = tmp_path_factory.mktemp("package") / "nest"
    write_nests(place, plan, flats, Flavour())
    return place


def shapes(path):
    """(layer, geometry) of every entity, as GDAL reads them."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": ARC_STEP})
    meta, _, geometry, fields = pyogrio.raw.read(path)
    layers = fields[list(meta["fields"]).index("Layer")]
    return list(zip(layers, shapely.from_wkb(geometry), strict=True))


def polygons(path, layer):
    return [shapely.Polygon(shapely.get_coordinates(shape)) for name, shape in shapes(path) if name == layer]


def test_every_made_part_is_in_the_plan_once_for_each_copy(mount, plan):
    cut = Counter(placed.number for _, sheet in sheet_files(plan) for placed in sheet.placed)
    sawn = Counter(piece.number for bars in plan.bars for bar in bars.bars for piece in bar.pieces)
    assert cut == {part.number: mount.quantity(part.number) for part in mount.sheets}
    assert sawn == {part.number: mount.quantity(part.number) for part in mount.extrusions}
    assert plan.lacks == ()
    assert all(bars.proven_minimal for bars in plan.bars)


def test_a_part_that_is_needed_twice_is_cut_twice(mount, flats):
    made = {mount.sheets[0].number, mount.extrusions[0].number}
    more = tuple(instance for instance in mount.instances if instance.part in made)
    doubled = stock_plan(replace(mount, instances=(*mount.instances, *more)), flats, SHOP)
    numbers = [placed.number for _, sheet in sheet_files(doubled) for placed in sheet.placed]
    numbers += [piece.number for bars in doubled.bars for bar in bars.bars for piece in bar.pieces]
    assert {number for number in numbers if numbers.count(number) == 2} == made


def test_parts_lie_on_their_own_stock(mount, plan):
    kind = {part.number: (part.material, part.thickness) for part in mount.sheets}
    section = {part.number: part.section.name for part in mount.extrusions}
    for _, sheet in sheet_files(plan):
        assert {kind[placed.number] for placed in sheet.placed} == {
            (sheet.stock.material, sheet.stock.thickness)
        }
    for bars in plan.bars:
        assert {section[p.number] for bar in bars.bars for p in bar.pieces} == {bars.section}


def test_the_file_as_gdal_reads_it(plan, flats, folder):
    """Outlines with their areas, inside the border, a gap apart; as many holes; arcs by chords of 0.5 deg
    lose less than 2e-5 of a circle."""
    for name, sheet in sheet_files(plan):
        path = folder / name
        (border,) = polygons(path, "SHEET")
        assert border.bounds == (0, 0, sheet.stock.length, sheet.stock.width)
        outer = polygons(path, "CUT_OUTER")
        wanted = sorted(flats[placed.number].outline.area for placed in sheet.placed)
        assert sorted(shape.area for shape in outer) == pytest.approx(wanted, rel=2e-5)
        for i, shape in enumerate(outer):
            assert border.buffer(1e-3 - SHOP.cutting.edge_margin).covers(shape)
            assert all(shape.distance(other) > SHOP.cutting.part_gap - 1e-3 for other in outer[:i])
        inner = polygons(path, "CUT_INNER")
        holes = [hole.hole.contour.area for p in sheet.placed for hole in flats[p.number].holes]
        assert sorted(shape.area for shape in inner) == pytest.approx(sorted(holes), rel=2e-4)
        assert all(any(part.covers(hole) for part in outer) for hole in inner)
        marks = [shape for layer, shape in shapes(path) if layer == "MARK"]
        assert all(any(part.contains(mark) for part in outer) for mark in marks)
        assert not any(mark.intersects(hole) for mark in marks for hole in inner)


def test_layers_are_those_of_the_flats_and_the_border(plan, folder):
    for name, _ in sheet_files(plan):
        assert {layer for layer, _ in shapes(folder / name)} == {"SHEET", "CUT_OUTER", "CUT_INNER", "MARK"}


def test_handed_parts_are_turned_and_not_mirrored(plan, flats, folder):
    """Corner by corner: GDAL's outline, moved back by hand, is the flat's own."""
    for name, sheet in sheet_files(plan):
        outer = polygons(folder / name, "CUT_OUTER")
        for placed, shape in zip(sheet.placed, outer, strict=True):
            back = shapely.affinity.translate(shape, -placed.dx, -placed.dy)
            own = shapely.affinity.rotate(back, -placed.turn_deg, origin=(0, 0))
            corners = shapely.MultiPoint([(v.x, v.y) for v in flats[placed.number].outline.vertices])
            assert max(own.exterior.distance(point) for point in corners.geoms) < 1e-3


@pytest.mark.parametrize("version", ["R12", "R2000", "R2010"])
def test_every_flavour_and_the_shops_layer_names(plan, flats, tmp_path, version):
    flavour = Flavour(version, {"CUT_OUTER": "CONTOUR", "SHEET": "STOCK"})
    write_nests(tmp_path / "nest", plan, flats, flavour)
    for name, sheet in sheet_files(plan):
        layers = Counter(layer for layer, _ in shapes(tmp_path / "nest" / name))
        assert (layers["CONTOUR"], layers["STOCK"], layers["CUT_OUTER"]) == (len(sheet.placed), 1, 0)


def test_same_plan_same_bytes(mount, plan, flats, tmp_path):
    again = stock_plan(mount, flats, SHOP)
    assert again == plan
    for _, sheet in sheet_files(plan):
        assert nest_drawing(sheet, flats, Flavour()) == nest_drawing(sheet, flats, Flavour())
    for place in ("one.pdf", "two.pdf"):
        write_nest_page(tmp_path / place, STUDY, plan, flats)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_what_a_cutting_shop_would_refuse_is_refused(plan, flats, tmp_path):
    """Two parts in one place: the nest's own file is read back and sent back."""
    (nest,) = [nest for nest in plan.nests if len(nest.sheets[0].placed) > 1]
    (sheet,) = nest.sheets
    first, second, *rest = sheet.placed
    moved = replace(second, dx=second.dx + 15.0, dy=second.dy - 15.0)
    broken = replace(nest, sheets=(replace(sheet, placed=(first, moved, *rest)),))
    with pytest.raises(SheetError, match=r"nest/sheet-1\.dxf: .* meets"):
        write_nests(tmp_path / "nest", StockPlan((broken,), (), ()), flats, Flavour())


def test_stock_that_is_not_enough_is_said_and_the_rest_is_planned(mount, flats, plan):
    thin = min(part.thickness for part in mount.sheets)
    sheets = tuple(sheet for sheet in SHOP.sheets if sheet.thickness != thin)
    section = mount.extrusions[0].section.name
    others = tuple(bar for bar in SHOP.bars if bar.section != section)
    poor = replace(SHOP, sheets=sheets, bars=(*others, StockBar(section, 100.0)))
    found = stock_plan(mount, flats, poor)
    assert found.nests == plan.nests[1:]
    assert len(found.bars) == len(plan.bars) - 1
    assert f"steel-s235, {thin:g} mm: there is no sheet" in found.lacks[0]
    assert re.match(rf"{section}: {mount.extrusions[0].number} is .* mm long", found.lacks[1])


def test_the_page_names_every_part_sheet_and_bar(plan, flats, tmp_path):
    lacking = replace(plan, lacks=("brass: there is no sheet to nest on",))
    write_nest_page(tmp_path / "nest.pdf", STUDY, lacking, flats)
    pages = pypdf.PdfReader(BytesIO((tmp_path / "nest.pdf").read_bytes())).pages
    text = " ".join("\n".join(page.extract_text() for page in pages).split())
    for name, sheet in sheet_files(plan):
        stock = sheet.stock
        assert f"nest/{name}: {stock.material}, {stock.thickness:.1f} mm, {stock.length:g} mm x" in text
        assert f"Yield {100 * sheet.part_area / sheet.area:.1f} %" in text
        assert all(placed.number in text for placed in sheet.placed)
    for bars in plan.bars:
        for bar in bars.bars:
            assert f"{bars.section}, stock bar of {bar.stock_length:g} mm" in text
            assert f"remaining piece {bar.remaining:.1f} mm" in text
    assert text.count("proven minimal: no plan takes less stock") == len(plan.bars)
    assert "The stock is not enough • brass: there is no sheet to nest on" in text


def test_pictures_show_every_number_and_cut(plan, flats):
    for _, sheet in sheet_files(plan):
        said = words(sheet_picture(sheet, flats, "mm"), "number")
        assert sorted(said) == sorted(placed.number for placed in sheet.placed)
    for bars in plan.bars:
        for bar in bars.bars:
            picture = bar_picture(bar, "mm")
            assert words(picture, "cut") == [f"{at:.1f} mm" for at in bar.cuts]
            assert picture.count('fill="#000000"') == len(bar.cuts)


def words(svg, role):
    return [e.text for e in ElementTree.fromstring(svg).iter() if e.get("class") == role and e.text]


def test_a_sheet_that_the_parts_fill_is_drawn_once(mount, flats):
    """Stock as small as the part with its margins: no second, larger picture."""
    number, flat = next(iter(flats.items()))
    part = next(part for part in mount.sheets if part.number == number)
    stock = replace(SHOP.sheets[0], material=part.material, thickness=part.thickness, length=flat.size[0] + 2)
    snug = replace(SHOP, sheets=(replace(stock, width=flat.size[1] + 2),), cutting=Cutting(0.0, 1.0))
    one = replace(mount, sheets=(part,), extrusions=())
    (nest,) = stock_plan(one, flats, snug).nests
    assert "enlarged" not in sheet_picture(nest.sheets[0], flats, "mm")


def test_the_manifests_entry(plan):
    entry = nest_entry(plan)
    assert [sheet["file"] for sheet in entry["sheets"]] == [f"nest/{name}" for name, _ in sheet_files(plan)]
    assert all(0 < sheet["yield"] < 1 for sheet in entry["sheets"])
    for bar in entry["bars"]:
        assert bar["remaining_mm"] == pytest.approx(
            bar["stock_length_mm"] - bar["cuts_mm"][-1] - SHOP.saw.kerf
        )
    assert entry["lacks"] == []
