"""Every row of profiles/ is read, drawn and weighed."""

import math

import pytest
from shapely import Polygon, box

from mountgen.catalogue import bought
from mountgen.catalogue.reader import PLACES, Catalogue
from mountgen.catalogue.sections import extrusion_contours, flat_web, rail_outline
from mountgen.mechanics.sections import section_properties
from mountgen.shapes import Prism, primitive_box

CATALOGUE = Catalogue()
ROWS = [(kind, name) for kind in PLACES for name in CATALOGUE.names(kind)]
CHANNELS = [name for name in CATALOGUE.names("rails") if CATALOGUE.rail(name).kind == "channel"]
ATTACHED = {"heads": "head", "sensors": "sensor", "encoders": "encoder", "controllers": "controller"}


def record(kind, name):
    return getattr(CATALOGUE, kind.removesuffix("s"))(name)


@pytest.mark.parametrize(("kind", "name"), ROWS)
def test_every_row_is_read_and_names_what_it_refers_to(kind, name):
    row = record(kind, name)
    assert row.name == name
    assert row.source
    if hasattr(row, "material"):
        CATALOGUE.material(row.material)
    for hole in getattr(row, "pattern", ()):
        CATALOGUE.thread(hole.thread)


def test_there_is_enough_to_choose_from():
    counts = {kind: len(CATALOGUE.names(kind)) for kind in PLACES}
    assert counts["rails"] >= 60
    assert counts["extrusions"] >= 6
    assert counts["heads"] >= 4


@pytest.mark.parametrize("name", CHANNELS)
def test_rail_outline(name):
    rail = CATALOGUE.channel(name)
    outline = rail_outline(rail)
    assert outline.bounds == pytest.approx((0.0, -rail.depth, rail.flange_width, 0.0))
    section = section_properties(outline)
    assert outline.area > 0
    assert section.centroid_y == pytest.approx(-rail.depth / 2)
    assert section.i_xy == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("name", CHANNELS)
def test_flat_web_ends_where_the_outline_leaves_it(name):
    """The straight stretch of the outline on the web's inner face, and the one on its outer face."""
    rail = CATALOGUE.rail(name)
    for side, x in (("flange", rail.web_thickness), ("plain", 0.0)):
        on_face = [
            (a.y, b.y)
            for a, b in rail_outline(rail).segments()
            if a.bulge == 0.0 and abs(a.x - x) < 1e-9 and abs(b.x - x) < 1e-9
        ]
        assert len(on_face) == 1
        assert sorted(on_face[0]) == pytest.approx(flat_web(rail, side))


def test_flat_web_of_a_formed_channel_in_numbers():
    """120 x 40 x 2.5 bent at inside radius 2.5: 5 mm from either edge."""
    assert flat_web(CATALOGUE.rail("channel-formed-120x40x2.5")) == (-115.0, -5.0)


def test_formed_channel_area_by_its_midline():
    """Bent strip: thickness times the midline, (b + h + b) less, at each bend, 2 (r + t) for the arc."""
    t, r = 3.0, 3.0
    midline = 150 + 2 * 50 - 4 * (r + t) + 2 * math.pi / 2 * (r + t / 2)
    area = section_properties(rail_outline(CATALOGUE.rail("channel-formed-150x50x3"))).area
    assert area == pytest.approx(t * midline)


@pytest.mark.parametrize("name", CATALOGUE.names("extrusions"))
def test_extrusion_section(name):
    extrusion = CATALOGUE.extrusion(name)
    outer, holes = extrusion_contours(extrusion)
    half = extrusion.size / 2
    section = section_properties(outer, holes)
    assert outer.bounds == pytest.approx((-half, -half, half, half))
    assert section.area == pytest.approx(extrusion.area_mm2, rel=1e-4)
    assert section.i_xx == pytest.approx(extrusion.i_mm4, rel=1e-4)
    assert section.i_yy == pytest.approx(section.i_xx)
    assert (section.centroid_x, section.centroid_y) == pytest.approx((0, 0), abs=1e-9)
    assert extrusion.j_mm4 < 2 * extrusion.i_mm4


@pytest.mark.parametrize("name", CATALOGUE.names("extrusions"))
def test_t_nut_fits_its_slot_and_nothing_less(name):
    """In the slot on +x: the nut's section lies clear of the bar, bears on both lips and cannot come out."""
    extrusion = CATALOGUE.extrusion(name)
    outer, holes = extrusion_contours(extrusion)
    hollows = [[(v.x, v.y) for v in hole.vertices] for hole in holes if len(hole.vertices) > 2]
    bar = Polygon([(v.x, v.y) for v in outer.vertices], hollows)
    (body,) = bought.t_nut(extrusion, CATALOGUE).shape.add
    assert isinstance(body, Prism)
    lips = extrusion.size / 2 - extrusion.lip_thickness
    nut = Polygon([(lips - v.y, v.x) for v in body.contour.vertices])
    assert bar.is_valid and nut.is_valid
    assert bar.intersection(nut).area == pytest.approx(0.0, abs=1e-9)
    assert extrusion.nut_width > extrusion.slot_width + 1.0
    assert extrusion.slot_width > CATALOGUE.thread(extrusion.nut_thread).diameter
    slot = box(lips, -extrusion.slot_width / 2, extrusion.size / 2, extrusion.slot_width / 2)
    assert bar.intersection(slot).area == pytest.approx(0.0, abs=1e-9)


def fasteners():
    for name in CATALOGUE.names("threads"):
        thread = CATALOGUE.thread(name)
        yield bought.washer(thread)
        yield bought.hex_nut(thread)
        yield bought.press_nut(thread)
        for length in thread.screw_lengths:
            yield bought.socket_screw(thread, length)
    for name in CATALOGUE.names("extrusions"):
        yield bought.t_nut(CATALOGUE.extrusion(name), CATALOGUE)
        yield bought.end_cap(CATALOGUE.extrusion(name))


def devices():
    for kind, stem in ATTACHED.items():
        for name in CATALOGUE.names(kind):
            yield getattr(bought, f"{stem}_shape")(record(kind, name), CATALOGUE)


@pytest.mark.parametrize("part", [*fasteners(), *devices()], ids=lambda part: part.designation)
def test_every_bought_part_is_drawn(part):
    around = part.shape.box
    assert part.mass_kg > 0
    assert all(low < high for low, high in zip(around.low, around.high, strict=True))
    for hole in part.shape.cut:
        assert primitive_box(hole).gap(around) < 0


def test_designations_are_unique():
    names = [part.designation for part in [*fasteners(), *devices()]]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("name", CATALOGUE.names("heads"))
def test_head_pattern_is_symmetric_about_the_body(name):
    """Fixing holes lie on both sides of the body's middle alike, so that a plate fits either way round."""
    head = CATALOGUE.head(name)
    middle = (head.x_after - head.x_before) / 2
    spots = {(round(hole.at[0] - middle, 6), hole.at[1]) for hole in head.pattern}
    assert spots == {(-x, u) for x, u in spots}


@pytest.mark.parametrize(
    ("encoder", "resolutions"),
    [
        ("encoder-wheel-200", (205,)),
        ("encoder-wheel-12in", (205,)),
        ("encoder-wheel-12in-1800", (150, 180, 200)),
    ],
)
def test_encoder_divides_down_to_the_heads_resolution(encoder, resolutions):
    """Counts an inch over columns an inch is within 0.5 % of a whole number (common practice: 1 % shows)."""
    row = CATALOGUE.encoder(encoder)
    per_inch = row.pulses_per_turn * row.edges_per_pulse / row.wheel_circumference * 25.4
    for dpi in resolutions:
        ratio = per_inch / dpi
        assert ratio == pytest.approx(round(ratio), rel=5e-3)
