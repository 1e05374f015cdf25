"""The survey file as it is written: its keys, what each may hold, and what is plausible.

Every key carries a sentence that says what it is; errors quote it. Lengths are read into mm here, with
the unit that stands behind them or else the survey's `units`, which comes in as validation context.
What has a default is None when it was not given, so that the reader can list it as assumed.
"""

from __future__ import annotations

import codecs
import re
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator, ValidationInfo

from mountgen.survey.records import Against, Face, Flow, Surface
from mountgen.units import Measured, System, quoted, read_angle, read_length, read_speed

FASTEST_LINE = 10_000.0
"""mm/s, 600 m/min: no conveyor of a packing line runs faster."""
_LENGTH_INPUT = float | str
_PAIR_INPUT = Annotated[list[float | str], Field(min_length=2, max_length=2)]
"""What the JSON Schema says of a length and of two of them."""
_SAFE_NAME = re.compile(r"[A-Za-z0-9_][A-Za-z0-9._-]{0,79}")


class RefusedError(ValueError):
    """A value that cannot stand: what was `found`, what is `expected`, what to do."""

    def __init__(self, found: str, expected: str, action: str) -> None:
        self.found = found
        self.expected = expected
        self.action = action
        super().__init__(f"{found}; expected {expected}; {action}")


def written_units(info: ValidationInfo) -> System | None:
    """The survey's `units`, handed in as context."""
    return info.context["units"] if info.context else None


def _one_length(value: object, units: System | None, low: float, high: float) -> Measured:
    if not isinstance(value, str | int | float):
        raise RefusedError(quoted(value), "a length", 'write it as "850 mm" or "2 1/4 in"')
    read = read_length(value, units, negative=low < 0)
    if not low <= read <= high:
        found = f"{quoted(value)}, which is {float(read):g} mm"
        raise RefusedError(found, f"{low:g} mm to {high:g} mm", "check the number and its unit")
    return read


def _length(low: float, high: float) -> PlainValidator:
    """A measured length between `low` and `high` mm."""

    def read(value: object, info: ValidationInfo) -> Measured:
        return _one_length(value, written_units(info), low, high)

    return PlainValidator(read, json_schema_input_type=_LENGTH_INPUT)


def _chosen_length(low: float, high: float) -> PlainValidator:
    """A length that somebody chose, so +/- makes no sense."""

    def read(value: object, info: ValidationInfo) -> float:
        return _exact(value, _one_length(value, written_units(info), low, high))

    return PlainValidator(read, json_schema_input_type=_LENGTH_INPUT)


def _exact(value: object, read: Measured) -> float:
    if read.plus_minus:
        raise RefusedError(f"{quoted(value)}, with +/-", "a length without +/-", "leave the +/- out")
    return float(read)


def _pair(low: float, high: float, *, rising: bool) -> PlainValidator:
    """Two lengths, the smaller one first when `rising`."""

    def read(value: object, info: ValidationInfo) -> tuple[float, float]:
        if not isinstance(value, list) or len(value) != 2:
            raise RefusedError(quoted(value), "two lengths in brackets, such as [40, 70]", "write both")
        units = written_units(info)
        first, second = (_exact(item, _one_length(item, units, low, high)) for item in value)
        if rising and first >= second:
            found = f"[{first:g}, {second:g}] mm, which does not rise"
            raise RefusedError(found, "the smaller length first", "swap or correct the two")
        return first, second

    return PlainValidator(read, json_schema_input_type=_PAIR_INPUT)


def _angle(low: float, high: float) -> PlainValidator:
    def read(value: object) -> float:
        if not isinstance(value, str | int | float):
            raise RefusedError(quoted(value), "an angle in degrees", "write a number")
        angle = read_angle(value, negative=low < 0)
        if not low <= angle <= high:
            raise RefusedError(f"{quoted(value)} deg", f"{low:g} deg to {high:g} deg", "check the angle")
        return angle

    return PlainValidator(read, json_schema_input_type=_LENGTH_INPUT)


def _read_line_speed(value: object) -> float:
    if not isinstance(value, str | int | float):
        raise RefusedError(quoted(value), "a speed", 'write it as "30 m/min" or "100 ft/min"')
    speed = read_speed(value)
    if not 0 < speed <= FASTEST_LINE:
        raise RefusedError(
            f"{quoted(value)}, which is {speed * 0.06:g} m/min",
            "more than 0 and at most 600 m/min",
            "check the number and its unit",
        )
    return speed


def _read_folder_name(value: object) -> str:
    """The survey's name, which also names the folder of its package."""
    if isinstance(value, str) and _SAFE_NAME.fullmatch(value) and not value.endswith("."):
        return value
    raise RefusedError(
        f"{quoted(value)}, which cannot name a folder",
        "1 to 80 letters, digits, '.', '_' or '-', beginning with a letter, a digit or '_'",
        "write a name such as seed-cartons-line-2",
    )


def _read_label(value: object) -> str:
    """A name that people read: one printable line."""
    if isinstance(value, str) and value.strip() and value.isprintable() and len(value) <= 80:
        return value.strip()
    raise RefusedError(quoted(value), "a text of 1 to 80 printable characters", "write such a text")


def _read_file(value: object) -> str:
    """The path of another file."""
    if isinstance(value, str) and value.strip() and value.isprintable() and len(value) <= 1_000:
        return value
    raise RefusedError(
        quoted(value), "the path of a file, seen from the survey's folder", "write such a path"
    )


def _read_encoding(value: object) -> str:
    try:
        return codecs.lookup(value).name if isinstance(value, str) else _no_encoding(value)
    except (LookupError, ValueError):
        return _no_encoding(value)


def _no_encoding(value: object) -> str:
    raise RefusedError(quoted(value), "the name of a text encoding", 'write "utf-8" or "cp1252"')


def _read_device(value: object) -> str | dict[str, Any]:
    if isinstance(value, str | dict):
        return value
    raise RefusedError(quoted(value), "a device's name in quotes, or a table of its own", "write either")


def _refuse_truth(value: object) -> object:
    """Python takes true for 1; a survey does not."""
    if isinstance(value, bool):
        raise RefusedError(str(value).lower(), "a number", "write the number")
    return value


Place = Annotated[Measured, _length(-20_000, 20_000)]
Size = Annotated[Measured, _length(0.1, 3_000)]
Distance = Annotated[Measured, _length(0, 10_000)]
Small = Annotated[float, _chosen_length(0, 50)]
Span = Annotated[tuple[float, float], _pair(-20_000, 20_000, rising=True)]
Throw = Annotated[tuple[float, float], _pair(0, 50, rising=True)]
CodeSize = Annotated[tuple[float, float], _pair(0.1, 3_000, rising=False)]
Speed = Annotated[float, PlainValidator(_read_line_speed, json_schema_input_type=str)]
Label = Annotated[str, PlainValidator(_read_label, json_schema_input_type=str)]
FileName = Annotated[str, PlainValidator(_read_file, json_schema_input_type=str)]
Encoding = Annotated[str, PlainValidator(_read_encoding, json_schema_input_type=str)]
Device = Annotated[
    str | dict[str, Any], PlainValidator(_read_device, json_schema_input_type=str | dict[str, Any])
]


class Table(BaseModel):
    """A table of the file: no unknown keys, no nan, no text for a number."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)


class RawLine(Table):
    flow: Flow = Field(description="the way products run, seen from the mount side")
    speed: Speed = Field(description='the fastest line speed, such as "30 m/min"')
    surface: Surface = Field(description="what carries the products: belt, rollers or chain")
    roller_pitch: Size | None = Field(None, description="distance from roller to roller")
    roller_diameter: Size | None = Field(
        None, description="outside diameter of a roller (50 mm when not given)"
    )
    roller_axle_diameter: Size | None = Field(
        None, description="diameter of a roller's axle (12 mm when not given)"
    )
    first_roller_at: Place | None = Field(
        None, description="x of one roller's axle (half the pitch when not given)"
    )
    surface_height: Annotated[Measured, _length(50, 5_000)] = Field(
        description='height of the conveying surface over the floor, such as "850 +/- 5 mm"'
    )
    slope_deg: Annotated[float, _angle(-30, 30)] | None = Field(
        None, description="rise in the flow (0 when not given)"
    )
    environment: Literal["dry", "dusty", "washdown"] | None = Field(
        None, description="surroundings (dry when not given)"
    )
    bed_from_y: Annotated[Measured, _length(-500, 3_000)] | None = Field(
        None,
        description="y where the conveying surface begins (5 mm behind the rail when not given)",
    )


class RawKeepout(Table):
    what: Label = Field(description='what stands there, such as "leg bolt"')
    x: Span = Field(description="its stretch along the line, such as [-310, -270]")
    y: Span | None = Field(
        None, description="its stretch across the line (the rail and 30 mm in front of it when not given)"
    )
    z: Span = Field(description="its stretch in height, from the conveying surface")


class RawRail(Table):
    profile: Label | None = Field(None, description="the name of a rail profile in profiles/rails")
    file: FileName | None = Field(
        None, description='a drawn cross-section instead of a profile, such as "rail.dxf"'
    )
    units: System | None = Field(None, description='the unit of a drawing that does not say it: "mm" or "in"')
    loop: Annotated[int, Field(ge=1)] | None = Field(
        None, description="which closed outline of the drawing is the rail (1 is the largest)"
    )
    layer: Label | None = Field(None, description="the drawing's layer that holds the rail")
    top_above_surface: Annotated[Measured, _length(-500, 500)] = Field(
        description="the rail's top over the conveying surface, negative below it"
    )
    opens: Literal["in", "out"] = Field(description="the way the channel's flanges point: in or out")
    far_rail_at: Size = Field(description="from the near rail's outer face to the far rail's")
    free_from: Place = Field(description="x where the free stretch of the rail begins")
    free_to: Place = Field(description="x where the free stretch of the rail ends")
    attach: list[Literal["bolted", "clamped"]] = Field(
        min_length=1, description='how a mount may be fixed, such as ["bolted", "clamped"]'
    )
    keepout: list[RawKeepout] = Field([], description="tables [[rail.keepout]], boxes to stay out of")


class RawGuides(Table):
    near_y: Annotated[Measured, _length(-500, 3_000)] = Field(description="near guide's inner face")
    far_y: Annotated[Measured, _length(-500, 3_000)] = Field(description="far guide's inner face")
    z: Span = Field(description="the guides' lower and upper edge, such as [40, 70]")
    open: Span | None = Field(None, description="where the near guide is interrupted")
    depth: Annotated[Measured, _length(1, 500)] | None = Field(
        None,
        description="how far a guide and its brackets reach back from its inner face (25 mm when not given)",
    )
    play: Annotated[float, _chosen_length(0, 500)] | None = Field(
        None, description="how far a product may wander off the guide that places it (0 when not given)"
    )


class RawCode(Table):
    face: Face = Field(description="the printed face: near_side or top")
    size: CodeSize = Field(description="the code along the flow and across it, such as [80, 12]")
    from_leading: Distance = Field(description="from the product's leading edge to the code")
    above_base: Distance | None = Field(None, description="code's bottom over the conveying surface")
    below_top: Distance | None = Field(None, description="code's top below the product's top")
    from_near: Distance | None = Field(None, description="near edge of the code from the near side")


class RawProduct(Table):
    name: Label = Field(description='the product\'s name, such as "carton S"')
    length: Size = Field(description="the product's length along the flow")
    width: Size = Field(description="the product's width across the line")
    height: Size = Field(description="the product's height")
    against: Against | None = Field(None, description="which guide places it: near, far or centre")
    near_side_at: Annotated[Measured, _length(-500, 3_000)] | None = Field(
        None, description="y of the product's near side"
    )
    gap: Distance = Field(description="to the next product, at least")
    code: RawCode = Field(description="the table [product.code] that says where the code goes")
    bulge: Small | None = Field(
        None, description="how far the printed face may stand out (1 mm when not given)"
    )
    skew_deg: Annotated[float, _angle(0, 45)] | None = Field(
        None, description="how far it may turn (0.5 deg when not given)"
    )
    clearance_height: Annotated[float, _chosen_length(0.1, 3_000)] | None = Field(
        None,
        description="its highest point over the conveying surface, lid flaps and soft tops included "
        "(its height when not given)",
    )


class RawProducts(Table):
    file: FileName = Field(description='a list with one product a row, such as "products.csv" or .xlsx')
    mapping: dict[str, str] = Field(
        {}, description='the column of each key where its name differs, such as { length = "L [mm]" }'
    )
    delimiter: Literal[",", ";", "\t", "|"] | None = Field(None, description="what stands between columns")
    encoding: Encoding | None = Field(None, description='the file\'s encoding, such as "cp1252"')
    sheet: Label | None = Field(None, description="the sheet of an XLSX file (the first when not given)")
    units: System | None = Field(None, description='the unit of the list\'s bare numbers: "mm" or "in"')
    decimal: Literal[",", "."] | None = Field(
        None, description="the list's decimal mark, where 1,250 could mean two things"
    )
    gap: Distance = Field(description="to the next product, at least, for rows that do not say")
    code: RawCode = Field(description="the table [products.code], for rows that do not say")
    against: Against | None = Field(None, description="which guide places them: near, far or centre")
    near_side_at: Annotated[Measured, _length(-500, 3_000)] | None = Field(
        None, description="y of the products' near side"
    )
    height_plus_minus: Small | None = Field(None, description="how far a height may be off (0 if not given)")
    bulge: Small | None = Field(
        None, description="how far the printed face may stand out (1 mm when not given)"
    )
    skew_deg: Annotated[float, _angle(0, 45)] | None = Field(
        None, description="how far a product may turn (0.5 deg when not given)"
    )


class RawStandOff(Table):
    target: Small = Field(description='distance from nozzle to product, such as "3.2 mm"')
    best: Throw = Field(description="the band of best print, such as [2, 4]")
    acceptable: Throw = Field(description="the band of acceptable print, such as [1, 6]")
    setting: Small | None = Field(None, description="how finely a person can set it (0.5 mm when not given)")


class RawDevice(Table):
    device: Device = Field(description="the name of a device in profiles/devices")


class RawSensor(RawDevice):
    distance: Size | None = Field(
        None, description="from the photo-eye to the nozzles (the layout chooses when not given)"
    )


class RawSurvey(Table):
    """The whole file."""

    schema_: Annotated[Literal[1], BeforeValidator(_refuse_truth)] = Field(
        alias="schema", description="the version of the survey's form: schema = 1"
    )
    name: Annotated[str, PlainValidator(_read_folder_name, json_schema_input_type=str)] = Field(
        description="the survey's name, which also names its package's folder"
    )
    units: System | None = Field(None, description='the unit of bare numbers: "mm" or "in"')
    line: RawLine = Field(description="the table [line] with the conveyor")
    rail: RawRail = Field(description="the table [rail] with the side rail")
    guides: RawGuides | None = Field(None, description="the table [guides]")
    product: list[RawProduct] = Field([], description="tables [[product]], one a product")
    products: RawProducts | None = Field(None, description="the table [products] that names a list of them")
    standoff: RawStandOff = Field(description="the table [standoff] with the throw")
    head: RawDevice = Field(description="the table [head] with the print head")
    sensor: RawSensor = Field(description="the table [sensor] with the photo-eye")
    encoder: RawDevice | None = Field(None, description="the table [encoder] (a fixed speed when not given)")
    controller: RawDevice = Field(description="the table [controller]")
