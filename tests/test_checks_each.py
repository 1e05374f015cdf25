"""One test for each check: a survey spoilt so that this check turns, and the remedy's number mends it.

`sound` is an upright line on which every check passes. Margins are the difference of value and limit.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from random_surveys import CATALOGUE, feasible_studies
from shops import SHOP

from mountgen.catalogue.rails import FlatRail, RectTubeRail
from mountgen.catalogue.reader import profiles_folder
from mountgen.checks.records import Check, overall
from mountgen.study import Study, study
from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Family, Keepout, Measured, Product, Survey

IDS = {
    "reach_up_down",
    "reach_in_out",
    "pose_allowed",
    "standoff_worst",
    "standoff_rss",
    "standoff_share",
    "product_clearance",
    "guide_clearance",
    "frame_clearance",
    "guide_opening",
    "lowest_code",
    "sensor_upstream",
    "sensor_range",
    "sensor_sees_all",
    "eye_background",
    "eye_range",
    "eye_bracket",
    "eye_look",
    "beam_clear",
    "upper_code",
    "washdown",
    "clamp_pinch",
    "clamp_room",
    "next_product",
    "encoder_divider",
    "print_length",
    "column_rate",
    "sag",
    "first_frequency",
    "resonance",
    "vibration_print",
    "bolt_slip",
    "bolt_strength",
    "thread_engagement",
    "edge_distance",
    "tnut_slip",
    "web_stress",
    "web_rotation",
    "rail_torsion",
    "rail_face",
    "rail_nuts",
    "rail_holes",
    "sheet_rules",
    "tool_access",
    "assembly_order",
    "service_access",
    "operator_reach",
    "cable",
    "crush_gap",
    "tip_over",
    "stand_slides",
    "anchor",
    "print_height",
    "free_stretch",
    "encoder_place",
    "between_guides",
    "handling",
    "first_time_fit",
    "interference",
    "exact_agreement",
}
"""The names that checks have: fixed, for documents and other programs rely on them."""


@cache
def example(name: str) -> Survey:
    return read_survey(Path(profiles_folder()) / "surveys" / f"{name}.toml", CATALOGUE)


def sound() -> Survey:
    return example("seed-cartons")


def sacks() -> Survey:
    return example("compost-sacks")


def studied(survey: Survey) -> Study:
    """As a mast on the near rail: where that fails, another family must not hide it."""
    return study(replace(survey, family=survey.family or _on_rail(survey)), CATALOGUE, SHOP)


def _on_rail(survey: Survey) -> Family:
    return "slot_rail" if survey.rail.section.slots else "rail_mast"


def check_of(made: Study, id_: str) -> Check:
    found = [check for check in made.checks if check.id == id_]
    worst = {"fail": 0, "caution": 1, "pass": 2}
    return min(found, key=lambda check: worst[check.verdict])


def numbers(text: str) -> list[float]:
    return [float(match) for match in re.findall(r"(?<![\w'])\d+(?:\.\d+)?", text)]


def products(survey: Survey, change: Callable[[Product], Product]) -> Survey:
    return replace(survey, products=ProductTable.of([change(product) for product in survey.products]))


def recoded(**changes: float) -> Callable[[Product], Product]:
    return lambda product: replace(product, code=replace(product.code, **changes))


def device(survey: Survey, kind: str, **changes: float) -> Survey:
    return replace(survey, **{kind: getattr(survey, kind).model_copy(update=changes)})


def line(survey: Survey, **changes: float) -> Survey:
    return replace(survey, line=replace(survey.line, **changes))


def guides(survey: Survey, **changes: object) -> Survey:
    assert survey.guides is not None
    return replace(survey, guides=replace(survey.guides, **changes))


def rail(survey: Survey, **changes: object) -> Survey:
    return replace(survey, rail=replace(survey.rail, **changes))


def joining(survey: Survey, **changes: float) -> Survey:
    return replace(survey, joining=replace(survey.joining, **changes))


def thin_tube(survey: Survey, wall: float) -> Survey:
    """A tube of little wall under a mount that somebody leans on heavily."""
    return joining(rail(survey, profile=thick_tube(wall)), hand_force=120.0)


def on_an_angle(survey: Survey, tied: float) -> Survey:
    """An angle is soft in twist; `tied` to either side of the mount."""
    softer = rail(survey, profile=CATALOGUE.rail("angle-formed-80x40x3"), supports_apart=2 * tied)
    return joining(softer, hand_force=120.0)


def longer_cable(survey: Survey, by: float) -> Survey:
    return device(survey, "head", cable_length=survey.head.cable_length + by)


def drilled(survey: Survey, off: float) -> Survey:
    return replace(survey, work=replace(survey.work, drill=off))


def standoff(survey: Survey, **changes: object) -> Survey:
    return replace(survey, standoff=replace(survey.standoff, **changes))


@dataclass(frozen=True)
class Case:
    """A sound survey spoilt for one check; `mend` takes the remedy's first number, where that mends it."""

    id: str
    spoil: Callable[[], Survey]
    mend: Callable[[Survey, float], Survey] | None = None


def raised_codes(survey: Survey, by: float) -> Survey:
    """Only the code that the remedy names: the lowest."""
    lowest = min(product.code.above_base or 0.0 for product in survey.products)

    def change(product: Product) -> Product:
        base = product.code.above_base
        return recoded(above_base=base + by)(product) if base == lowest else product

    return products(survey, change)


def less_bulge(survey: Survey, by: float) -> Survey:
    return products(survey, lambda product: replace(product, bulge=max(product.bulge - by, 0.0)))


PIPE_Z = (120.0, 200.0)
"""Where an arm of the cartons' mount passes."""


def low_rail(survey: Survey, uncertainty: float) -> Survey:
    """A rail whose web has little room for two rows of slots."""
    top = Measured(-6.0, uncertainty)
    return rail(survey, profile=CATALOGUE.rail("upn-80"), opens="out", top_above_surface=top)


def flat_bar(depth: float) -> FlatRail:
    return CATALOGUE.rail("flat-40x5").model_copy(update={"depth": depth})


def thick_tube(wall: float) -> RectTubeRail:
    return CATALOGUE.rail("tube-80x40x3").model_copy(update={"thickness": wall})


def at_resonance(survey: Survey) -> float:
    """mm/s at which rollers pass somewhat faster than the cartons' mount swings."""
    return 1.15 * studied(survey).scene.structure.first_frequency_hz * survey.line.roller_pitch


def holes_close_together(survey: Survey) -> Survey:
    """Two of the head's fixing holes 1.8 of their clearance holes' diameters apart."""
    first, *others = survey.head.pattern
    near = first.model_copy(
        update={"at": (first.at[0], first.at[1] + 1.8 * CATALOGUE.thread(first.thread).clearance_medium)}
    )
    return device(survey, "head", pattern=(first, near, *others[1:]))


def behind(upper: float) -> Keepout:
    """A cable tray along the inside of the web, its upper edge so far above the lower row of bolts."""
    survey = rail(line(sound(), surface="belt"), keepouts=())
    row = studied(survey).scene.layout.on_rail.pattern.rows[0]
    return Keepout("cable tray", (-600.0, 600.0), (3.0, 30.0), (row - 60.0, row + upper))


CASES = (
    Case(
        "reach_up_down",
        lambda: products(
            sound(), lambda p: recoded(above_base=900.0)(replace(p, height=Measured(1000.0, 0.0)))
        ),
        lambda s, n: products(s, lambda p: recoded(above_base=p.code.above_base - n - 5)(p)),
    ),
    Case(
        "reach_in_out",
        lambda: products(sacks(), recoded(from_near=900.0)),
        lambda s, n: products(s, lambda p: recoded(from_near=p.code.from_near - n - 1)(p)),
    ),
    Case(
        "pose_allowed",
        lambda: device(sacks(), "head", tilt_max_deg=60.0),
        lambda s, n: device(s, "head", tilt_max_deg=60.0 + n),
    ),
    Case(
        "print_height",
        lambda: products(sound(), recoded(size=(80.0, 60.0))),
        lambda s, n: products(s, recoded(size=(80.0, 60.0 - n))),
    ),
    Case("lowest_code", lambda: products(sound(), recoded(above_base=3.0)), raised_codes),
    Case(
        "standoff_worst",
        lambda: products(sound(), lambda p: replace(p, bulge=3.0)),
        less_bulge,
    ),
    Case("service_access", lambda: device(sacks(), "head", service_room=600.0)),
    Case("operator_reach", lambda: line(sound(), surface_height=Measured(1600.0, 1.0))),
    Case("cable", lambda: device(sound(), "head", cable_length=800.0), longer_cable),
    Case("crush_gap", lambda: products(sound(), lambda p: replace(p, mass_kg=40.0))),
    Case("first_time_fit", lambda: drilled(sound(), 3.0), drilled),
    Case("standoff_rss", lambda: products(sound(), lambda p: replace(p, bulge=1.6))),
    Case("standoff_share", lambda: products(sound(), lambda p: replace(p, bulge=4.0)), less_bulge),
    Case(
        "product_clearance",
        lambda: products(sacks(), lambda p: replace(p, bulge=16.0)),
    ),
    Case(
        "between_guides",
        lambda: guides(sound(), far_y=Measured(400.0, 1.0)),
        lambda s, n: guides(s, far_y=Measured(400.0 + n, 1.0)),
    ),
    Case("guide_clearance", lambda: guides(sound(), open=None)),
    Case(
        "guide_opening",
        lambda: guides(sound(), open=(-60.0, 60.0)),
        lambda s, n: guides(s, open=(-60.0 - n, 60.0)),
    ),
    Case(
        "frame_clearance",
        lambda: rail(sound(), keepouts=(Keepout("pipe", (-600.0, 600.0), (-95.0, -75.0), PIPE_Z),)),
    ),
    Case(
        "free_stretch",
        lambda: rail(sound(), free_to=150.0),
        lambda s, n: rail(s, free_to=150.0 + n),
    ),
    Case(
        "encoder_place",
        lambda: guides(sound(), near_y=Measured(20.0, 0.5)),
        lambda s, n: guides(s, near_y=Measured(20.0 + n, 0.5)),
    ),
    Case(
        "sensor_upstream",
        lambda: device(sound(), "sensor", response_ms=150.0),
        lambda s, n: replace(s, sensor_distance=-studied(s).scene.layout.head.eye_x + n),
    ),
    Case(
        "sensor_range",
        lambda: device(sound(), "controller", sensor_distance_min=80.0),
        lambda s, n: replace(s, sensor_distance=-studied(s).scene.layout.head.eye_x + n),
    ),
    Case(
        "sensor_sees_all",
        lambda: device(sound(), "sensor", range_min=100.0),
        lambda s, n: device(s, "sensor", range_min=100.0 - n),
    ),
    Case(
        "eye_background",
        lambda: products(sacks(), lambda p: replace(p, height=Measured(10.0, 1.0))),
    ),
    Case(
        "next_product",
        lambda: products(sound(), lambda p: replace(p, gap=5.0)),
        lambda s, n: products(s, lambda p: replace(p, gap=5.0 + n)),
    ),
    Case(
        "encoder_divider",
        lambda: device(sound(), "encoder", pulses_per_turn=300),
    ),
    Case("print_length", lambda: device(sound(), "encoder", pulses_per_turn=590)),
    Case(
        "column_rate",
        lambda: line(sound(), speed_mm_per_s=2000.0),
        lambda s, n: line(s, speed_mm_per_s=n * 1000 / 60),
    ),
    Case("sag", lambda: standoff(device(sacks(), "head", mass_kg=20.0), best=(3.99, 4.01))),
    Case("handling", lambda: standoff(sound(), acceptable=(3.19, 3.21), best=(3.19, 3.21))),
    Case("first_frequency", lambda: device(sound(), "head", mass_kg=60.0)),
    Case(
        "resonance",
        lambda: line(sound(), drive_rpm=60.0 * studied(sound()).scene.structure.first_frequency_hz * 1.1),
    ),
    Case(
        "vibration_print",
        lambda: line(sound(), speed_mm_per_s=at_resonance(sound())),
        lambda s, n: line(s, speed_mm_per_s=n * 1000 / 60),
    ),
    Case(
        "bolt_slip",
        lambda: joining(sound(), friction=0.01),
        lambda s, n: joining(s, friction=n),
    ),
    Case(
        "tnut_slip",
        lambda: joining(sound(), friction=0.05),
        lambda s, n: joining(s, friction=n),
    ),
    Case("bolt_strength", lambda: joining(sound(), hand_force=1500.0)),
    Case("thread_engagement", lambda: joining(sound(), hand_force=4000.0)),
    Case(
        "web_stress",
        lambda: thin_tube(sound(), 1.0),
        lambda s, n: thin_tube(s, n + 0.1),  # as below
    ),
    Case(
        "web_rotation",
        lambda: thin_tube(sound(), 0.6),
        lambda s, n: thin_tube(s, n + 0.2),  # on a stiffer wall the search takes a lighter mount
    ),
    Case("rail_torsion", lambda: on_an_angle(sound(), 250.0), on_an_angle),
    Case("sheet_rules", lambda: low_rail(sound(), 3.0)),
    Case("edge_distance", lambda: guides(holes_close_together(sound()), open=(-80.0, 60.0))),
    Case(
        "rail_nuts",
        lambda: rail(sound(), profile=thick_tube(6.5)),
        lambda s, n: rail(s, profile=thick_tube(6.5 - n)),
    ),
    Case(
        "rail_face",
        lambda: rail(sound(), profile=flat_bar(40.0)),
        lambda s, n: rail(s, profile=flat_bar(n + 3.0)),  # a deeper bar may take a thicker angle
    ),
    Case(
        "rail_holes",
        lambda: rail(line(sound(), surface="belt"), keepouts=(behind(-4.0),)),
        lambda s, n: rail(s, keepouts=(behind(-4.0 - n),)),
    ),
    Case(
        "tool_access",
        lambda: guides(sound(), z=(40.0, 70.0), near_y=Measured(75.0, 0.5), depth=110.0),
    ),
    Case(
        "assembly_order",
        lambda: guides(sound(), z=(40.0, 70.0), near_y=Measured(75.0, 0.5), depth=110.0),
    ),
)


@cache
def spoilt(id_: str) -> Study:
    return studied(next(case for case in CASES if case.id == id_).spoil())


@pytest.mark.xdist_group("random mounts")
def test_every_check_of_a_study_has_a_case_and_a_known_id() -> None:
    ids = {check.id for made in feasible_studies(30) for check in made.checks}
    ids |= {check.id for survey in (sound(), sacks()) for check in studied(survey).checks}
    assert ids <= IDS
    assert ids == {case.id for case in CASES}


@pytest.mark.parametrize("name", ["seed-cartons", "compost-sacks", "seed-trays-inch"])
def test_nothing_fails_on_the_examples(name: str) -> None:
    made = studied(example(name))
    assert [check.id for check in made.checks if check.verdict != "pass"] == []
    assert made.verdict == "feasible"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_a_spoilt_survey_turns_the_check(case: Case) -> None:
    check = check_of(spoilt(case.id), case.id)
    assert check.verdict in ("fail", "caution")
    assert numbers(check.remedy), check.remedy
    assert "{" not in check.remedy
    assert check.source and check.unit and check.title


@pytest.mark.parametrize("case", [case for case in CASES if case.mend], ids=lambda case: case.id)
def test_the_remedys_number_mends_it(case: Case) -> None:
    check = check_of(spoilt(case.id), case.id)
    assert case.mend is not None
    survey = case.mend(spoilt(case.id).survey, numbers(check.remedy)[0])
    mended = check_of(studied(survey), case.id)
    assert mended.verdict == "pass", mended


@pytest.mark.xdist_group("random mounts")
def test_margins_are_value_less_limit_or_limit_less_value() -> None:
    """Which of the two is told by nothing else than the number; a check that fails has a negative one."""
    checks = [check for made in feasible_studies(60) for check in made.checks]
    checks += [check for case in CASES for check in spoilt(case.id).checks]
    for check in checks:
        assert abs(check.margin) == pytest.approx(abs(check.value - check.limit), abs=1e-9), check
        if check.id != "sheet_rules":  # its limits are soft: somewhat less is a caution
            assert (check.verdict == "fail") == (check.margin < -1e-9), check
        assert (check.remedy == "") == (check.verdict == "pass"), check


def squares(values: Iterable[float]) -> float:
    return sum(value * value for value in values)


def test_the_stand_off_budget_of_the_cartons_by_hand() -> None:
    """The highest carton: bulge 0.5, setting 0.3, skew (50 + 110) tan(0.5 deg) / 2 = 0.698, plumb over the
    travel from the first setting, the tilt stop's holes (ISO 2768-1 m: 0.2 mm) at the ends of a 12 mm code,
    half the change of sag, the shaking. Room to the acceptable band min(3.2 - 1, 6 - 3.2), to the best one
    min(3.2 - 2, 4.5 - 3.2)."""
    made = studied(sound())
    worst, rss = check_of(made, "standoff_worst"), check_of(made, "standoff_rss")
    at = int(np.argmax(made.scene.budget.worst))
    code, settings = made.survey.products.code_across[at], made.scene.layout.settings
    plumb = (settings.pivot_z[at] - settings.pivot_z[0]) * math.tan(math.radians(0.06))
    stop = code / 2 * 0.2 * math.sqrt(2.0) / made.scene.layout.head.pin_radius
    shakes = [abs(shake.standoff) for shake in made.scene.structure.shaking.lasting]
    sag = float(np.ptp(made.scene.structure.sags)) / 2
    causes = (0.5, 0.3, 160 * math.tan(math.radians(0.5)) / 2, abs(plumb), stop, sag, *shakes)
    assert worst.value == pytest.approx(sum(causes))
    flat, bell, sine = squares((*causes[:3], sag)), squares(causes[3:5]), squares(shakes)
    assert rss.value == pytest.approx(2 * math.sqrt(flat / 3 + bell / 9 + sine / 2))
    assert (worst.limit, rss.limit) == (pytest.approx(2.2), pytest.approx(1.2))


def test_the_verdict_is_that_of_the_worst_check() -> None:
    for case in CASES:
        made = spoilt(case.id)
        verdicts = {check.verdict for check in made.checks}
        expected = "not feasible" if "fail" in verdicts else "tight" if "caution" in verdicts else "feasible"
        assert made.verdict == expected == overall(made.checks)


def test_what_does_not_apply_is_left_out() -> None:
    ids = {check.id for check in studied(replace(sound(), encoder=None)).checks}
    assert not ids & {"encoder_divider", "print_length", "encoder_place"}
    assert "lowest_code" not in {check.id for check in studied(sacks()).checks}
    assert not {"guide_clearance", "guide_opening"} & {check.id for check in studied(sacks()).checks}
