"""From the file's tables to the survey's records, with a note of every value that was filled in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypeVar

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.rail_view import RailSection
from mountgen.catalogue.rails import Rail
from mountgen.catalogue.records import Controller, Encoder, Head, Sensor
from mountgen.survey.conditions import joining, shaking, work
from mountgen.survey.product_list.records import ProductList
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.raw import RawGuides, RawKeepout, RawLine, RawProduct, RawRail, RawStandOff, RawSurvey
from mountgen.survey.records import (
    Assumption,
    Code,
    Guides,
    Keepout,
    Line,
    Product,
    RailSite,
    StandOff,
    Survey,
)
from mountgen.units import Measured, System, format_length

if TYPE_CHECKING:
    from mountgen.mechanics.vibration import Spectrum

T = TypeVar("T")

ROLLER_DIAMETER = 50.0
ROLLER_AXLE_DIAMETER = 12.0
BED_GAP = 5.0
"""mm from the rail's inner edge to the conveying surface."""
GUIDE_DEPTH = 25.0
BULGE = 1.0
SKEW_DEG = 0.5
PLAY = 0.0
SUPPORTS_APART = 1500.0
SETTING = 0.5
"""mm; what a person sets with a scale and a thumb."""
MOST_NAMES = 6
_PRODUCT_REASONS = {
    "bulge": "not given; what packed faces usually stand out",
    "skew_deg": "not given; what guided products usually turn",
    "clearance_height": "not given; nothing stands above the product's height",
    "height": "no +/- given; the height taken as exact",
    "near_side_at": "no +/- given; the place taken as exact",
}
KEEPOUT_STANDS_OUT = 30.0
"""mm that a bolt or the like stands out from the rail's web when the survey does not say."""


@dataclass(frozen=True)
class Equipment:
    """The profile and the devices that the survey names."""

    profile: Rail
    head: Head
    sensor: Sensor
    encoder: Encoder | None
    controller: Controller


@dataclass(frozen=True)
class Attached:
    """What stands in the other files that the survey names: the list of products, the spectrum."""

    listed: ProductList | None
    spectrum: Spectrum | None


@dataclass(frozen=True)
class _Notes:
    """What was assumed so far, for one survey."""

    units: System
    made: list[Assumption] = field(default_factory=list)

    def length(self, given: float | None, key: str, default: float, reason: str) -> float:
        text = format_length(default, self.units)
        return self.value(given, key, (default, text), reason)

    def value(self, given: T | None, key: str, default: tuple[T, str], reason: str) -> T:
        """What was given, else the default (a value and its text), noted."""
        if given is not None:
            return given
        self.made.append(Assumption(key, default[1], reason))
        return default[0]


def assemble(raw: RawSurvey, equipment: Equipment, attached: Attached, source_sha256: str) -> Survey:
    """The survey of a file that has been found right, with what stands in the files that it names."""
    notes = _Notes(raw.units or "mm")
    notes.value(
        raw.units, "units", ("mm", "mm"), "not given; every length has its own unit, results are in mm"
    )
    section, listed = rail_section(equipment.profile, raw.rail.opens), attached.listed
    plain = Survey(
        name=raw.name,
        units=notes.units,
        line=_line(raw.line, section, notes),
        rail=_rail(raw.rail, equipment.profile, section, notes),
        guides=_guides(raw.guides, notes) if raw.guides else None,
        products=_listed(raw, listed, notes) if listed else ProductTable.of(_products(raw.product, notes)),
        standoff=_standoff(raw.standoff, notes),
        head=equipment.head,
        sensor=equipment.sensor,
        encoder=_noted_encoder(equipment.encoder, notes),
        controller=equipment.controller,
        sensor_distance=raw.sensor.distance,
        assumptions=tuple(notes.made),
        source_sha256=source_sha256,
        revision=raw.revision or "",
        day_order=tuple(raw.day_order),
        product_list=listed,
        family=raw.mount.family,
        sees=raw.sensor.sees,
    )
    return _with_conditions(plain, raw, attached.spectrum)


def _with_conditions(plain: Survey, raw: RawSurvey, spectrum: Spectrum | None) -> Survey:
    """The survey with how the line shakes, what joints are worth and how exactly parts are made."""
    shakes, of_shaking = shaking(raw.shaking, spectrum)
    joins, of_joining = joining(raw.joining)
    works, of_work = work(raw.work, plain.units)
    noted = (*plain.assumptions, *of_shaking, *of_joining, *of_work)
    return replace(plain, shaking=shakes, joining=joins, work=works, assumptions=noted)


def _line(raw: RawLine, section: RailSection, notes: _Notes) -> Line:
    pitch, diameter, axle, first = _rollers(raw, notes)
    level, dry = (
        "not given; the bed taken as level",
        "not given; a dry packing hall, no wash-down, little dust",
    )
    return Line(
        flow=raw.flow,
        speed_mm_per_s=raw.speed,
        surface=raw.surface,
        roller_pitch=pitch,
        roller_diameter=diameter,
        roller_axle_diameter=axle,
        first_roller_at=first,
        surface_height=raw.surface_height,
        slope_deg=notes.value(raw.slope_deg, "line.slope_deg", (0.0, "0 deg"), level),
        environment=notes.value(raw.environment, "line.environment", ("dry", "dry"), dry),
        bed_from_y=_bed_from_y(raw, section, notes),
        chain_pitch=raw.chain_pitch,
        drive_rpm=raw.drive_speed,
    )


def _rollers(raw: RawLine, notes: _Notes) -> tuple[float, float, float, float]:
    """Pitch, diameter, axle diameter and place of one roller; zeros where there are none."""
    if raw.roller_pitch is None:
        return 0.0, raw.roller_diameter or 0.0, raw.roller_axle_diameter or 0.0, raw.first_roller_at or 0.0
    pitch, usual = raw.roller_pitch, "not given; a usual size of light roller conveyors"
    halfway = "not given; the print line halfway between two rollers"
    return (
        pitch,
        notes.length(raw.roller_diameter, "line.roller_diameter", ROLLER_DIAMETER, usual),
        notes.length(raw.roller_axle_diameter, "line.roller_axle_diameter", ROLLER_AXLE_DIAMETER, usual),
        notes.length(raw.first_roller_at, "line.first_roller_at", pitch / 2, halfway),
    )


def _bed_from_y(raw: RawLine, section: RailSection, notes: _Notes) -> float:
    reason = f"not given; the rail's inner edge and {format_length(BED_GAP, notes.units)}"
    return notes.length(raw.bed_from_y, "line.bed_from_y", section.reach_in + BED_GAP, reason)


def _rail(raw: RawRail, profile: Rail, section: RailSection, notes: _Notes) -> RailSite:
    keepouts = [_keepout(item, number, section, notes) for number, item in enumerate(raw.keepout, 1)]
    if not keepouts:
        notes.made.append(Assumption("rail.keepout", "none", "none given; the free stretch taken as clear"))
    _note_exact(raw.top_above_surface, "rail.top_above_surface", notes)
    return RailSite(
        profile=profile,
        top_above_surface=raw.top_above_surface,
        opens=raw.opens,
        far_rail_at=raw.far_rail_at,
        free_from=raw.free_from,
        free_to=raw.free_to,
        attach=tuple(dict.fromkeys(raw.attach)),
        keepouts=tuple(keepouts),
        supports_apart=notes.length(
            raw.supports_apart,
            "rail.supports_apart",
            SUPPORTS_APART,
            "not given; a usual distance from leg to leg (common practice)",
        ),
    )


def _keepout(raw: RawKeepout, number: int, section: RailSection, notes: _Notes) -> Keepout:
    low, high = -KEEPOUT_STANDS_OUT, section.reach_in
    text = f"{format_length(low, notes.units)} to {format_length(high, notes.units)}"
    reason = f"not given for the {raw.what}; from in front of the web to the rail's inner edge"
    across = notes.value(raw.y, f"rail.keepout[{number}].y", ((low, high), text), reason)
    return Keepout(raw.what, raw.x, across, raw.z)


def _guides(raw: RawGuides, notes: _Notes) -> Guides:
    _note_exact(raw.near_y, "guides.near_y", notes)
    if raw.open is None:
        reason = "not given; the near guide taken as running through past the print line"
        notes.made.append(Assumption("guides.open", "none", reason))
    return Guides(
        near_y=raw.near_y,
        far_y=raw.far_y,
        z=raw.z,
        open=raw.open,
        depth=notes.length(raw.depth, "guides.depth", GUIDE_DEPTH, "not given; a usual guide and bracket"),
        play=notes.length(
            raw.play, "guides.play", PLAY, "not given; products taken as running along the guide"
        ),
    )


def _note_exact(value: Measured, key: str, notes: _Notes) -> None:
    """A measured length without +/- counts as exact, which is an assumption too."""
    if not value.plus_minus:
        text = f"+/- {format_length(0.0, notes.units)}"
        notes.made.append(Assumption(key, text, "no +/- given; the length taken as exact"))


def _standoff(raw: RawStandOff, notes: _Notes) -> StandOff:
    reason = "not given; what a person sets by a scale and a thumb"
    setting = notes.length(raw.setting, "standoff.setting", SETTING, reason)
    return StandOff(raw.target, raw.best, raw.acceptable, setting)


def _products(raws: Iterable[RawProduct], notes: _Notes) -> tuple[Product, ...]:
    """The products; one note a key, naming the products it was filled in for."""
    raws = tuple(raws)
    exact = f"+/- {format_length(0.0, notes.units)}"
    for key, value, lacking in (
        ("bulge", format_length(BULGE, notes.units), [raw.name for raw in raws if raw.bulge is None]),
        ("skew_deg", f"{SKEW_DEG:g} deg", [raw.name for raw in raws if raw.skew_deg is None]),
        ("clearance_height", "height", [raw.name for raw in raws if raw.clearance_height is None]),
        ("height", exact, [raw.name for raw in raws if not raw.height.plus_minus]),
        ("near_side_at", exact, [raw.name for raw in raws if _is_exact(raw.near_side_at)]),
    ):
        if lacking:
            notes.made.append(Assumption(f"product.{key}", value, _lacking(key, lacking)))
    return tuple(_product(raw) for raw in raws)


def _listed(raw: RawSurvey, listed: ProductList, notes: _Notes) -> ProductTable:
    """The list's products; one note a key that neither the list nor the survey gives."""
    assert raw.products is not None
    count = f"{len(listed.table)} products of the list"
    for key, value, given in (
        ("bulge", format_length(BULGE, notes.units), raw.products.bulge),
        ("skew_deg", f"{SKEW_DEG:g} deg", raw.products.skew_deg),
        ("height", f"+/- {format_length(0.0, notes.units)}", raw.products.height_plus_minus),
    ):
        if given is None:
            notes.made.append(Assumption(f"products.{key}", value, f"{_PRODUCT_REASONS[key]}: {count}"))
    return listed.table


def _is_exact(length: Measured | None) -> bool:
    return length is not None and not length.plus_minus


def _lacking(key: str, names: list[str]) -> str:
    """Why a product's value was filled in, and for which products; the first ones stand for many."""
    shown = ", ".join(names[:MOST_NAMES])
    more = f" and {len(names) - MOST_NAMES} more" if len(names) > MOST_NAMES else ""
    return f"{_PRODUCT_REASONS[key]}: {shown}{more}"


def _product(raw: RawProduct) -> Product:
    code = raw.code
    return Product(
        name=raw.name,
        length=raw.length,
        width=raw.width,
        height=raw.height,
        against=raw.against or "near",
        gap=raw.gap,
        code=Code(code.face, code.size, code.from_leading, code.above_base, code.below_top, code.from_near),
        bulge=BULGE if raw.bulge is None else raw.bulge,
        skew_deg=SKEW_DEG if raw.skew_deg is None else raw.skew_deg,
        near_side_at=raw.near_side_at,
        clearance_height=raw.clearance_height,
        mass_kg=raw.mass,
    )


def _noted_encoder(encoder: Encoder | None, notes: _Notes) -> Encoder | None:
    if encoder is None:
        reason = "no [encoder]; the line taken as running at its fastest speed, always"
        notes.made.append(Assumption("encoder", "none", reason))
    return encoder
