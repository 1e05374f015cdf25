"""What is bought, as it is drawn and weighed: fasteners, end caps, springs and the devices.

Every function gives the part in a frame of its own, told in its docstring. Threads are drawn as plain
cylinders: a shank and a nut's bore at the nominal diameter, a device's tapped hole at its tap drill.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import (
    Anchor,
    Controller,
    Encoder,
    Extrusion,
    Head,
    PatternHole,
    Reflector,
    Sensor,
    Thread,
)
from mountgen.errors import CatalogueError, Fault
from mountgen.geometry import Placement, Vec3, polygon, rectangle, rounded
from mountgen.shapes import Block, Cylinder, HexPrism, Prism, Shape

STEEL_KG_PER_MM3 = 7.85e-6
POLYAMIDE_KG_PER_MM3 = 1.13e-6
INCH = 25.4

CAP_THICKNESS = 3.0
BULGE_HEIGHT = 3.0
"""mm that a rivet nut's bulge is high, about."""
FOOT_PAD = (40.0, 10.0)
"""Diameter and height of a levelling foot's pad (common practice)."""
NOZZLE_RECESS = (3.0, 0.2)
"""Width and depth of the groove that shows a head's nozzle column."""
SCREEN_MARGIN = 12.0
SCREEN_RECESS = 1.0


@dataclass(frozen=True)
class Bought:
    """One bought part: designation to order it by, simple shape, mass and what it is made of."""

    designation: str
    shape: Shape
    mass_kg: float
    material: str


def screw_length(thread: Thread, least: float, most: float) -> float:
    """The shortest stock length of a socket screw from `least` to `most` (mm); CatalogueError if none."""
    for length in sorted(thread.screw_lengths):
        if least <= length <= most:
            return length
    stock = ", ".join(f"{length:g}" for length in thread.screw_lengths)
    fault = Fault(
        where=f"thread {thread.name}",
        found=f"no stock screw is {least:.1f} to {most:.1f} mm long",
        expected=f"one of {stock} mm",
        action="change the grip or give the screw more room behind it",
    )
    raise CatalogueError([fault])


def socket_screw(thread: Thread, length: float) -> Bought:
    """A hexagon socket head screw. Origin on the head's bearing face, z along the shank to the tip."""
    top = Placement((0.0, 0.0, -thread.head_height))
    socket = HexPrism(thread.key, thread.head_height / 2, top)
    head = Cylinder(thread.head_diameter, thread.head_height, top)
    shank = Cylinder(thread.diameter, length)
    volume = _volume(head) + _volume(shank) - _volume(socket)
    size = f"{thread.name} x {_length_text(thread, length)}"
    return Bought(
        designation=f"{thread.screw_standard} - {size} - {thread.property_class}",
        shape=Shape(add=(head, shank), cut=(socket,)),
        mass_kg=volume * STEEL_KG_PER_MM3,
        material="steel, zinc plated",
    )


def washer(thread: Thread) -> Bought:
    """A plain washer. Origin on the face towards the head, thickness along +z."""
    disc = Cylinder(thread.washer_outer, thread.washer_thickness)
    bore = Cylinder(thread.washer_inner, thread.washer_thickness)
    mass = (_volume(disc) - _volume(bore)) * STEEL_KG_PER_MM3
    return Bought(thread.washer_designation, Shape((disc,), (bore,)), mass, "steel, zinc plated")


def hex_nut(thread: Thread) -> Bought:
    """A hexagon nut. Origin on its bearing face, body towards +z."""
    return _drilled_hexagon(
        thread.nut_designation, thread.nut_across_flats, thread.nut_height, thread.diameter
    )


def press_nut(thread: Thread) -> Bought:
    """A self-clinching nut. Origin on the sheet's face away from the screw's head, body towards +z, shank
    towards -z in the sheet."""
    body = Cylinder(thread.press_nut_diameter, thread.press_nut_height)
    start = Placement((0.0, 0.0, -thread.press_nut_shank))
    shank = Cylinder(thread.press_nut_hole, thread.press_nut_shank, start)
    bore = Cylinder(thread.diameter, thread.press_nut_shank + thread.press_nut_height, start)
    mass = (_volume(body) + _volume(shank) - _volume(bore)) * STEEL_KG_PER_MM3
    designation = f"Press nut {thread.name}, sheet from {thread.press_nut_shank:g} mm"
    return Bought(designation, Shape((body, shank), (bore,)), mass, "steel, zinc plated")


def blind_rivet_nut(thread: Thread, wall: float) -> Bought:
    """A rivet nut as it sits in a wall (mm) that it grips. Origin on the wall's outer face, z inwards: the
    shank fills the drilled hole, the bulge lies behind the wall."""
    nut = thread.rivet_nut(wall)
    shank = Cylinder(nut.hole, nut.set_length)
    bulge = Cylinder(nut.bulge, min(BULGE_HEIGHT, nut.set_length - wall), Placement((0.0, 0.0, wall)))
    bore = Cylinder(thread.diameter, nut.set_length)
    metal = math.pi / 4 * (nut.hole**2 - thread.diameter**2) * nut.length
    low, high = nut.grip
    designation = (
        f"Blind rivet nut {thread.name}, small countersunk head, open, grip {low:g} to {high:g} mm, "
        f"hole {nut.hole:g} mm"
    )
    return Bought(designation, Shape((shank, bulge), (bore,)), metal * STEEL_KG_PER_MM3, "steel, zinc plated")


def barrel_nut(sensor: Sensor) -> Bought:
    """One of the two nuts of a barrel photo-eye. Origin on its bearing face, body towards +z."""
    flats = sensor.nut_outer * math.sqrt(3) / 2
    designation = f"Nut M{sensor.diameter:g} x 1, {flats:.0f} mm across flats"
    return _drilled_hexagon(designation, flats, sensor.nut_thickness, sensor.diameter)


def t_nut(extrusion: Extrusion, catalogue: Catalogue) -> Bought:
    """A T-slot nut. Origin in the middle of the face that bears on the lips, body towards +z (into the
    bar), length along x, threaded along z. Its lower edges are cut at 45 deg as the slot's floor is."""
    thread = catalogue.thread(extrusion.nut_thread)
    half, height = extrusion.nut_width / 2, extrusion.nut_height
    straight = min(height, _straight_slot_side(extrusion))
    narrow = half - (height - straight)
    points = [(-half, 0.0), (half, 0.0), (half, straight), (narrow, height)]
    points += [(-narrow, height), (-half, straight)]
    across = Placement((-extrusion.nut_length / 2, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
    body = Prism(polygon(list(dict.fromkeys(points))), extrusion.nut_length, across)
    bore = Cylinder(thread.diameter, height)
    volume = body.contour.area * body.height - _volume(bore)
    return Bought(
        designation=f"T-slot nut {thread.name} for slot {extrusion.slot_width:g} of {extrusion.name}",
        shape=Shape((body,), (bore,)),
        mass_kg=volume * STEEL_KG_PER_MM3,
        material="steel, zinc plated",
    )


def dowel_pin(diameter: float, length: float) -> Bought:
    """A hardened parallel pin. Origin at one end, z along it."""
    pin = Cylinder(diameter, length)
    designation = f"ISO 8734 - {diameter:g} x {length:g} - A - St"
    return Bought(designation, Shape((pin,)), _volume(pin) * STEEL_KG_PER_MM3, "steel, hardened")


def levelling_foot(thread: Thread, length: float) -> Bought:
    """A levelling foot: pad and threaded spindle. Origin on the floor, z up; `length` over the floor."""
    pad = Cylinder(FOOT_PAD[0], FOOT_PAD[1])
    spindle = Cylinder(thread.diameter, length - FOOT_PAD[1], Placement((0.0, 0.0, FOOT_PAD[1])))
    designation = f"Levelling foot {thread.name} x {length:g}, pad {FOOT_PAD[0]:g} mm, steel"
    mass = (_volume(pad) + _volume(spindle)) * STEEL_KG_PER_MM3
    return Bought(designation, Shape((pad, spindle)), mass, "steel, zinc plated")


def anchor_bolt(anchor: Anchor, thread: Thread) -> Bought:
    """An anchor's bolt without its nut. Origin at its lower end in the floor, z up."""
    stud = Cylinder(thread.diameter, anchor.length)
    title = anchor.title[0].upper() + anchor.title[1:]
    return Bought(title, Shape((stud,)), _volume(stud) * STEEL_KG_PER_MM3, "steel, zinc plated")


def end_cap(extrusion: Extrusion) -> Bought:
    """A cap for a bar's end. Origin in the middle of the bar's end face, z away from the bar."""
    half = extrusion.size / 2
    square = [(-half, -half), (half, -half), (half, half), (-half, half)]
    plate = Prism(rounded(square, [extrusion.corner_radius] * 4), CAP_THICKNESS)
    mass = plate.contour.area * plate.height * POLYAMIDE_KG_PER_MM3
    return Bought(f"End cap for {extrusion.name}", Shape((plate,)), mass, "polyamide, black")


def torsion_spring(wire: float, mean_diameter: float, coils: float) -> Bought:
    """A torsion spring as a tube without its legs. Origin at one end, z along the coils' axis.

    The coils lie close: `coils` turns are coils + 1 wires long. The mass is that of the wire.
    """
    if not 0.0 < wire < mean_diameter:
        raise ValueError("a spring's wire is thicker than 0 and thinner than the mean diameter")
    length = (coils + 1) * wire
    tube = Cylinder(mean_diameter + wire, length)
    inside = Cylinder(mean_diameter - wire, length)
    mass = math.pi * mean_diameter * coils * math.pi / 4 * wire**2 * STEEL_KG_PER_MM3
    designation = f"Torsion spring {wire:g} x {mean_diameter:g} x {coils:g} coils"
    return Bought(designation, Shape((tube,), (inside,)), mass, "spring steel EN 10270-1 SH")


def head_shape(head: Head, catalogue: Catalogue) -> Bought:
    """A print head. Local (x, y, z) are the head's (x, n, u), a right-handed frame whose axes are the
    world's when the head stands upright: origin in the middle of the nozzle column on the nozzle face."""
    body = Block((-head.x_before, -head.depth, -head.u_below), (head.x_after, 0.0, head.u_above))
    half, (width, deep) = head.print_height / 2, NOZZLE_RECESS
    column = Block((-width / 2, -deep, -half), (width / 2, 0.0, half))
    taps = [
        _tapped(hole, catalogue, (hole.at[0], -head.depth, hole.at[1]), (0.0, 1.0, 0.0))
        for hole in head.pattern
    ]
    return Bought(head.title, Shape((body,), (column, *taps)), head.mass_kg, "device")


def sensor_shape(sensor: Sensor, catalogue: Catalogue) -> Bought:
    """A photo-eye. Origin in the middle of the sensing face, looking along +z, body towards -z. A flat
    one has its width along x, through which its fixing holes go, and its height along y."""
    if sensor.body == "barrel":
        barrel = Cylinder(sensor.diameter, sensor.length, Placement((0.0, 0.0, -sensor.length)))
        return Bought(sensor.title, Shape((barrel,)), sensor.mass_kg, "device")
    half_x, half_y = sensor.width / 2, sensor.height / 2
    box = Block((-half_x, -half_y, -sensor.length), (half_x, half_y, 0.0))
    holes = tuple(
        Cylinder(
            catalogue.thread(hole.thread).clearance_medium,
            sensor.width,
            Placement((-half_x, hole.at[1], -hole.at[0]), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)),
        )
        for hole in sensor.pattern
    )
    return Bought(sensor.title, Shape((box,), holes), sensor.mass_kg, "device")


def reflector_shape(reflector: Reflector, catalogue: Catalogue) -> Bought:
    """A reflector. Origin in the middle of its back, x along its width, y up, z out of its face."""
    half_x, half_y = reflector.width / 2, reflector.height / 2
    plate = Block((-half_x, -half_y, 0.0), (half_x, half_y, reflector.depth))
    holes = tuple(
        Cylinder(catalogue.thread(hole.thread).clearance_medium, reflector.depth, Placement((*hole.at, 0.0)))
        for hole in reflector.pattern
    )
    return Bought(reflector.title, Shape((plate,), holes), reflector.mass_kg, "device")


def encoder_shape(encoder: Encoder, catalogue: Catalogue) -> Bought:
    """An encoder without its wheel. Origin at the shaft on the mounting face, body towards -z; boss and
    shaft towards +z."""
    body = Cylinder(encoder.body_diameter, encoder.body_length, Placement((0.0, 0.0, -encoder.body_length)))
    boss = Cylinder(encoder.boss_diameter, encoder.boss_height)
    shaft = Cylinder(encoder.shaft_diameter, encoder.wheel_offset + encoder.wheel_width / 2)
    taps = [_tapped(hole, catalogue, (*hole.at, 0.0), (0.0, 0.0, -1.0)) for hole in encoder.pattern]
    return Bought(encoder.title, Shape((body, boss, shaft), tuple(taps)), encoder.mass_kg, "device")


def measuring_wheel(encoder: Encoder) -> Bought:
    """The encoder's wheel, in the encoder's frame. Its mass is part of the encoder's."""
    diameter = encoder.wheel_circumference / math.pi
    start = Placement((0.0, 0.0, encoder.wheel_offset - encoder.wheel_width / 2))
    tyre = Cylinder(diameter, encoder.wheel_width, start)
    bore = Cylinder(encoder.shaft_diameter, encoder.wheel_width, start)
    designation = f"Measuring wheel, circumference {encoder.wheel_circumference:g} mm"
    return Bought(designation, Shape((tyre,), (bore,)), 0.0, "device")


def controller_shape(controller: Controller, catalogue: Catalogue) -> Bought:
    """A controller. Origin in the middle of its back, x along its width, y up, z out of the screen."""
    half_x, half_y, front = controller.width / 2, controller.height / 2, controller.depth
    box = Block((-half_x, -half_y, 0.0), (half_x, half_y, front))
    screen = Prism(
        rectangle(
            SCREEN_MARGIN - half_x, SCREEN_MARGIN - half_y, half_x - SCREEN_MARGIN, half_y - SCREEN_MARGIN
        ),
        SCREEN_RECESS,
        Placement((0.0, 0.0, front - SCREEN_RECESS)),
    )
    taps = [_tapped(hole, catalogue, (*hole.at, 0.0), (0.0, 0.0, 1.0)) for hole in controller.pattern]
    return Bought(controller.title, Shape((box,), (screen, *taps)), controller.mass_kg, "device")


def _tapped(hole: PatternHole, catalogue: Catalogue, at: Vec3, inwards: Vec3) -> Cylinder:
    drill = catalogue.thread(hole.thread).tap_drill
    return Cylinder(drill, hole.depth, Placement(at, (1.0, 0.0, 0.0), inwards))


def _drilled_hexagon(designation: str, across_flats: float, height: float, bore: float) -> Bought:
    body, hole = HexPrism(across_flats, height), Cylinder(bore, height)
    mass = (_volume(body) - _volume(hole)) * STEEL_KG_PER_MM3
    return Bought(designation, Shape((body,), (hole,)), mass, "steel, zinc plated")


def _straight_slot_side(extrusion: Extrusion) -> float:
    """How far behind the lips the slot keeps its full inner width, before its floor's 45 deg begins."""
    taper = extrusion.slot_inner_width / 2 + extrusion.web_thickness / math.sqrt(2)
    return extrusion.size / 2 - extrusion.lip_thickness - taper


def _volume(primitive: Cylinder | HexPrism) -> float:
    if isinstance(primitive, Cylinder):
        return math.pi / 4 * primitive.diameter**2 * primitive.height
    return math.sqrt(3) / 2 * primitive.across_flats**2 * primitive.height


def _length_text(thread: Thread, length: float) -> str:
    """A screw's length as its standard writes it: whole mm, or inches and sixteenths."""
    if thread.name.startswith("M"):
        return f"{length:g}"
    whole, rest = divmod(Fraction(length / INCH).limit_denominator(16), 1)
    return " ".join(str(part) for part in (whole, rest) if part) + " in"
