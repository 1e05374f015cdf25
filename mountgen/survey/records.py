"""The survey as measured: immutable, validated, in millimetres, degrees, kilograms and seconds.

A *measured* value is a float that remembers how far it may be off. An *assumption* is a value that the
survey did not give and that was filled in; every document lists them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.rail_view import RailSection
from mountgen.catalogue.rails import Rail
from mountgen.catalogue.records import Controller, Encoder, Head, Sensor
from mountgen.mechanics.vibration import Spectrum
from mountgen.units import Measured as Measured  # noqa: PLC0414  readers of these records need it too

if TYPE_CHECKING:
    from mountgen.survey.product_list.records import ProductList
    from mountgen.survey.product_list.table import ProductTable

Flow = Literal["left_to_right", "right_to_left"]
Surface = Literal["belt", "rollers", "chain"]
Against = Literal["near", "far", "centre"]
Family = Literal["rail_mast", "slot_rail", "rail_clamp", "bridge", "floor_stand"]
"""How the mount is held; `layout.families` says what each is and when it can be."""
Face = Literal["near_side", "top"]
Look = Literal["matt", "shiny", "clear"]
"""How products look to a photo-eye: clear ones let its light through."""


@dataclass(frozen=True)
class Assumption:
    """A value that was filled in: its survey key, the value as text with its unit, and why."""

    key: str
    value: str
    reason: str


@dataclass(frozen=True)
class Line:
    """The conveyor. Rollers stand at x = first_roller_at + k * roller_pitch, axle at z = -diameter/2."""

    flow: Flow
    speed_mm_per_s: float
    surface: Surface
    roller_pitch: float
    roller_diameter: float
    roller_axle_diameter: float
    first_roller_at: float
    surface_height: Measured
    slope_deg: float
    environment: Literal["dry", "dusty", "washdown"]
    bed_from_y: float
    """Where the conveying surface begins, from the rail's web."""
    chain_pitch: float | None = None
    """From link to link of the chain that drives or carries, mm; None where there is none."""
    drive_rpm: float | None = None
    """Turns a minute of the drive's motor."""


@dataclass(frozen=True)
class RailFile:
    """A drawn cross-section of the rail: the file as the survey names it, the unit of a drawing that does not
    say its own, which closed outline (1 is the largest) and which layer to read."""

    path: str
    units: Literal["mm", "in"] | None
    loop: int | None
    layer: str | None


@dataclass(frozen=True)
class ProductFile:
    """A list of products, CSV or XLSX: the file as the survey names it, the column of each key where the two
    names differ, and how the file is to be read where it does not tell."""

    path: str
    mapping: tuple[tuple[str, str], ...]
    delimiter: str | None
    encoding: str | None
    sheet: str | None
    units: Literal["mm", "in"] | None


@dataclass(frozen=True)
class Keepout:
    """A box of the world frame that the mount and its holes stay out of."""

    what: str
    x: tuple[float, float]
    y: tuple[float, float]
    z: tuple[float, float]


@dataclass(frozen=True)
class RailSite:
    """The side rail where the mount goes."""

    profile: Rail
    top_above_surface: Measured
    opens: Literal["in", "out"]
    far_rail_at: float
    free_from: float
    free_to: float
    attach: tuple[str, ...]
    keepouts: tuple[Keepout, ...]
    supports_apart: float = 1500.0
    """From leg to leg: the span in which the rail bends and twists, mm."""

    @cached_property
    def section(self) -> RailSection:
        """The profile as it opens on this line."""
        return rail_section(self.profile, self.opens)


@dataclass(frozen=True)
class Guides:
    """Product guides; `depth` is how far a guide and its brackets reach back from its inner face, `play` how
    far a product may wander between the guide and where it should run."""

    near_y: Measured
    far_y: Measured
    z: tuple[float, float]
    open: tuple[float, float] | None
    depth: float
    play: float = 0.0


@dataclass(frozen=True)
class Code:
    """The printed code: `size` is (along the flow, across it). Exactly one of above_base and below_top
    is given on the near side (from the conveying surface up to the code's bottom; from the product's top
    down to the code's top), `from_near` on the top."""

    face: Face
    size: tuple[float, float]
    from_leading: float
    above_base: float | None = None
    below_top: float | None = None
    from_near: float | None = None


@dataclass(frozen=True)
class Product:
    """One product as it lies on the line. `near_side_at` is y of its near side when no guide places it.

    `bulge` is how far the printed face may stand out (or fall in) from flat, `skew_deg` how far the
    product may turn on the line. `clearance_height` is its highest point over the conveying surface, lid
    flaps and soft tops included, when that is not `height`.
    """

    name: str
    length: Measured
    width: Measured
    height: Measured
    against: Against
    gap: float
    code: Code
    bulge: float
    skew_deg: float
    near_side_at: Measured | None = None
    clearance_height: float | None = None
    mass_kg: float | None = None


@dataclass(frozen=True)
class StandOff:
    """Distance from nozzle plate to product: target, best band, acceptable band, and how finely a
    person can set it."""

    target: float
    best: tuple[float, float]
    acceptable: tuple[float, float]
    setting: float


@dataclass(frozen=True)
class Shaking:
    """How the line shakes: an acceleration measured on the rail (rms, or a spectrum), damping, and how a
    product may bump into the mount's shoe or the guide beside it."""

    rms_mm_per_s2: float | None = None
    spectrum: Spectrum | None = None
    damping: float = 0.02
    """Share of critical damping: bolted frames of bars, 2 to 3 per cent (common practice)."""
    impact_speed_mm_per_s: float = 50.0
    """How fast a product comes across the line when it meets the shoe."""
    contact_time_s: float = 0.02


@dataclass(frozen=True)
class Joining:
    """What the joints are worth where nobody measured them; rotational stiffness of one bolted plate joint
    and of one T-slot joint (a pair of screws), N mm/rad."""

    plate_stiffness: float = 5.0e7
    tslot_stiffness: float = 1.5e7
    friction: float = 0.15
    hand_force: float = 50.0
    """N of a person who leans on the head."""


@dataclass(frozen=True)
class Work:
    """How exactly the parts are made and the rail is drilled: limits to either side, mm and deg. None means
    ISO 2768-1, class m, for the length or the leg in question."""

    cut: float | None = None
    """Place of a hole or an edge within one flat."""
    bend_line: float = 0.3
    bend_deg: float | None = None
    saw: float | None = None
    """Length of a bar."""
    saw_square_deg: float = 0.5
    drill: float = 1.0
    """Place of a hole drilled by hand through a template."""


@dataclass(frozen=True)
class Survey:
    """Everything that was measured, with the devices chosen from the catalogue."""

    name: str
    units: Literal["mm", "in"]
    line: Line
    rail: RailSite
    guides: Guides | None
    products: ProductTable
    standoff: StandOff
    head: Head
    sensor: Sensor
    encoder: Encoder | None
    controller: Controller
    sensor_distance: float | None
    assumptions: tuple[Assumption, ...]
    source_sha256: str
    shaking: Shaking = Shaking()
    joining: Joining = Joining()
    work: Work = Work()
    revision: str = ""
    """The revision index of its documents, '' for none."""
    day_order: tuple[str, ...] = ()
    """The products of a day in their order, () where the survey does not say."""
    product_list: ProductList | None = None
    """Where the products came from, when that was a list: rows read, refused and doubtful."""
    family: Family | None = None
    """The mount's family where it is settled; None leaves the choice to the study."""

    @property
    def is_clamped(self) -> bool:
        """Whether its mount clamps the rail."""
        return self.family == "rail_clamp"

    sees: Look = "matt"
