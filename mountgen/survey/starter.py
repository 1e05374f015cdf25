"""A survey to start from: it reads without a fault, its mount is feasible, and every key says what to put.

The letter beside a key is the one on the printed form (`asked`). The numbers are those of an invented line.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountgen.survey.asked import BY_KEY
from mountgen.survey.records import Face
from mountgen.units import System


@dataclass(frozen=True)
class Key:
    """One line of the starter: its value in mm and in inches, as TOML; `needed` ones are not commented out.
    `note` goes behind the form's words, or stands alone where the form does not ask."""

    name: str
    mm: str
    inch: str = ""
    note: str = ""
    needed: bool = True


@dataclass(frozen=True)
class Part:
    """One table: its header, the path of its keys in `asked`, and a comment over it."""

    header: str
    path: str
    keys: tuple[Key, ...]
    comment: str = ""
    needed: bool = True


_INTRO = (
    "# A survey to start from: put in what you measure. A letter is the one on the printed survey form.",
    "# Stand at the mount side, facing the line: x to the right from the print line, y across the line from",
    "# the near rail's outer face, z up from the conveying surface.",
    "# Measure on a stopped line only, locked out by its owner's procedure.",
)
_ROLLERS = (
    Key("surface", '"rollers"', note="belt, rollers or chain"),
    Key("roller_pitch", "75", "3"),
    Key("roller_diameter", "50", "1.9"),
    Key("roller_axle_diameter", "12", '"7/16"'),
    Key("first_roller_at", "37.5", '"1 1/2"', note="measure from the print line"),
)
_BELT = (
    Key("surface", '"belt"', note="belt, rollers or chain"),
    *(Key(key.name, key.mm, key.inch, "rollers only", needed=False) for key in _ROLLERS[1:]),
)
_BED = (
    Key("slope_deg", "0", note="rising is positive"),
    Key("environment", '"dry"', note="dry, dusty or washdown"),
    Key("bed_from_y", "12", '"1/2"'),
    Key("chain_pitch", '"12.7 mm"', '"1/2 in"', "link to link, where there is a chain", needed=False),
    Key("drive_speed", '"1400 rpm"', '"1750 rpm"', "turns of the drive's motor, off its plate", needed=False),
)
_SUPPORTS = Key("supports_apart", "1500", "60", needed=False)
_MASS = Key("mass", '"1.2 kg"', '"2 lb 10 oz"', "always with its unit", needed=False)
_ATTACH = Key("attach", '["bolted", "clamped"]', note="what the line's owner allows")
_GUIDES = (
    Key("near_y", '"75 +/- 0.5"', '"2 7/8 +/- 1/64"'),
    Key("far_y", '"480 +/- 2"', '"19 +/- 1/16"'),
    Key("z", "[40, 70]", '["1/2", "1 1/8"]'),
    Key("open", "[-76, 60]", '["-2 7/8", "2 1/4"]', note="leave out when it is not interrupted"),
    Key("depth", "25", "1"),
    Key("play", "0", "0"),
)
_UPRIGHT_CODE = (
    Key("face", '"near_side"', note="near_side or top"),
    Key("size", "[80, 12]", '[3, "3/8"]'),
    Key("from_leading", "40", '"1 1/2"'),
    Key("above_base", "32", '"1 3/8"', note="or below_top"),
    Key("below_top", "66", '"1/2"', note="instead of above_base", needed=False),
    Key("from_near", "60", '"2 3/8"', note="on the top only", needed=False),
)
_TOP_CODE = (
    Key("face", '"top"', note="near_side or top"),
    Key("size", "[120, 20]", '[4.75, "3/4"]'),
    Key("from_leading", "90", '"3 1/2"'),
    Key("from_near", "60", '"2 3/8"'),
    Key("above_base", "32", '"1 3/8"', note="on the near side only", needed=False),
    Key("below_top", "66", '"1/2"', note="on the near side only", needed=False),
)
_CLEARANCE = "with lid flaps or a soft top above the height"
_NEAR_SIDE = (
    Part(
        "[line]",
        "line",
        (
            Key("flow", '"left_to_right"', note="or right_to_left"),
            Key("speed", '"30 m/min"', '"90 ft/min"', note="always with its unit"),
            Key("surface_height", '"850 +/- 5"', '"33 1/2 +/- 1/4"'),
            *_ROLLERS,
            *_BED,
        ),
    ),
    Part(
        "[rail]",
        "rail",
        (
            Key("profile", '"channel-formed-120x40x2.5"', '"c4x5.4"', note="a name in profiles/rails"),
            Key("top_above_surface", '"-6 +/- 1"', '"-1/4 +/- 1/32"'),
            Key("opens", '"out"', note="the way the flanges point: in or out"),
            Key("far_rail_at", "560", '"22 1/4"'),
            Key("free_from", "-600", "-24"),
            Key("free_to", "600", "24"),
            _ATTACH,
            _SUPPORTS,
        ),
    ),
    Part(
        "[[rail.keepout]]",
        "rail.keepout",
        (
            Key("what", '"leg bolt"'),
            Key("x", "[-345, -305]", '["-13 3/4", "-12 1/4"]'),
            Key("y", "[-20, 40]", '["-3/4", "1 5/8"]'),
            Key("z", "[-96, -56]", '["-3 3/4", "-2 1/4"]'),
        ),
        "T  things in the way: leg bolts, axles, sensors, drive guards. One block each, or none.",
    ),
    Part("[guides]", "guides", _GUIDES, "product guides; leave the table out when there are none"),
    Part(
        "[[product]]",
        "product",
        (
            Key("name", '"carton S"', '"tray of 12 pots"'),
            Key("length", "280", "11"),
            Key("width", "190", '"8 1/2"'),
            Key("height", '"110 +/- 2"', '"2 1/4 +/- 1/16"'),
            Key("clearance_height", "125", "3", _CLEARANCE, needed=False),
            Key("against", '"near"', note="the guide that places it: near, far or centre"),
            Key(
                "near_side_at",
                '"75 +/- 5"',
                '"2 7/8 +/- 1/8"',
                "instead of against, without guides",
                needed=False,
            ),
            Key("gap", "250", "10", note="at least"),
            Key("bulge", "0.5", '"1/32"'),
            Key("skew_deg", "0.5"),
            _MASS,
        ),
        "one block for each product, [product.code] with it",
    ),
    Part("[product.code]", "product.code", _UPRIGHT_CODE),
    Part(
        "[standoff]",
        "standoff",
        (
            Key("target", "3.2", '"1/8"', note="nozzle to product"),
            Key("best", "[2, 4.5]", '["1/16", "3/16"]', note="good print"),
            Key("acceptable", "[1, 6]", '["1/32", "1/4"]', note="print that still reads"),
            Key("setting", "0.5", '"1/64"', note="how finely a person sets it"),
        ),
    ),
    Part("[head]", "head", (Key("device", '"head-50"', '"head-12"', note="a name in profiles/devices"),)),
)
_TOP = (
    Part(
        "[line]",
        "line",
        (
            Key("flow", '"left_to_right"', note="or right_to_left"),
            Key("speed", '"24 m/min"', '"80 ft/min"', note="always with its unit"),
            Key("surface_height", '"780 +/- 10"', '"30 3/4 +/- 3/8"'),
            *_BELT,
            *_BED,
        ),
    ),
    Part(
        "[rail]",
        "rail",
        (
            Key("profile", '"channel-formed-150x50x3"', '"c6x8.2"', note="a name in profiles/rails"),
            Key("top_above_surface", '"-10 +/- 2"', '"-3/8 +/- 1/16"'),
            Key("opens", '"out"', note="the way the flanges point: in or out"),
            Key("far_rail_at", "620", '"24 1/2"'),
            Key("free_from", "-500", '"-19 1/2"'),
            Key("free_to", "500", '"19 1/2"'),
            _ATTACH,
            _SUPPORTS,
        ),
    ),
    Part(
        "[[rail.keepout]]",
        "rail.keepout",
        (
            Key("what", '"leg bolt"'),
            Key("x", "[230, 270]", '[9, "10 5/8"]'),
            Key("y", "[-50, 10]", '[-2, "3/8"]'),
            Key("z", "[-130, -90]", '["-5 1/8", "-3 1/2"]'),
        ),
        "T  things in the way: leg bolts, axles, sensors, drive guards. One block each, or none.",
    ),
    Part("[guides]", "guides", _GUIDES, "product guides, where there are any", needed=False),
    Part(
        "[[product]]",
        "product",
        (
            Key("name", '"sack 20 l"'),
            Key("length", "480", "19"),
            Key("width", "320", '"12 1/2"'),
            Key("height", '"95 +/- 1"', '"3 3/4 +/- 1/32"'),
            Key("clearance_height", "110", '"4 1/4"', _CLEARANCE, needed=False),
            Key("near_side_at", '"95 +/- 5"', '"3 3/4 +/- 3/16"'),
            Key("against", '"near"', note="instead of near_side_at, with guides", needed=False),
            Key("gap", "300", "12", note="at least"),
            Key("bulge", "0.8", '"1/32"'),
            Key("skew_deg", "2"),
            _MASS,
        ),
        "one block for each product, [product.code] with it",
    ),
    Part("[product.code]", "product.code", _TOP_CODE),
    Part(
        "[standoff]",
        "standoff",
        (
            Key("target", "4", '"5/32"', note="nozzle to product"),
            Key("best", "[2, 6]", '["1/16", "1/4"]', note="good print"),
            Key("acceptable", "[1, 9]", '["1/32", "3/8"]', note="print that still reads"),
            Key("setting", "0.5", '"1/64"', note="how finely a person sets it"),
        ),
    ),
    Part("[head]", "head", (Key("device", '"head-25"', note="a name in profiles/devices"),)),
)
_SENSING = (
    Part("[sensor]", "sensor", (Key("device", '"eye-m18-diffuse"', '"eye-m12-diffuse"'),)),
    Part(
        "[encoder]",
        "encoder",
        (Key("device", '"encoder-wheel-200"'),),
        "leave the table out when the line always runs at one speed",
    ),
    Part("[controller]", "controller", (Key("device", '"controller-panel"'),)),
)
_CONDITIONS = (
    Part(
        "[shaking]",
        "shaking",
        (
            Key("rms", '"0.4 m/s2"', note='measured on the rail; or spectrum = "shaking.csv"', needed=False),
            Key("damping", "0.02", note="share of critical damping", needed=False),
            Key("impact_speed", '"0.05 m/s"', '"2 in/s"', "of a product that meets the shoe", needed=False),
            Key("contact_time", '"20 ms"', note="of such a bump", needed=False),
        ),
        "how the line shakes; what is left out is assumed and listed",
        needed=False,
    ),
    Part(
        "[joining]",
        "joining",
        (
            Key("plate_stiffness", '"50 kN m/rad"', '"37000 lbf ft/rad"', "bolted plate joint", needed=False),
            Key("tslot_stiffness", '"15 kN m/rad"', '"11000 lbf ft/rad"', "T-slot joint", needed=False),
            Key("friction", "0.15", note="between clamped parts", needed=False),
            Key("hand_force", '"50 N"', '"11 lbf"', "of a person who leans on the head", needed=False),
        ),
        "what the joints are worth",
        needed=False,
    ),
    Part(
        "[work]",
        "work",
        (
            Key("cut", "0.2", '"1/64"', "place of a hole in a flat, to either side", needed=False),
            Key("bend_line", "0.3", '"1/64"', "place of a bend", needed=False),
            Key("bend_deg", "1", note="angle of a bend", needed=False),
            Key("saw", "0.5", '"1/32"', "length of a bar", needed=False),
            Key("saw_square_deg", "0.5", note="end of a bar", needed=False),
            Key("drill", "1", '"1/32"', "hole drilled by hand through a template", needed=False),
        ),
        "how exactly parts are made and the rail is drilled",
        needed=False,
    ),
)


def starter_survey(pose: Face, units: System) -> str:
    """The text of a survey for a code on the `near_side` or the `top`, in mm or inches."""
    parts = (*(_NEAR_SIDE if pose == "near_side" else _TOP), *_SENSING, *_CONDITIONS)
    top = (
        _line("schema = 1", "", needed=True),
        _line('name = "new-line"', "names the folder of the package, too", needed=True),
        _line('revision = "A"', "of its documents; count it up when you survey again", needed=False),
        _line(f'units = "{units}"', "of every number without a unit: mm or in", needed=True),
    )
    return "\n".join((*_INTRO, "", *top, *(line for part in parts for line in _part(part, units)))) + "\n"


def _part(part: Part, units: System) -> Iterator[str]:
    yield ""
    if part.comment:
        yield f"# {part.comment}"
    yield _line(part.header, "", needed=part.needed)
    for key in part.keys:
        value = key.inch if units == "in" and key.inch else key.mm
        yield _line(f"{key.name} = {value}", _comment(part, key), needed=part.needed and key.needed)


def _comment(part: Part, key: Key) -> str:
    asked = BY_KEY.get(f"{part.path}.{key.name}")
    words = [f"{asked.letter}  {asked.what}"] if asked else []
    return "; ".join([*words, *([key.note] if key.note else [])])


def _line(text: str, comment: str, *, needed: bool) -> str:
    shown = text if needed else f"# {text}"
    return f"{shown:<40}# {comment}" if comment else shown
