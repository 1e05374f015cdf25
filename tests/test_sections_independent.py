"""Section properties against a finite-element section library that shares no code with ours."""

import pytest
from sectionproperties.analysis import Section
from sectionproperties.pre import Geometry
from shapely import Polygon

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.sections import extrusion_contours, rail_outline
from mountgen.geometry import Contour, Vec2, arc_of, cos_deg, sin_deg
from mountgen.mechanics.sections import section_properties


def points(contour: Contour, pieces: int = 8) -> list[Vec2]:
    """The contour as a polygon, each arc cut into `pieces`."""
    found: list[Vec2] = []
    for a, b in contour.segments():
        found.append((a.x, a.y))
        if a.bulge:
            arc = arc_of(a, b)
            step = (arc.end_deg - arc.start_deg) / pieces
            angles = [arc.start_deg + step * i for i in range(1, pieces)]
            for angle in angles if a.bulge > 0 else reversed(angles):
                x = arc.centre[0] + arc.radius * cos_deg(angle)
                found.append((x, arc.centre[1] + arc.radius * sin_deg(angle)))
    return found


def meshed(outline: Contour, holes: tuple[Contour, ...], size: float) -> Section:
    polygon = Polygon(points(outline), [points(hole) for hole in holes])
    assert polygon.is_valid
    section = Section(Geometry(polygon).create_mesh(mesh_sizes=[size]))
    section.calculate_geometric_properties()
    return section


def test_channel_against_the_mesh():
    outline = rail_outline(Catalogue().rail("upn-80"))
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
