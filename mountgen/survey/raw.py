"""The survey file as it is written: its keys, what each may hold, and what is plausible.

Every key carries a sentence that says what it is; errors quote it. How a value is read stands in `values`.
What has a default is None when it was not given, so that the reader can list it as assumed.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, PlainValidator

from mountgen.files.values import (
    FileName,
    Label,
    Table,
    angle_within,
    chosen_length_within,
    length_within,
    refuse_truth,
)
from mountgen.survey.records import Against, Face, Family, Flow, Look, Surface
from mountgen.survey.values import (
    AngleLimit,
    Bump,
    CodeSize,
    ContactTime,
    Device,
    Distance,
    Encoding,
    Friction,
    Joint,
    Limit,
    Mass,
    Place,
    Push,
    Revision,
    Shake,
    Share,
    Size,
    Small,
    Span,
    Speed,
    Throw,
    Turns,
    read_folder_name,
)
from mountgen.units import Measured, System


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
    surface_height: Annotated[Measured, length_within(50, 5_000)] = Field(
        description='height of the conveying surface over the floor, such as "850 +/- 5 mm"'
    )
    slope_deg: Annotated[float, angle_within(-30, 30)] | None = Field(
        None, description="rise in the flow (0 when not given)"
    )
    environment: Literal["dry", "dusty", "washdown"] | None = Field(
        None, description="surroundings (dry when not given)"
    )
    bed_from_y: Annotated[Measured, length_within(-500, 3_000)] | None = Field(
        None,
        description="y where the conveying surface begins (5 mm behind the rail when not given)",
    )
    chain_pitch: Annotated[float, chosen_length_within(3, 500)] | None = Field(
        None, description="from link to link of the chain that drives or carries, where there is one"
    )
    drive_speed: Turns | None = Field(None, description='turns of the drive\'s motor, such as "1400 rpm"')


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
    top_above_surface: Annotated[Measured, length_within(-500, 500)] = Field(
        description="the rail's top over the conveying surface, negative below it"
    )
    opens: Literal["in", "out"] = Field(description="the way the channel's flanges point: in or out")
    far_rail_at: Size = Field(description="from the near rail's outer face to the far rail's")
    free_from: Place = Field(description="x where the free stretch of the rail begins")
    free_to: Place = Field(description="x where the free stretch of the rail ends")
    attach: list[Literal["bolted", "clamped", "floor"]] = Field(
        min_length=1,
        description="how a mount may be fixed: bolted or clamped to the rail, or standing on the "
        'floor beside it, such as ["bolted", "clamped"]',
    )
    supports_apart: Annotated[float, chosen_length_within(100, 10_000)] | None = Field(
        None, description="from leg to leg, the rail's free span (1500 mm when not given)"
    )
    keepout: list[RawKeepout] = Field([], description="tables [[rail.keepout]], boxes to stay out of")


class RawGuides(Table):
    near_y: Annotated[Measured, length_within(-500, 3_000)] = Field(description="near guide's inner face")
    far_y: Annotated[Measured, length_within(-500, 3_000)] = Field(description="far guide's inner face")
    z: Span = Field(description="the guides' lower and upper edge, such as [40, 70]")
    open: Span | None = Field(None, description="where the near guide is interrupted")
    depth: Annotated[Measured, length_within(1, 500)] | None = Field(
        None,
        description="how far a guide and its brackets reach back from its inner face (25 mm when not given)",
    )
    play: Annotated[float, chosen_length_within(0, 500)] | None = Field(
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
    near_side_at: Annotated[Measured, length_within(-500, 3_000)] | None = Field(
        None, description="y of the product's near side"
    )
    gap: Distance = Field(description="to the next product, at least")
    code: RawCode = Field(description="the table [product.code] that says where the code goes")
    bulge: Small | None = Field(
        None, description="how far the printed face may stand out (1 mm when not given)"
    )
    skew_deg: Annotated[float, angle_within(0, 45)] | None = Field(
        None, description="how far it may turn (0.5 deg when not given)"
    )
    clearance_height: Annotated[float, chosen_length_within(0.1, 3_000)] | None = Field(
        None,
        description="its highest point over the conveying surface, lid flaps and soft tops included "
        "(its height when not given)",
    )
    mass: Mass | None = Field(None, description='what it weighs, such as "2.5 kg" or "5 lb 8 oz"')


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
    near_side_at: Annotated[Measured, length_within(-500, 3_000)] | None = Field(
        None, description="y of the products' near side"
    )
    height_plus_minus: Small | None = Field(None, description="how far a height may be off (0 if not given)")
    bulge: Small | None = Field(
        None, description="how far the printed face may stand out (1 mm when not given)"
    )
    skew_deg: Annotated[float, angle_within(0, 45)] | None = Field(
        None, description="how far a product may turn (0.5 deg when not given)"
    )


class RawStandOff(Table):
    target: Small = Field(description='distance from nozzle to product, such as "3.2 mm"')
    best: Throw = Field(description="the band of best print, such as [2, 4]")
    acceptable: Throw = Field(description="the band of acceptable print, such as [1, 6]")
    setting: Small | None = Field(None, description="how finely a person can set it (0.5 mm when not given)")


class RawDevice(Table):
    device: Device = Field(description="the name of a device in profiles/devices")


class RawHead(RawDevice):
    count: Annotated[int, Field(ge=1, le=3)] | None = Field(
        None, description="how many such heads stand one over the other, 1 to 3 (1 when not given)"
    )
    pitch: Size | None = Field(None, description="from head to head along the column, where there are more")


class RawSensor(RawDevice):
    distance: Size | None = Field(
        None, description="from the photo-eye to the nozzles (the layout chooses when not given)"
    )
    sees: Look = Field(
        "matt",
        description="how the products look to the photo-eye: matt, shiny or clear (matt when not given)",
    )


class RawShaking(Table):
    rms: Shake | None = Field(
        None, description='acceleration measured on the rail, root mean square, such as "0.8 m/s2"'
    )
    spectrum: FileName | None = Field(
        None, description='or a file with its spectrum, frequency in Hz and density in g2/Hz: "shaking.csv"'
    )
    damping: Share | None = Field(None, description="share of critical damping (0.02 when not given)")
    impact_speed: Bump | None = Field(
        None, description='how fast a product meets the mount\'s shoe (0.05 m/s when not given): "0.1 m/s"'
    )
    contact_time: ContactTime | None = Field(
        None, description='how long such a bump lasts (20 ms when not given), such as "20 ms"'
    )


class RawJoining(Table):
    plate_stiffness: Joint | None = Field(
        None,
        description='a bolted plate joint against turning, such as "50000 N m/rad" (that when not given)',
    )
    tslot_stiffness: Joint | None = Field(
        None, description='a T-slot joint against turning, such as "15000 N m/rad" (that when not given)'
    )
    friction: Friction | None = Field(None, description="between clamped parts (0.15 when not given)")
    hand_force: Push | None = Field(
        None, description='of a person who leans on the head (50 N when not given), such as "50 N"'
    )


class RawWork(Table):
    cut: Limit | None = Field(
        None, description="how far a hole or edge of a flat may be off (ISO 2768-1 m when not given)"
    )
    bend_line: Limit | None = Field(None, description="how far a bend may be off (0.3 mm when not given)")
    bend_deg: AngleLimit | None = Field(
        None, description="how far a bend's angle may be off (ISO 2768-1 m when not given)"
    )
    saw: Limit | None = Field(
        None, description="how far a bar's length may be off (ISO 2768-1 m when not given)"
    )
    saw_square_deg: AngleLimit | None = Field(
        None, description="how far a bar's end may be out of square (0.5 deg when not given)"
    )
    drill: Limit | None = Field(
        None, description="how far a hole drilled by hand may be off (1 mm when not given)"
    )


class RawMount(Table):
    family: Family | None = Field(
        None, description="how the mount is held (the first family that works when not given)"
    )


class RawSurvey(Table):
    """The whole file."""

    schema_: Annotated[Literal[1], BeforeValidator(refuse_truth)] = Field(
        alias="schema", description="the version of the survey's form: schema = 1"
    )
    name: Annotated[str, PlainValidator(read_folder_name, json_schema_input_type=str)] = Field(
        description="the survey's name, which also names its package's folder"
    )
    revision: Revision | None = Field(
        None, description='the revision index of its documents, such as "A" (none when not given)'
    )
    units: System | None = Field(None, description='the unit of bare numbers: "mm" or "in"')
    line: RawLine = Field(description="the table [line] with the conveyor")
    rail: RawRail = Field(description="the table [rail] with the side rail")
    guides: RawGuides | None = Field(None, description="the table [guides]")
    product: list[RawProduct] = Field([], description="tables [[product]], one a product")
    products: RawProducts | None = Field(None, description="the table [products] that names a list of them")
    day_order: Annotated[list[Label], Field(max_length=500)] = Field(
        [], description='the products of a day in their order, such as ["carton S", "carton L"]'
    )
    standoff: RawStandOff = Field(description="the table [standoff] with the throw")
    shaking: RawShaking = Field(RawShaking(), description="the table [shaking]: how the line shakes")
    joining: RawJoining = Field(RawJoining(), description="the table [joining]: what joints are worth")
    work: RawWork = Field(RawWork(), description="the table [work]: how exactly parts are made")
    mount: RawMount = Field(RawMount(), description="the table [mount]: what is settled of the mount")
    head: RawHead = Field(description="the table [head] with the print head")
    sensor: RawSensor = Field(description="the table [sensor] with the photo-eye")
    encoder: RawDevice | None = Field(None, description="the table [encoder] (a fixed speed when not given)")
    controller: RawDevice = Field(description="the table [controller]")
