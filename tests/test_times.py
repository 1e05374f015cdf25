"""What making takes: lengths and pierces measured another way, masses and times by hand, sums of parts."""

from __future__ import annotations

import math
from dataclasses import replace
from io import StringIO
from itertools import pairwise

import ezdxf
import pytest
from drawing_samples import angle_part, mount, plate_part
from ezdxf.path import make_path
from hypothesis import given, settings
from hypothesis import strategies as st
from making_samples import DENSITIES, RATES
from outline_polygons import points
from random_surveys import CATALOGUE, study_of
from shapely import LinearRing

from mountgen.catalogue.reader import Catalogue
from mountgen.detail.records import EndFeature, ExtrusionPart
from mountgen.errors import ShopError
from mountgen.fabrication.times import bar_work, cutting_speed, making, sheet_work, works
from mountgen.geometry import circle, rectangle
from mountgen.mechanics.bending import Din6935
from mountgen.package.dxf_flavour import Flavour
from mountgen.package.flat_dxf import flat_drawing
from mountgen.sheet.flat import unfold
from mountgen.sheet.tree import Flange, RoundHole, SheetPart

RULE = Din6935()
PIECES = 256
"""Chords an arc: a half turn is then 6e-6 of its length too short (1 - sin(x)/x at x = pi / 512)."""
CHORDS = 1e-5


def job(detail):
    flats = {part.number: unfold(part, RULE) for part in detail.sheets}
    return works(detail, flats, DENSITIES)


def polygon_length(contour) -> float:
    return LinearRing(points(contour, PIECES)).length


def test_a_plate_by_hand():
    """100 x 60 x 4 steel, one hole of 10 and one of 20: 320 + 30 pi of cut, three pierces; the blank holds
    24000 mm3. At 30 mm/s and 1.5 s a pierce."""
    holes = (RoundHole((30.0, 30.0), 10.0), RoundHole((70.0, 30.0), 20.0))
    part = replace(plate_part(holes, (100.0, 60.0)), thickness=4.0)
    work = sheet_work(part, unfold(part, RULE), 3, DENSITIES)
    assert (work.outline_mm, work.inner_mm) == pytest.approx((320.0, 30.0 * math.pi))
    assert (work.pierces, work.bends, work.drilled, work.tapped) == (3, 0, 0, 0)
    assert work.blank_kg == pytest.approx(24000e-9 * 7850)
    done = making([replace(work, engraved_mm=60.0)], RATES)
    laser = (320.0 + 30.0 * math.pi + 60.0) / 30.0 + 3 * 1.5
    assert done.parts[0].times == pytest.approx({"laser": laser, "brake": 0.0, "saw": 0.0, "drill": 0.0})
    assert done.time_s == pytest.approx(3 * laser + 600.0)
    assert done.cost == pytest.approx((3 * laser + 600.0) / 3600 * 90.0 + 3 * 24000e-9 * 7850 * 2.0)
    assert (done.pierces, done.bends) == (9, 0)
    assert done.cut_length_mm == pytest.approx(3 * (320.0 + 30.0 * math.pi))


def test_a_bar_by_hand():
    """600 mm of an area of 684.76 mm2 in aluminium: 1.109 kg; both ends sawn, two taps, one hole across."""
    features = (
        EndFeature("end_tap", 0.0, "M6", 5.0, 16.0, "core"),
        EndFeature("end_tap", 600.0, "M6", 5.0, 16.0, "core"),
        EndFeature("cross_hole", 100.0, "M5", 5.5, 40.0, "+x"),
    )
    section = Catalogue().extrusion("tslot-40")
    bar = ExtrusionPart("B10", "post", section, 600.0, "aluminium-6060-t66", features)
    work = bar_work(bar, 1, DENSITIES)
    assert work.blank_kg == pytest.approx(684.76 * 600 * 2700e-9, rel=1e-6)
    assert (work.saw_cuts, work.drilled, work.tapped, work.pierces) == (2, 1, 2, 0)
    done = making([work], RATES)
    assert done.parts[0].times == {"laser": 0.0, "brake": 0.0, "saw": 80.0, "drill": 120.0}
    assert [m.setup_s for m in done.machines] == [0.0, 0.0, 600.0, 600.0]
    costs = 680.0 / 3600 * 36.0 + 720.0 / 3600 * 54.0 + work.blank_kg * 7.0
    assert done.cost == pytest.approx(costs)


def test_fits_are_reamed_and_threads_are_tapped():
    part = angle_part()
    work = sheet_work(part, unfold(part, RULE), 1, DENSITIES)
    assert (work.pierces, work.drilled, work.tapped, work.bends) == (1 + 8, 1, 1, 1)
    times = making([work], RATES).parts[0].times
    assert (times["brake"], times["drill"]) == (25.0, 30.0 + 45.0)


@pytest.mark.parametrize("seed", range(8))
def test_cut_lengths_against_polygons(seed):
    detail = study_of(seed).detail
    found = {work.number: work for work in job(detail)}
    for part in detail.sheets:
        flat, work = unfold(part, RULE), found[part.number]
        assert work.outline_mm == pytest.approx(polygon_length(flat.outline), rel=CHORDS)
        inner = sum(polygon_length(placed.hole.contour) for placed in flat.holes)
        assert work.inner_mm == pytest.approx(inner, rel=CHORDS)


def test_lengths_and_pierces_against_the_file_that_the_shop_gets():
    """Every closed path of the written DXF, measured with ezdxf's own flattening (within 1 um of an arc)."""
    for part in mount().detail.sheets:
        flat = mount().flats[part.number]
        work = sheet_work(part, flat, 1, DENSITIES)
        cut, engraved, paths = written(part, flat)
        assert work.cut_mm == pytest.approx(cut, rel=1e-4)
        assert work.engraved_mm == pytest.approx(engraved, rel=1e-6)
        assert work.pierces == paths


def written(part: SheetPart, flat) -> tuple[float, float, int]:
    """Length on the cut layers, length of the mark, and paths cut, of a flat's DXF."""
    drawing = ezdxf.read(StringIO(flat_drawing(part, flat, Flavour())))
    lengths: dict[str, list[float]] = {}
    for entity in drawing.modelspace():
        steps = list(make_path(entity).flattening(0.001))
        length = sum(a.distance(b) for a, b in pairwise(steps))
        lengths.setdefault(entity.dxf.layer, []).append(length)
    cut = [*lengths["CUT_OUTER"], *lengths.get("CUT_INNER", [])]
    return sum(cut), sum(lengths.get("MARK", [])), len(cut)


@pytest.mark.parametrize("seed", range(8))
def test_a_blank_holds_its_part(seed):
    """The rectangle is no lighter than the sheet in it; a bar's blank is the bar."""
    detail = study_of(seed).detail
    for work in job(detail):
        part = detail.parts[work.number]
        if isinstance(part, SheetPart):
            flat = unfold(part, RULE)
            net = flat.area * part.thickness * DENSITIES[part.material] * 1e-9
            assert net < work.blank_kg
            assert work.blank_kg == pytest.approx(
                flat.size[0] * flat.size[1] * part.thickness * DENSITIES[part.material] * 1e-9
            )
        else:
            area = CATALOGUE.extrusion(part.section.name).area_mm2
            assert work.blank_kg == pytest.approx(area * part.length * DENSITIES[part.material] * 1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_sums_equal_parts(seed):
    detail = study_of(seed).detail
    done = making(job(detail), RATES)
    for machine in done.machines:
        pieces = sum(detail.quantity(p.work.number) * p.times[machine.machine] for p in done.parts)
        assert machine.work_s == pytest.approx(pieces)
    visited = [m for m in done.machines if m.work_s]
    whole = sum(p.work.quantity * p.time_s for p in done.parts) + len(visited) * RATES.setup_s
    assert done.time_s == pytest.approx(whole)
    set_ups = sum(RATES.setup_s / 3600 * m.per_hour for m in visited)
    assert done.cost == pytest.approx(sum(p.work.quantity * p.cost for p in done.parts) + set_ups)
    assert done.bends == sum(
        detail.quantity(p.number) * sum(1 for f, _ in p.placed_flanges() for _ in f.bends)
        for p in detail.sheets
    )


def test_speed_is_that_of_the_thinnest_limit_that_holds_the_sheet():
    """The rows stand in no order in the rates."""
    found = [cutting_speed(RATES, t).speed_mm_per_s for t in (1.0, 3.0, 3.01, 6.0, 8.0, 12.0)]
    assert found == [60.0, 60.0, 30.0, 30.0, 15.0, 15.0]


def test_every_sheet_without_a_speed_and_material_without_a_price_is_told():
    parts = [
        replace(plate_part((), (50.0, 50.0)), thickness=thickness, material=material)
        for thickness, material in ((15.0, "steel-s235"), (20.0, "stainless-1.4301"), (2.0, "brass"))
    ]
    density = {**DENSITIES, "brass": 8500.0}
    job_work = [sheet_work(part, unfold(part, RULE), 1, density) for part in parts]
    with pytest.raises(ShopError) as told:
        making(job_work, RATES)
    found = [fault.found for fault in told.value.faults]
    assert found == [
        "no cutting speed for sheet of 15 mm",
        "no cutting speed for sheet of 20 mm",
        "no price for brass",
    ]
    assert all("made up for a test" in fault.where for fault in told.value.faults)


def test_a_part_too_small_for_its_number_is_not_engraved():
    flange = Flange("plate", rectangle(0.0, 0.0, 6.0, 6.0))
    part = SheetPart("A10", "chip", 2.0, "steel-s235", flange)
    assert sheet_work(part, unfold(part, RULE), 1, DENSITIES).engraved_mm == 0.0


@settings(max_examples=25, deadline=None)
@given(
    st.floats(30.0, 900.0),
    st.floats(30.0, 900.0),
    st.floats(2.0, 20.0),
    st.floats(1.1, 3.0),
)
def test_a_scaled_plate_takes_scaled_cuts_and_as_many_pierces(wide, tall, hole, scale):
    """Lengths grow with the scale, the blank with its square; pierces and holes stay."""

    def work(k: float):
        part = plate_part((RoundHole((k * wide / 2, k * tall / 2), k * hole),), (k * wide, k * tall))
        return sheet_work(part, unfold(part, RULE), 1, DENSITIES)

    one, other = work(1.0), work(scale)
    assert other.cut_mm == pytest.approx(scale * one.cut_mm)
    assert other.blank_kg == pytest.approx(scale**2 * one.blank_kg)
    assert (other.pierces, circle((0.0, 0.0), hole).length) == (one.pierces, pytest.approx(one.inner_mm))
