"""Assumptions with their effect on the verdict: cases by hand, every key of the reader, both flows."""

from __future__ import annotations

import html
import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from conftest import CARTONS
from drawing_samples import mount
from random_surveys import mirrored_devices, mirrored_line
from shops import SHOP

from mountgen.assumed import STATED, AssumedEffect, assumption_effects, trial_scene, trials_of
from mountgen.catalogue.reader import Catalogue
from mountgen.checks.run import check
from mountgen.package.cut_sheet import cut_and_drill_sheets
from mountgen.package.documents import write_set_up
from mountgen.package.feasibility import feasibility_page
from mountgen.package.records import Dossier
from mountgen.package.setup_sheet import set_up_data
from mountgen.package.setup_sheet_tools import tools
from mountgen.package.setup_sheet_words import standing, torque_text
from mountgen.package.slope import slope_in_words
from mountgen.study import study
from mountgen.survey import assemble
from mountgen.survey.assemble import BULGE, SKEW_DEG
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Assumption, Survey
from mountgen.units import TORQUE, read_quantity

CATALOGUE = Catalogue()
LIST = "name,length,width,height\na,300,200,150\nb,310,210,160\n"
LISTED = """[products]
file = "list.csv"
gap = 250
[products.code]
face = "near_side"
size = [80, 12]
above_base = 32
from_leading = 40

"""
GIVEN_EVERYWHERE = (
    "roller_diameter = 50\n",
    "roller_axle_diameter = 12\n",
    "first_roller_at",
    "slope_deg = 0\n",
    "environment",
    "depth = 25\n",
    "open = [",
    "setting",
    "supports_apart",
    "skew_deg",
    "bulge",
)
"""How the lines of the example begin that a survey may leave out."""


def read(folder: Path, text: str) -> Survey:
    path = folder / "survey.toml"
    path.write_text(text, encoding="utf-8")
    (folder / "list.csv").write_text(LIST, encoding="utf-8")
    return read_survey(path, CATALOGUE)


def cartons(*without: str) -> str:
    """The example without the lines that begin so."""
    lines = CARTONS.read_text(encoding="utf-8").splitlines(keepends=True)
    return "".join(line for line in lines if not line.startswith(without))


def sparse() -> str:
    """The example with everything left out that may be."""
    text = cartons(*GIVEN_EVERYWHERE, "y = [").replace('"-6 +/- 1 mm"', "-6")
    text = text.replace('"75 +/- 0.5 mm"', "75").replace('[encoder]\ndevice = "encoder-wheel-200"\n', "")
    return text.replace("gap = 250", "gap = 250\nnear_side_at = 75", 1)


def listed(text: str) -> str:
    return text[: text.index("[[product]]")] + LISTED + text[text.index("[standoff]") :]


def without_keepouts(text: str) -> str:
    return text[: text.index("[[rail.keepout]]")] + text[text.index("[guides]") :]


def effects_of(survey: Survey) -> dict[str, AssumedEffect]:
    return {effect.key: effect for effect in assumption_effects(study(survey, CATALOGUE, SHOP), CATALOGUE)}


def test_a_larger_bulge_by_hand(tmp_path):
    """Carton S without a bulge of its own: 1 mm is assumed, then 2 mm, which is 1 mm more in the worst case;
    room 3.2 - 1 mm. A best band of 1.5 to 4.9 mm leaves the root sum square at 1 mm, 1.24 mm, inside."""
    text = CARTONS.read_text(encoding="utf-8").replace("bulge = 0.5\n", "", 1)
    survey = read(tmp_path, text.replace("best = [2, 4.5]", "best = [1.5, 4.9]"))
    done = study(survey, CATALOGUE, SHOP)
    spread = float(done.scene.budget.worst[0]) + 1.0
    found = effects_of(survey)["product.bulge"]
    assert (found.value, found.tried) == ("1.0 mm", "2.0 mm")
    assert found.effect.startswith("would fail at 2.0 mm: stand-off of 'carton S', worst case")
    assert f"{spread - 2.2:.2f} mm missing" in found.effect


def test_play_at_the_guide_by_hand():
    """Of the room of 2.2 mm carton XL leaves what is left; 1 mm of play is more than that."""
    done = study(read_survey(CARTONS, CATALOGUE), CATALOGUE, SHOP)
    left = next(check.margin for check in done.checks if check.id == "standoff_worst")
    found = effects_of(done.survey)["guides.play"]
    assert found.tried == "1.0 mm"
    assert found.effect.startswith("would fail at 1.0 mm: stand-off of 'carton XL'")
    assert f"{1.0 - left:.2f} mm missing" in found.effect


def test_an_axle_that_is_thicker_takes_half_of_it_from_the_washers(tmp_path):
    """`rail_holes` measures to the axle's surface: 4 mm more in diameter are 2 mm less."""
    done = study(read(tmp_path, cartons("roller_axle_diameter")), CATALOGUE, SHOP)
    (trial,) = trials_of("line.roller_axle_diameter", done.survey)
    thicker = check(trial_scene(done, trial, CATALOGUE), CATALOGUE)
    before, after = (
        next(one.margin for one in checks if one.id == "rail_holes") for checks in (done.checks, thicker)
    )
    assert trial.text == "16.0 mm"
    assert after == pytest.approx(before - 2.0)


def test_a_guide_that_is_open_mends_what_one_without_an_opening_spoils(tmp_path):
    """Half of 320 mm leaves room for the head group, which half of 280 mm does not quite."""
    closed = cartons("open = [")
    assert effects_of(read(tmp_path, closed.replace("length = 280", "length = 320")))[
        "guides.open"
    ].effect == ("becomes feasible at an opening from -80.0 mm to 80.0 mm")
    short = effects_of(read(tmp_path, closed))["guides.open"].effect
    assert short.startswith("fails in one more way at an opening from -70.0 mm to 70.0 mm: head group")
    assert short.endswith(" missing, but 2 that failed would not")


def test_a_check_near_its_limit_becomes_tight(tmp_path):
    """Reading a setting to 1 mm instead of 0.5 mm, with room for 0.1 mm more than that."""
    plain = read(tmp_path, cartons("setting"))
    left = next(one.margin for one in study(plain, CATALOGUE, SHOP).checks if one.id == "standoff_worst")
    wide = replace(plain.standoff, acceptable=(1.0 - (0.6 - left), 7.0), best=(1.0, 6.0))
    effect = effects_of(replace(plain, standoff=wide))["standoff.setting"].effect
    assert effect.startswith("becomes tight at 1.0 mm: stand-off of 'carton XL', worst case")
    assert effect.endswith(", 0.10 mm left")


SURVEYS = {
    "sparse": sparse(),
    "listed": listed(sparse()),
    "without keepouts": without_keepouts(sparse()),
    "right to left": sparse().replace("left_to_right", "right_to_left"),
}


@pytest.mark.parametrize("name", SURVEYS)
def test_every_assumption_of_the_reader_has_an_effect(tmp_path, name):
    survey = read(tmp_path, SURVEYS[name])
    effects = effects_of(survey)
    assert [(e.key, e.value, e.reason) for e in effects.values()] == [
        (a.key, a.value, a.reason) for a in survey.assumptions
    ]
    for effect in effects.values():
        assert "not tried" not in effect.effect, effect.key
        assert bool(effect.tried) == (effect.key not in (*STATED, "rail.keepout")), effect.key


def test_these_surveys_make_every_assumption_that_the_reader_can_make(tmp_path):
    """Keys as they stand in the source of the assembly, and as the surveys above bring them about."""
    met = {note.key for text in SURVEYS.values() for note in read(tmp_path, text).assumptions}
    source = Path(assemble.__file__).read_text(encoding="utf-8")
    named = set(re.findall(r'"((?:line|rail|guides|standoff)\.[a-z_]+)"', source))
    assert named <= met
    assert met - named == {
        *("rail.keepout[1].y", "rail.keepout[2].y", "encoder"),
        *("product.bulge", "product.skew_deg", "product.height", "product.clearance_height"),
        *("shaking", "joining", "work"),
        *("product.near_side_at", "products.bulge", "products.skew_deg", "products.height"),
    }
    assert '"units"' in source
    assert "units" in STATED


def test_an_unknown_assumption_is_listed_all_the_same():
    survey = read_survey(CARTONS, CATALOGUE)
    odd = replace(survey, assumptions=(Assumption("rail.colour", "grey", "not given"),))
    (effect,) = effects_of(odd).values()
    assert (effect.tried, effect.effect[:9]) == ("", "not tried")


def test_a_survey_without_assumptions_has_no_effects():
    survey = replace(read_survey(CARTONS, CATALOGUE), assumptions=())
    assert effects_of(survey) == {}


def test_only_products_without_a_value_of_their_own_are_varied(tmp_path):
    text = CARTONS.read_text(encoding="utf-8").replace("bulge = 0.5\n", "", 1)
    survey = read(tmp_path, text.replace("skew_deg = 0.5", "skew_deg = 0.7"))
    (trial,) = trials_of("product.bulge", survey)
    assert trial.survey.products.bulge.tolist() == [2 * BULGE, 0.5, 0.5, 0.5]
    (skewed,) = trials_of("product.skew_deg", survey)
    assert SKEW_DEG not in survey.products.skew_deg.tolist()
    assert skewed.survey.products.skew_deg.tolist() == [0.7] * 4


def test_a_taller_product_than_noted_passes_beside_the_head(tmp_path):
    (trial,) = trials_of("product.height", read(tmp_path, sparse()))
    assert trial.survey.products.clearance_height.tolist() == [112.0, 162.0, 242.0, 322.0]
    assert trial.survey.products.height_plus_minus.tolist() == [2.0] * 4


def test_a_bed_never_begins_inside_the_rail(tmp_path):
    nearer, farther = trials_of("line.bed_from_y", read(tmp_path, sparse()))
    assert (nearer.survey.line.bed_from_y, farther.survey.line.bed_from_y) == (2.5, 17.5)


def test_the_opening_tried_is_what_the_shortest_product_bears(tmp_path):
    (trial,) = trials_of("guides.open", read(tmp_path, sparse()))
    assert trial.text == "an opening from -70.0 mm to 70.0 mm"


def test_the_line_seen_in_a_mirror_has_the_same_effects(tmp_path):
    """Devices mirrored too, so that the whole mount is; what names a place along the line is left out."""
    survey = read(tmp_path, sparse())
    here, there = effects_of(survey), effects_of(mirrored_devices(mirrored_line(survey)))
    assert here.keys() == there.keys()
    for key in here.keys() - {"line.first_roller_at"}:
        assert here[key] == there[key]


def test_a_quarter_pitch_either_way_swaps_sides_in_the_mirror(tmp_path):
    survey = read(tmp_path, sparse())
    here = effects_of(survey)["line.first_roller_at"]
    there = effects_of(mirrored_devices(mirrored_line(survey)))["line.first_roller_at"]
    assert here.tried == "18.8 mm and 56.3 mm"
    assert there.tried == "-56.3 mm and -18.8 mm"
    assert here.effect != there.effect
    assert set(here.effect.split("; ")) == set(there.effect.replace("at -", "at ").split("; "))


def test_the_arm_follows_a_guide_that_stands_elsewhere(tmp_path):
    """The head goes where the products go, the post stays where it was bolted."""
    done = study(
        read(tmp_path, CARTONS.read_text(encoding="utf-8").replace('"75 +/- 0.5 mm"', "75")), CATALOGUE, SHOP
    )
    before = {piece.instance: piece.box for piece in done.scene.boxes}
    for trial, moved in zip(trials_of("guides.near_y", done.survey), (-2.0, 2.0), strict=True):
        scene = trial_scene(done, trial, CATALOGUE)
        after = {piece.instance: piece.box for piece in scene.boxes}
        assert after["print head"].low[1] - before["print head"].low[1] == pytest.approx(moved)
        assert after["post"] == before["post"]
        np.testing.assert_allclose(scene.layout.settings.tip_y - done.scene.layout.settings.tip_y, moved)


def test_a_wheel_on_rollers_says_which_roller_it_needs(tmp_path):
    survey = read(tmp_path, cartons("first_roller_at"))
    wheel = study(survey, CATALOGUE, SHOP).scene.layout.encoder
    assert wheel is not None
    assert effects_of(survey)["line.first_roller_at"].effect.endswith(
        f"; the measuring wheel needs a roller at x = {wheel.wheel_x:.1f} mm"
    )
    mirrored = effects_of(mirrored_devices(mirrored_line(survey)))["line.first_roller_at"]
    assert mirrored.effect.endswith(f"x = {-wheel.wheel_x:.1f} mm")


def test_the_clear_stretch_that_a_mount_needs_is_that_of_its_pieces(tmp_path):
    survey = read(tmp_path, SURVEYS["without keepouts"])
    boxes = [piece.box for piece in study(survey, CATALOGUE, SHOP).scene.boxes]
    low, high = min(box.low[0] for box in boxes), max(box.high[0] for box in boxes)
    assert effects_of(survey)["rail.keepout"].effect.endswith(f"from x = {low:.1f} mm to {high:.1f} mm")
    mirrored = effects_of(mirrored_devices(mirrored_line(survey)))["rail.keepout"]
    assert mirrored.effect.endswith(f"from x = {-high:.1f} mm to {-low:.1f} mm")


def test_effects_need_no_kernel_and_are_the_same_each_time():
    code = (
        "import sys, mountgen.assumed as a, mountgen.study as s\n"
        "from mountgen.survey.reader import read_survey\n"
        "from mountgen.catalogue.reader import Catalogue\n"
        "from pathlib import Path\n"
        "from mountgen.shop.reader import USUAL_SHOP, read_shop\n"
        "c = Catalogue()\n"
        "shop = read_shop(c.folder / USUAL_SHOP)\n"
        f"made = s.study(read_survey(Path({str(CARTONS)!r}), c), c, shop)\n"
        "for e in a.assumption_effects(made, c): print(e)\n"
        "assert not {'OCP', 'cadquery'} & set(sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == [str(effect) for effect in mount().effects]


def test_check_lists_assumptions_without_working_them_out(run):
    report = json.loads(run("check", CARTONS, "--json").out)
    assert {tuple(note) for note in report["assumptions"]} == {("key", "value", "reason")}


def test_documents_say_what_another_value_would_do():
    dossier = mount()
    page = feasibility_page(dossier)
    rows = set_up_data(dossier)["assumptions"]
    assert isinstance(rows, list)
    assert len(rows) == len(dossier.effects) == len(dossier.survey.assumptions) > 0
    for effect, row in zip(dossier.effects, rows, strict=True):
        assert row == [effect.key, effect.value, effect.reason, effect.effect]
        assert html.escape(effect.effect[1:]) in page


def test_the_manifest_and_the_printed_sheet_hold_the_effects(packages):
    package = packages("seed-cartons")
    assert [note["effect"] for note in package.manifest["assumptions"]] == [
        effect.effect for effect in mount().effects
    ]
    assert "would fail at 1.0 mm" in " ".join(package.set_up_text.split())


def sloping(slope_deg: float) -> Dossier:
    dossier = mount()
    line = replace(dossier.survey.line, slope_deg=slope_deg)
    return replace(dossier, survey=replace(dossier.survey, line=line))


@pytest.mark.parametrize(("slope", "words"), [(4.0, "rises 4°"), (-2.5, "falls 2.5°")])
def test_a_slope_is_told_to_everyone(tmp_path, slope, words):
    dossier = sloping(slope)
    said = f"the bed {words} in the direction of flow"
    assert slope_in_words(dossier.survey) == said
    assert said[1:] in feasibility_page(dossier)
    assert said in standing(dossier.survey)
    assert "square to the bed, not plumb" in standing(dossier.survey)
    assert standing(dossier.survey) in set_up_data(dossier)["steps"]
    assert "spirit level" not in str(tools(dossier))
    assert any(f"bed {words}" in sheet.svg for sheet in cut_and_drill_sheets(dossier))
    write_set_up(tmp_path / "set-up.pdf", dossier)


def test_a_level_bed_is_told_to_nobody():
    dossier = sloping(0.0)
    assert slope_in_words(dossier.survey) == ""
    assert "direction of flow" not in feasibility_page(dossier)
    assert "plumb" in standing(dossier.survey)
    assert "spirit level" in str(tools(dossier))
    assert not any("Here the bed" in sheet.svg for sheet in cut_and_drill_sheets(dossier))


def test_torques_of_inch_surveys_read_back():
    """8.5 N m are 75.2 lbf in by the definition of the pound-force; the sheet rounds to whole ones."""
    shown = torque_text(8.5, mount("seed-trays-inch").survey)
    assert shown == "8.5 N·m [75 lbf·in]"
    first, second = shown.removesuffix("]").split(" [")
    assert read_quantity(first, TORQUE, "N·m") == 8.5
    assert abs(read_quantity(second, TORQUE, "N·m") - 8.5) < 0.5 * 0.1129848
