"""Drawings of bars: sizes at the stated scale, every piece of work told, no text on another."""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawing_samples import mount, overlapping, texts, with_role

from mountgen.catalogue.reader import Catalogue
from mountgen.detail.records import EndFeature, ExtrusionPart
from mountgen.package.cut_sheet import screws_along
from mountgen.package.drawing import finish
from mountgen.package.drawing_bar import BarOrder, bar_sheet
from mountgen.package.drawing_frame import Title
from mountgen.package.drawing_paper import style_for

WORK = (
    EndFeature("end_tap", 0.0, "M6", 5.0, 16.0, "core"),
    EndFeature("cross_hole", 120.0, "M5", 5.5, 25.0, "+x"),
    EndFeature("cross_hole", 240.0, "M5", 5.5, 25.0, "+x"),
)


def sheet_of(length: float, units="mm", features=()) -> str:
    section = Catalogue().extrusion("tslot-30")
    part = ExtrusionPart("B10", "post", section, length, "aluminium-6060-t66", features)
    style = style_for(units)
    title = Title("a line", "B10", "post", "Part drawing", "with survey 0", "-", units, style.projection)
    fixed = ((15.0, "P2 post to rail angle"), (117.0, "P1 post to rail angle"))
    order = BarOrder(part, 1, 0.5, title, units, style, "0°30'", (), fixed)
    return finish(bar_sheet(order), (1, 1))


@pytest.mark.parametrize(("length", "scale"), [(120.0, 1.0), (318.0, 0.5), (325.0, 0.2), (1000.0, 0.1)])
def test_the_bar_is_drawn_at_its_stated_scale(length, scale):
    svg = sheet_of(length)
    outline = with_role(svg, "outline")[0]
    assert float(outline.attrib["width"]) == pytest.approx(scale * length)
    assert float(outline.attrib["height"]) == pytest.approx(scale * 30.0)
    wanted = f"1:{1 / scale:g}"
    assert wanted in [t.text for t in texts(svg) if t.role == "field"]
    assert f"{length:g}" in [t.text for t in texts(svg) if t.role == "overall"]


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("length", [60.0, 250.0, 700.0, 1000.0])
@pytest.mark.parametrize("features", [(), WORK])
def test_no_text_covers_another(length, units, features):
    found = list(texts(sheet_of(length, units, features)))
    assert overlapping(found) == []


def test_cross_holes_have_their_place_from_the_datum_end():
    svg = sheet_of(318.0, features=WORK)
    assert [t.text for t in texts(svg) if t.role == "ordinate-bottom"] == ["0", "120", "240"]
    left = float(with_role(svg, "outline")[0].attrib["x"])
    holes = [float(hole.attrib["cx"]) - left for hole in with_role(svg, "hole")]
    assert holes == pytest.approx([60.0, 120.0])


def test_every_screw_of_the_bar_is_told_where_it_sits():
    detail = mount().detail
    post = next(bar for bar in detail.extrusions if bar.name == "post")
    found = {what: at for at, what in screws_along(detail, post.number)}
    assert {joint.id for joint in detail.joints if any(m.instance == "post" for m in joint.members)} == {
        what.split()[0] for what in found
    }
    assert all(0.0 < at < post.length for at in found.values())
    placement = next(i for i in detail.instances if i.name == "post").placement
    lower = next(joint for joint in detail.joints if joint.id == "P2")
    assert found["P2 post to rail angle"] == pytest.approx(lower.point[2] - placement.origin[2])
    moved = replace(detail, joints=())
    assert list(screws_along(moved, post.number)) == []
