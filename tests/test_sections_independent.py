"""Section properties against a finite-element section library that shares no code with ours."""

import pytest
from outline_polygons import section_polygon
from sectionproperties.analysis import Section
from sectionproperties.pre import Geometry

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.sections import extrusion_contours, rail_outline
from mountgen.geometry import Contour
from mountgen.mechanics.sections import section_properties


def meshed(outline: Contour, holes: tuple[Contour, ...], size: float) -> Section:
    polygon = section_polygon(outline, holes, pieces=8)
    assert polygon.is_valid
    section = Section(Geometry(polygon).create_mesh(mesh_sizes=[size]))
    section.calculate_geometric_properties()
    return section


def test_channel_against_the_mesh():
    outline = rail_outline(Catalogue().channel("upn-80"))
    ours, theirs = section_properties(outline), meshed(outline, (), 20.0)
    i_xx, i_yy, i_xy = theirs.get_ic()
    assert ours.area == pytest.approx(theirs.get_area(), rel=1e-3)
    assert ours.i_xx == pytest.approx(i_xx, rel=1e-3)
    assert ours.i_yy == pytest.approx(i_yy, rel=1e-3)
    assert i_xy == pytest.approx(0.0, abs=1.0)


def test_extrusion_against_the_mesh():
    """Area and second moment exactly; the stored torsion constant came from a finer mesh than this one."""
    extrusion = Catalogue().extrusion("tslot-30")
    section = meshed(*extrusion_contours(extrusion), 0.5)
    section.calculate_warping_properties()
    assert section.get_area() == pytest.approx(extrusion.area_mm2, rel=2e-3)
    assert section.get_ic()[0] == pytest.approx(extrusion.i_mm4, rel=2e-3)
    assert section.get_j() == pytest.approx(extrusion.j_mm4, rel=5e-3)


def test_stacked_bar_against_the_mesh():
    """Two squares, one above another: the slots between them closed; the torsion constant as stored."""
    rail = Catalogue().rail("tslot-rail-40x80")
    section = rail_section(rail)
    theirs = meshed(section.outline, section.holes, 2.0)
    theirs.calculate_warping_properties()
    i_xx, i_yy, _ = theirs.get_ic()
    assert section.area == pytest.approx(theirs.get_area(), rel=1e-3)
    assert section.properties.i_xx == pytest.approx(i_xx, rel=1e-3)
    assert section.properties.i_yy == pytest.approx(i_yy, rel=1e-3)
    assert section.torsion_mm4 == pytest.approx(theirs.get_j(), rel=1e-2)
