"""What `profiles/` holds, as immutable records: lengths in mm, masses in kg, stresses in MPa.

Every record names its `source` (standard and edition, handbook, or "generic, invented for mountgen").
"""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from mountgen.geometry import Vec2


def require(*rules: tuple[str, bool]) -> None:
    """ValueError with every rule that does not hold: pydantic makes it a fault of the record."""
    broken = [text for text, holds in rules if not holds]
    if broken:
        raise ValueError("; ".join(broken))


Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]


class Record(BaseModel):
    """Frozen, strict, no unknown keys, no nan or infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    name: str
    source: str


class Material(Record):
    """A metal, with the bend radius it stands: inside radius / thickness, at least."""

    title: str
    e_mpa: Positive
    g_mpa: Positive
    density_kg_per_m3: Positive
    yield_mpa: Positive
    ultimate_mpa: Positive
    min_bend_ratio: NotNegative


class ChannelRail(Record):
    """A channel section: web, two equal flanges.

    `forming` is 'formed' (one sheet thickness, bends with inside radius) or 'hot_rolled' (web and
    flange of their own thickness, root fillet; `flange_slope` is the taper, 0.08 for 8 %, and the
    flange thickness is then that at `flange_thickness_at` from the web's outer face, or at half the
    flange width where this is 0). `depth`, `flange_width` and `lip` are outer dimensions.
    """

    kind: Literal["channel"] = "channel"
    forming: Literal["formed", "hot_rolled"]
    title: str
    standard: str
    depth: Positive
    flange_width: Positive
    web_thickness: Positive
    flange_thickness: Positive
    inside_radius: NotNegative
    toe_radius: NotNegative = 0.0
    flange_slope: NotNegative = 0.0
    flange_thickness_at: NotNegative = 0.0
    lip: NotNegative = 0.0
    material: str
    published: dict[str, float] = {}
    """Figures of the standard's own table, for the tests: area_mm2, i_strong_mm4, mass_kg_per_m ..."""

    @model_validator(mode="after")
    def _can_be_drawn(self) -> Self:
        toe = self.flange_thickness - self.flange_slope * self.flange_width / 2
        lip_root = self.web_thickness + self.inside_radius if self.lip else 0.0
        formed = self.forming == "formed"
        require(
            ("a formed channel has one thickness", not formed or self.web_thickness == self.flange_thickness),
            ("only a formed channel has a lip", formed or not self.lip),
            ("a formed channel has no taper and no toe radius", not formed or toe == self.flange_thickness),
            ("the web needs a flat part", self.depth > 2 * (self.flange_thickness + self.inside_radius)),
            ("the flange must reach past its radii", self.flange_width > self._flange_roots(lip_root)),
            ("the lip must reach past its radius", not self.lip or self.lip > lip_root),
            ("the lips must leave a mouth between them", self.depth > 2 * self.lip),
            ("the toe must be thicker than its radius", toe > self.toe_radius),
        )
        return self

    def _flange_roots(self, lip_root: float) -> float:
        return self.web_thickness + self.inside_radius + max(self.toe_radius, lip_root)


class Extrusion(Record):
    """A square T-slot extrusion; the section is drawn by us and its properties are computed.

    A slot is `slot_width` wide through the lips, `slot_inner_width` behind them and `slot_depth` deep
    from the bar's face; webs of `web_thickness` run from the core along the diagonals to the corners,
    each of which holds a square hollow of side `corner_void`. A T-slot nut is `nut_length` along the
    slot, `nut_width` across it and reaches `nut_height` behind the lips.
    """

    title: str
    size: Positive
    slot_width: Positive
    lip_thickness: Positive
    slot_inner_width: Positive
    slot_depth: Positive
    web_thickness: Positive
    corner_void: NotNegative
    core_bore: NotNegative
    corner_radius: NotNegative
    nut_thread: str
    nut_length: Positive
    nut_width: Positive
    nut_height: Positive
    material: str
    area_mm2: Positive
    i_mm4: Positive
    j_mm4: Positive

    @model_validator(mode="after")
    def _can_be_drawn(self) -> Self:
        half, web = self.size / 2, self.web_thickness / math.sqrt(2)
        behind, floor = half - self.lip_thickness, half - self.slot_depth
        corner = half - self.slot_inner_width / 2
        require(
            ("the slot must be wider behind the lips", self.slot_inner_width > self.slot_width),
            ("the slot must keep its width behind the lips", behind > self.slot_inner_width / 2 + web),
            ("the slot's floor must lie behind its lips and leave a core", web < floor < behind),
            ("the core must hold its bore", floor > self.core_bore / 2),
            (
                "the corner must hold its hollow and its radius",
                corner > max(self.corner_void, self.corner_radius),
            ),
            ("the nut must go into the slot", self.nut_width < self.slot_inner_width),
            ("the nut must not meet the slot's floor", self.nut_height < behind - floor),
        )
        return self


class RivetNut(BaseModel):
    """A blind rivet nut with a reduced countersunk head, flush with the wall that it is set into: the hole
    it asks for, the walls that it grips (from, to), its lengths as bought and when set, and the
    diameter of the bulge behind the wall."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    hole: Positive
    grip: Vec2
    length: Positive
    set_length: Positive
    bulge: Positive


class Anchor(Record):
    """A bolt that is set into a hole in a concrete floor, through the plate that it holds.

    `hole` and `depth` are drilled, `embedded` of its `length` stand in the floor; `pull_n` and `shear_n` are
    what it bears in use, safety included, and `edge` its least distance to an edge or joint of the floor.
    """

    title: str
    hole: Positive
    depth: Positive
    length: Positive
    embedded: Positive
    pull_n: Positive
    shear_n: Positive
    edge: Positive


class Thread(Record):
    """A thread size with what is drilled and fitted for it.

    `head_diameter` is the plain socket head's, `head_diameter_max` the largest of a knurled one. A press
    nut's shank fills a hole of `press_nut_hole` in a sheet at least as thick as `press_nut_shank`.
    """

    screw_standard: str
    property_class: str
    washer_designation: str
    nut_designation: str

    diameter: Positive
    pitch: Positive
    stress_area_mm2: Positive
    tap_drill: Positive
    clearance_close: Positive
    clearance_medium: Positive
    clearance_coarse: Positive
    head_diameter: Positive
    head_diameter_max: Positive
    head_height: Positive
    key: Positive
    key_text: str
    washer_inner: Positive
    washer_outer: Positive
    washer_thickness: Positive
    nut_across_flats: Positive
    nut_height: Positive
    press_nut_hole: Positive
    press_nut_shank: Positive
    press_nut_diameter: Positive
    press_nut_height: Positive
    screw_lengths: tuple[Positive, ...]
    torque_nm: Positive
    """Tightening torque for property class 8.8 (or grade 5) dry, friction 0.12."""
    rivet_nuts: tuple[RivetNut, ...] = ()
    """For walls that can be reached from one side only, thinnest walls first."""

    def rivet_nut(self, wall: float) -> RivetNut:
        """The rivet nut for a wall (mm): the first that grips it, else the one for the thickest walls."""
        return next(
            (nut for nut in self.rivet_nuts if nut.grip[0] <= wall <= nut.grip[1]), self.rivet_nuts[-1]
        )


class PatternHole(BaseModel):
    """One fixing hole of a device: position on its mounting face and thread."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    at: Vec2
    thread: str
    depth: Positive


class Head(Record):
    """A print head. Its frame: origin at the middle of the nozzle column on the nozzle face, x along
    the flow (x of the world), u along the column (up when upright), n out of the nozzle face.

    The body fills x in [-x_before, x_after], u in [-u_below, u_above], n in [-depth, 0]. It is fixed by
    its back face (n = -depth): `pattern` positions are (x, u) on it.
    """

    title: str
    print_height: Positive
    nozzles: int = Field(gt=0)
    column_dpi: Positive
    max_column_rate_hz: Positive
    tilt_min_deg: float
    tilt_max_deg: float
    x_before: Positive
    x_after: Positive
    u_below: Positive
    u_above: Positive
    depth: Positive
    mass_kg: Positive
    pattern: tuple[PatternHole, ...]
    cable_length: Positive
    cable_bend_radius: Positive
    service_room: Positive
    """mm over the body's top to take the cartridge out; cable and cartridge are at that end."""

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        half = self.print_height / 2
        require(
            ("the tilt range runs upwards", self.tilt_min_deg <= self.tilt_max_deg),
            ("the body must hold the nozzle column", min(self.u_below, self.u_above) >= half),
            ("every fixing hole must lie on the back", all(self._on_back(*hole.at) for hole in self.pattern)),
        )
        return self

    @property
    def singles(self) -> tuple[tuple[Head, float], ...]:
        """Every body with how far its column's middle stands over the lowest's, mm."""
        return ((self, 0.0),)

    def _on_back(self, x: float, u: float) -> bool:
        return -self.x_before < x < self.x_after and -self.u_below < u < self.u_above


class Reflector(BaseModel):
    """What a retro-reflective photo-eye's range holds for: a plate of prisms, `width` along the line, fixed
    by screws through it; `pattern` positions are (along the line, up) from its middle."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    title: str
    width: Positive
    height: Positive
    depth: Positive
    mass_kg: Positive
    pattern: tuple[PatternHole, ...]

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        half = (self.width / 2, self.height / 2)
        inside = all(abs(x) < half[0] and abs(y) < half[1] for x, y in (hole.at for hole in self.pattern))
        require(("a reflector needs screw holes, all of them on it", inside and bool(self.pattern)))
        return self


class Sensor(Record):
    """A photo-eye that looks along its own axis. `body` 'barrel' is a threaded tube clamped by two
    nuts (`nut_outer` across their corners), 'flat' a small box fixed by its side face with `pattern`
    (behind the front, across): through holes along the width.

    `kind` is how it sees: 'diffuse' by the product's own light back, 'retro' by a product between it and its
    `reflector`, 'through_beam' by one between it and a receiver of the same body. A range is that to the
    product, the reflector or the receiver. `suppresses_background`: a diffuse one that judges distance and
    not brightness. `polarised`: a retro one that does not take a shiny product for its reflector.
    `sees_clear`: one for products that light goes through.
    """

    title: str
    kind: Literal["diffuse", "retro", "through_beam"] = "diffuse"
    suppresses_background: bool = False
    polarised: bool = False
    sees_clear: bool = False
    reflector: Reflector | None = None
    body: Literal["barrel", "flat"]
    diameter: NotNegative = 0.0
    nut_outer: NotNegative = 0.0
    nut_thickness: NotNegative = 0.0
    width: NotNegative = 0.0
    height: NotNegative = 0.0
    length: Positive
    range_min: NotNegative
    range_max: Positive
    response_ms: Positive
    beam_diameter: Positive
    mass_kg: Positive
    pattern: tuple[PatternHole, ...] = ()

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        barrel = self.diameter > 0 and self.nut_thickness > 0
        barrel = barrel and self.nut_outer * math.sqrt(3) / 2 > self.diameter
        box = self.width > 0 and self.height > 0 and bool(self.pattern)
        require(
            ("a barrel needs diameter, nut_outer and nut_thickness", self.body == "flat" or barrel),
            ("a flat eye needs width, height and pattern", self.body == "barrel" or box),
            ("range_min must be under range_max", self.range_min < self.range_max),
            ("a retro eye, and no other, has a reflector", (self.kind == "retro") == bool(self.reflector)),
            (
                "an eye with a unit beyond the line is a barrel",
                not self.looks_across or self.body == "barrel",
            ),
            ("only a diffuse eye suppresses the background", self._diffuse or not self.suppresses_background),
            ("only a retro eye is polarised", self.kind == "retro" or not self.polarised),
        )
        return self

    @property
    def _diffuse(self) -> bool:
        return self.kind == "diffuse"

    @property
    def looks_across(self) -> bool:
        """Whether it needs a second unit beyond the line: a reflector or a receiver."""
        return self.kind != "diffuse"


class Encoder(Record):
    """A measuring wheel on a shaft encoder. The body is a cylinder, fixed by its face around the shaft;
    `pattern` positions are on that face, origin at the shaft; the wheel's middle is `wheel_offset` in
    front of the face."""

    title: str
    pulses_per_turn: int = Field(gt=0)
    edges_per_pulse: Literal[1, 2, 4]
    max_frequency_hz: Positive
    wheel_circumference: Positive
    wheel_width: Positive
    wheel_offset: Positive
    body_diameter: Positive
    body_length: Positive
    boss_diameter: Positive
    boss_height: Positive
    shaft_diameter: Positive
    mass_kg: Positive
    pattern: tuple[PatternHole, ...]


class Controller(Record):
    """A controller box with its screen in front; `pattern` positions are on the back, from its middle."""

    title: str
    width: Positive
    height: Positive
    depth: Positive
    mass_kg: Positive
    sensor_distance_min: NotNegative
    sensor_distance_max: Positive
    max_divider: int = Field(gt=0)
    max_encoder_hz: Positive
    queue_depth: int = Field(gt=0)
    pattern: tuple[PatternHole, ...]
    head_ports: int = Field(gt=0)
