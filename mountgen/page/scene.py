"""The model of the page: line, mount, products and clearances of a study as plain data.

World frame, mm, as `geometry` says. Parts are prisms in frames of their own (`scene_solids`), placed at the
first product's setting; a *way* says how each piece goes from there to every other setting. Of a long list
of products only the first MOST_PRODUCTS are shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mountgen.checks.scene import Scene
from mountgen.detail.exploded import explosion
from mountgen.detail.records import BoughtPart, Detail, ExtrusionPart, Instance, Part, Rgb
from mountgen.geometry import Box, Placement, Vec3, circle, rectangle
from mountgen.package.feasibility_scene import GUIDE, PRODUCT, RAIL, SURFACE, SURFACE_THICKNESS
from mountgen.package.report import Json
from mountgen.page.scene_clearances import Clearance, clearances
from mountgen.page.scene_moves import WAYS, move, ways
from mountgen.page.scene_solids import Solid, frame_data, part_solids, point_data, short, through
from mountgen.study import Study
from mountgen.survey.records import Survey
from mountgen.units import format_length

MOST_PRODUCTS = 150
"""Products that a model shows."""
AROUND = 200.0
"""mm of line shown beyond the mount and the longest product."""
MOST_ROLLERS = 40
BAR: Rgb = (0.80, 0.82, 0.84)
GROUPS: tuple[Rgb, ...] = (
    (0.36, 0.50, 0.66),
    (0.79, 0.62, 0.32),
    (0.46, 0.64, 0.48),
    (0.62, 0.48, 0.64),
    (0.74, 0.47, 0.38),
)
"""Colours of sheet parts, one for each sub-assembly in turn."""
ALONG_LINE: tuple[Vec3, Vec3] = ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
"""x and z axis of a section's frame that is drawn out along the line: section x across it, section y up."""


def scene_of(study: Study) -> dict[str, Json]:
    """All that the page draws."""
    scene, survey, made = study.scene, study.survey, study.detail
    shown = min(len(scene.demand.names), MOST_PRODUCTS)
    goes = ways(scene)
    span = _shown_span(study)
    return {
        "flow": "+x" if survey.line.flow == "left_to_right" else "-x",
        "units": survey.units,
        "span": [short(end) for end in span],
        "boxes": [*_guides(survey, span), *_keepouts(survey)],
        "line": [*_rails(survey, span), *_bed(survey, span)],
        "holes": [_hole(hole.x, hole.z, hole.diameter) for hole in made.rail_holes],
        "solids": {number: [one.data for one in part_solids(part)] for number, part in made.parts.items()},
        "parts": _parts(made, goes),
        "moves": {way: _moves(scene, way, shown) for way in WAYS if way in goes.values()},
        "products": [_product(study, product) for product in range(shown)],
        "left_out": len(scene.demand.names) - shown,
        "beam": _beam(study, goes),
        "service": _service(study, goes),
        "clearances": [_clearance(one, survey) for one in clearances(scene, shown)],
    }


def _shown_span(study: Study) -> tuple[float, float]:
    """From where to where the line is drawn, x."""
    boxes, longest = study.scene.boxes, float(study.scene.demand.length.max())
    low = min(*(piece.box.low[0] for piece in boxes), -longest) - AROUND
    high = max(*(piece.box.high[0] for piece in boxes), longest) + AROUND
    return (low, high) if study.survey.line.flow == "left_to_right" else (-high, -low)


def _rails(survey: Survey, span: tuple[float, float]) -> Iterator[Json]:
    """Both rails; the far one is the near one's mirror image."""
    section, top = survey.rail.section, float(survey.rail.top_above_surface)
    far = (survey.rail.far_rail_at, top)
    near = Placement((span[0], 0.0, top), *ALONG_LINE)
    mirrored = Placement((span[0], *far), *ALONG_LINE)
    solid = through(section.outline, section.holes, span[1] - span[0], near)
    yield _drawn("rail", "rail", solid, RAIL)
    holes = [hole.mirrored() for hole in section.holes]
    opposite = through(section.outline.mirrored(), holes, span[1] - span[0], mirrored)
    yield _drawn("far rail", "rail", opposite, RAIL)


def _bed(survey: Survey, span: tuple[float, float]) -> Iterator[Json]:
    """A belt as a sheet, rollers as rollers; chains are drawn as a belt is."""
    line, far = survey.line, survey.rail.far_rail_at
    rollers = int((span[1] - span[0]) / line.roller_pitch) if line.surface == "rollers" else 0
    if not 0 < rollers <= MOST_ROLLERS:
        outline = rectangle(line.bed_from_y, -SURFACE_THICKNESS, far, 0.0)
        place = Placement((span[0], 0.0, 0.0), *ALONG_LINE)
        yield _drawn("conveying surface", "surface", Solid(outline, span[1] - span[0], place), SURFACE)
        return
    radius = line.roller_diameter / 2
    first = line.first_roller_at + line.roller_pitch * ((span[0] - line.first_roller_at) // line.roller_pitch)
    for k in range(1, rollers + 1):
        origin = (first + k * line.roller_pitch, line.bed_from_y, -radius)
        place = Placement(origin, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
        solid = Solid(circle((0.0, 0.0), 2 * radius), far - line.bed_from_y, place)
        yield _drawn("roller", "surface", solid, SURFACE)


def _drawn(name: str, kind: str, solid: Solid, colour: Rgb) -> dict[str, Json]:
    return {"name": name, "kind": kind, "colour": list(colour), "solid": [solid.data]}


def _guides(survey: Survey, span: tuple[float, float]) -> Iterator[Json]:
    guides = survey.guides
    if guides is None:
        return
    gaps = [(span[0], guides.open[0]), (guides.open[1], span[1])] if guides.open else [span]
    near, far, depth = float(guides.near_y), float(guides.far_y), guides.depth
    for start, end in gaps:
        if end > start:
            box = Box((start, near - depth, guides.z[0]), (end, near, guides.z[1]))
            yield _box("near guide", "guide", box, GUIDE)
    box = Box((span[0], far, guides.z[0]), (span[1], far + depth, guides.z[1]))
    yield _box("far guide", "guide", box, GUIDE)


def _keepouts(survey: Survey) -> Iterator[Json]:
    for one in survey.rail.keepouts:
        box = Box((one.x[0], one.y[0], one.z[0]), (one.x[1], one.y[1], one.z[1]))
        yield _box(one.what, "keepout", box, (0.72, 0.25, 0.22))


def _box(name: str, kind: str, box: Box, colour: Rgb) -> dict[str, Json]:
    low, high = point_data(box.low), point_data(box.high)
    return {"name": name, "kind": kind, "low": low, "high": high, "colour": list(colour)}


def _hole(x: float, z: float, diameter: float) -> list[Json]:
    """A hole drilled in the rail's web."""
    return [short(x), short(z), short(diameter)]


def _parts(made: Detail, goes: dict[str, str]) -> list[Json]:
    """Every placed piece: `name` is its part's, `id` its own."""
    parts, shifts = made.parts, explosion(made)
    groups = list(dict.fromkeys(instance.group for instance in made.instances))
    return [
        {
            "id": one.name,
            "name": parts[one.part].name,
            "number": one.part,
            "label": _label(one, parts[one.part]),
            "group": one.group,
            "colour": list(_colour(parts[one.part], groups.index(one.group))),
            "frame": frame_data(one.placement),
            "way": goes[one.name],
            "explode": point_data(shifts[one.name]),
        }
        for one in made.instances
    ]


def _label(instance: Instance, part: Part) -> str:
    if isinstance(part, BoughtPart):
        joint = f", joint {instance.joint}" if instance.joint else ""
        return f"{part.number} {part.name}: {part.designation}{joint}"
    return f"{part.number} {part.name}"


def _colour(part: Part, group: int) -> Rgb:
    if isinstance(part, BoughtPart):
        return part.colour
    return BAR if isinstance(part, ExtrusionPart) else GROUPS[group % len(GROUPS)]


def _moves(scene: Scene, way: str, products: int) -> list[Json]:
    """For each product: degrees about the world's x axis, then mm in y and z."""
    made = (move(scene, way, product) for product in range(products))
    return [[short(one.turn_deg), short(one.dy), short(one.dz)] for one in made]


def _product(study: Study, product: int) -> Json:
    """A product as it lies on the line; its code `from_leading` along it, and across from `low`: z on the
    near side, y on the top."""
    table, demand = study.survey.products, study.scene.demand
    code: dict[str, Json] = {
        "face": str(table.face[product]),
        "from_leading": short(table.from_leading[product]),
        "length": short(table.code_along[product]),
        "low": short(demand.code_low[product]),
        "across": short(table.code_across[product]),
    }
    return {
        "name": str(table.names[product]),
        "length": short(table.length[product]),
        "width": short(table.width[product]),
        "height": short(table.height[product]),
        "highest": short(demand.envelope[product]),
        "near_y": short(demand.near_y[product]),
        "tilt": short(demand.tilt_deg[product]),
        "colour": list(PRODUCT),
        "code": code,
    }


def _beam(study: Study, goes: dict[str, str]) -> Json:
    """The photo-eye's beam, from its face as far as it sees, or to the surface or the far rail."""
    eye = _placement(study.detail.instances, "photo-eye")
    sensor, (_, across, up) = study.survey.sensor, eye.z_axis
    ends = [sensor.range_max]
    if up < -0.5:
        ends.append(-eye.origin[2] / up)
    if across > 0.5:
        ends.append((study.survey.rail.far_rail_at - eye.origin[1]) / across)
    far = eye.point((0.0, 0.0, min(ends)))
    line: list[Json] = [point_data(eye.origin), point_data(far)]
    return {"at": line, "diameter": short(sensor.beam_diameter), "way": goes["photo-eye"]}


def _service(study: Study, goes: dict[str, str]) -> Json:
    """The room in which the head's cartridge comes out: over the head, in the direction of its column."""
    head = study.survey.head
    outline = rectangle(-head.x_before, -head.depth, head.x_after, 0.0)
    solid = Solid(outline, head.service_room, Placement((0.0, 0.0, head.u_above)))
    frame = frame_data(_placement(study.detail.instances, "print head"))
    return {"name": "room for service", "solid": [solid.data], "frame": frame, "way": goes["print head"]}


def _placement(instances: Sequence[Instance], name: str) -> Placement:
    return next(one.placement for one in instances if one.name == name)


def _clearance(one: Clearance, survey: Survey) -> Json:
    side = 1.0 if survey.line.flow == "left_to_right" else -1.0
    low, high = one.limit
    fits = one.value >= low and (high is None or one.value <= high)
    points: list[Json] = [point_data((side * x, y, z)) for x, y, z in one.points]
    return {
        "check": one.check,
        "from": one.piece,
        "to": one.thing,
        "value": short(one.value),
        "limit": [short(low), None if high is None else short(high)],
        "text": format_length(one.value, survey.units),
        "fits": fits,
        "at": points,
        "product": one.product,
    }
