"""Outlines as polygons, for tests that look at them with shapely or a mesher."""

from shapely import Polygon

from mountgen.geometry import Contour, Vec2, arc_of, cos_deg, sin_deg


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


def section_polygon(outline: Contour, holes: tuple[Contour, ...] = (), pieces: int = 64) -> Polygon:
    """A whole section; each arc lies within 0.02 % of its radius of the chords."""
    return Polygon(points(outline, pieces), [points(hole, pieces) for hole in holes])
