"""Random surveys: the same seed gives the same survey. Many of them can be built, not all."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

from shops import SHOP

from mountgen.catalogue.rail_section import rail_section
from mountgen.catalogue.rails import Rail
from mountgen.catalogue.reader import Catalogue
from mountgen.catalogue.records import Encoder, Head
from mountgen.study import Study, study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import (
    Code,
    Guides,
    Keepout,
    Line,
    Measured,
    Product,
    RailSite,
    StandOff,
    Survey,
)

CATALOGUE = Catalogue()
TALL_ENOUGH = 45.0
"""mm of flat from which on a rail can be bolted to at all."""


def _can_be_bolted(rail: Rail) -> bool:
    low, high = rail_section(rail).web_flat
    return high - low > TALL_ENOUGH


DIFFUSE = [name for name in CATALOGUE.names("sensors") if not CATALOGUE.sensor(name).looks_across]
"""Photo-eyes that turn with the head; those that look across the line have tests of their own."""
EVERY_RAIL = tuple(CATALOGUE.rail(name) for name in CATALOGUE.names("rails"))
RAILS = tuple(rail for rail in EVERY_RAIL if _can_be_bolted(rail))
STANDOFFS = (
    StandOff(3.175, (1.5, 4.8), (0.8, 6.4), 0.4),
    StandOff(3.2, (2.0, 4.5), (1.0, 6.0), 0.5),
    StandOff(4.0, (2.0, 6.0), (1.0, 9.0), 0.5),
)


def random_survey(seed: int, rails: tuple[Rail, ...] = RAILS) -> Survey:
    """One line with everything chosen by the seed: pose, flow, rail, devices, products, site."""
    dice = Random(seed)
    downward = dice.random() < 0.5
    head = _head(dice, downward=downward)
    profile = dice.choice(rails)
    rail = _rail(dice, profile)
    line = _line(dice, rail)
    guides = _guides(dice, rail, downward=downward)
    survey = Survey(
        name=f"random-{seed}",
        units="mm",
        line=line,
        rail=rail,
        guides=guides,
        products=ProductTable.of(_products(dice, head, rail, guides, downward=downward)),
        standoff=dice.choice(STANDOFFS),
        head=head,
        sensor=CATALOGUE.sensor(dice.choice(DIFFUSE)),
        encoder=_encoder(dice, head),
        controller=CATALOGUE.controller(dice.choice(CATALOGUE.names("controllers"))),
        sensor_distance=dice.choice((None, None, None, 70.0, 90.0)),
        assumptions=(),
        source_sha256="0" * 64,
    )
    return mirrored_line(survey) if dice.random() < 0.5 else survey


def mirrored_line(survey: Survey) -> Survey:
    """The same site seen in a mirror at x = 0, its devices as they are."""
    flows = {"left_to_right": "right_to_left", "right_to_left": "left_to_right"}
    line = replace(
        survey.line,
        flow=flows[survey.line.flow],
        first_roller_at=-survey.line.first_roller_at,
    )
    rail = replace(
        survey.rail,
        free_from=-survey.rail.free_to,
        free_to=-survey.rail.free_from,
        keepouts=tuple(replace(k, x=(-k.x[1], -k.x[0])) for k in survey.rail.keepouts),
    )
    guides = survey.guides
    if guides is not None and guides.open is not None:
        guides = replace(guides, open=(-guides.open[1], -guides.open[0]))
    return replace(survey, line=line, rail=rail, guides=guides)


def mirrored_devices(survey: Survey) -> Survey:
    """The same site with the mirror image of every device: what no shop sells, but a test can make."""

    def flipped(pattern):
        return tuple(hole.model_copy(update={"at": (-hole.at[0], hole.at[1])}) for hole in pattern)

    head: Head = survey.head.model_copy(
        update={
            "x_before": survey.head.x_after,
            "x_after": survey.head.x_before,
            "pattern": flipped(survey.head.pattern),
        }
    )
    controller = survey.controller.model_copy(update={"pattern": flipped(survey.controller.pattern)})
    encoder = survey.encoder
    if encoder is not None:
        encoder = encoder.model_copy(update={"pattern": flipped(encoder.pattern)})
    return replace(survey, head=head, controller=controller, encoder=encoder)


def _head(dice: Random, *, downward: bool) -> Head:
    heads = [CATALOGUE.head(name) for name in CATALOGUE.names("heads")]
    tilt = 90.0 if downward else 0.0
    return dice.choice([head for head in heads if head.tilt_min_deg <= tilt <= head.tilt_max_deg])


def _encoder(dice: Random, head: Head) -> Encoder | None:
    """None, or a wheel whose counts divide to the head's resolution within 2 %."""
    known = (CATALOGUE.encoder(name) for name in CATALOGUE.names("encoders"))
    fine = [encoder for encoder in known if _divides(encoder, head.column_dpi)]
    return dice.choice([None, *fine])


def _divides(encoder: Encoder, dpi: float) -> bool:
    counts = encoder.pulses_per_turn * encoder.edges_per_pulse / encoder.wheel_circumference * 25.4 / dpi
    return counts >= 1 and abs(counts / round(counts) - 1) < 0.02


def _rail(dice: Random, profile: Rail) -> RailSite:
    top = round(dice.uniform(-25, -3), 1)
    keepouts = tuple(_keepout(dice, profile, top) for _ in range(dice.choice((0, 0, 1, 1, 2))))
    return RailSite(
        profile=profile,
        top_above_surface=Measured(top, dice.choice((0.0, 1.0, 2.0, 3.0))),
        opens=dice.choice(("in", "out")),
        far_rail_at=700.0,
        free_from=-700.0,
        free_to=700.0,
        attach=("bolted",),
        keepouts=keepouts,
    )


def _keepout(dice: Random, profile: Rail, top: float) -> Keepout:
    """A bolt's head on the web, or the corner of a leg below it."""
    x, z = dice.uniform(-300, 300), top - dice.uniform(0.3, 0.9) * rail_section(profile).depth
    half = dice.uniform(8, 20)
    box = ((x - half, x + half), (-20.0, 30.0), (z - half, z + half))
    return Keepout("leg bolt", *box)


def _line(dice: Random, rail: RailSite) -> Line:
    rollers = dice.random() < 0.6
    pitch = dice.choice((60.0, 75.0, 100.0)) if rollers else 0.0
    return Line(
        flow="left_to_right",
        speed_mm_per_s=dice.uniform(100, 600),
        surface="rollers" if rollers else "belt",
        roller_pitch=pitch,
        roller_diameter=dice.choice((40.0, 50.0)) if rollers else 0.0,
        roller_axle_diameter=dice.choice((8.0, 12.0)) if rollers else 0.0,
        first_roller_at=round(dice.uniform(0, pitch), 1),
        surface_height=Measured(850.0, 5.0),
        slope_deg=0.0,
        environment="dry",
        bed_from_y=rail.section.reach_in + 5.0,
    )


def _guides(dice: Random, rail: RailSite, *, downward: bool) -> Guides | None:
    if dice.random() < 0.45:
        return None
    near = _nearest(dice, rail)
    spread = dice.choice((0.0, 0.3, 0.5))
    opening = None if downward else (-float(dice.randint(95, 125)), float(dice.randint(58, 80)))
    low = dice.uniform(15, 40)
    return Guides(Measured(near, spread), Measured(near + 450.0, 1.0), (low, low + 25.0), opening, 20.0)


def _nearest(dice: Random, rail: RailSite) -> float:
    """y of the near guide or of a product's side: over the bed, with room for a measuring wheel."""
    return round(rail.section.reach_in + dice.uniform(55, 110), 1)


def _products(
    dice: Random, head: Head, rail: RailSite, guides: Guides | None, *, downward: bool
) -> tuple[Product, ...]:
    near = None if guides else _nearest(dice, rail)
    count = dice.choice((1, 2, 2, 3, 4))
    low = dice.uniform(45, 60) if head.print_height > 60 else dice.uniform(25, 45)
    return tuple(
        _product(dice, (f"product {k}", head, low + k * dice.uniform(0, 40)), near, downward=downward)
        for k in range(1, count + 1)
    )


def _product(dice: Random, what: tuple[str, Head, float], near: float | None, *, downward: bool) -> Product:
    name, head, low = what
    tall = round(dice.uniform(0.3, 0.9) * head.print_height, 1)
    base = round(low + 15, 1)
    height = round(base + tall + dice.uniform(20, 120), 1)
    from_leading = dice.uniform(20, 60)
    size = (round(dice.uniform(40, 90), 1), tall)
    if downward:
        code = Code("top", size, from_leading, from_near=round(dice.uniform(20, 90), 1))
    elif dice.random() < 0.5:
        code = Code("near_side", size, from_leading, above_base=base)
    else:
        code = Code("near_side", size, from_leading, below_top=round(height - base - tall, 1))
    return Product(
        name=name,
        length=Measured(dice.uniform(420, 600), 1.0),
        width=Measured(dice.uniform(200, 400), 0.5),
        height=Measured(height, 0.4),
        against="near",
        gap=dice.uniform(150, 400),
        code=code,
        bulge=dice.choice((0.0, 0.3, 0.6)),
        skew_deg=dice.choice((0.0, 0.3, 0.5)),
        near_side_at=None if near is None else Measured(near, dice.choice((0.0, 0.4))),
    )


@cache
def study_of(seed: int, kind: str = "") -> Study:
    """The study of a random survey as a mast on the near rail, made once; `kind` is the kind of rail when
    that matters."""
    rails = tuple(rail for rail in RAILS if kind in ("", rail.kind))
    survey = random_survey(seed, rails)
    return study(
        replace(survey, family="slot_rail" if survey.rail.section.slots else "rail_mast"), CATALOGUE, SHOP
    )


@cache
def feasible_studies(count: int, start: int = 0, kind: str = "") -> tuple[Study, ...]:
    """The first so many random surveys whose mount can be built; AssertionError when most cannot."""
    found: list[Study] = []
    seed = start
    while len(found) < count:
        made = study_of(seed, kind)
        if made.verdict != "not feasible":
            found.append(made)
        seed += 1
        assert seed - start <= 2 * count + 40, "most random surveys cannot be built"
    return tuple(found)
