"""The changeover sheet and its table, read back as a person or a program would."""

from __future__ import annotations

import csv
from dataclasses import replace
from io import BytesIO, StringIO
from itertools import permutations

import numpy as np
import pytest
from changeover_samples import plan, plan_of, studied
from pypdf import PdfReader

from mountgen.catalogue.reader import Catalogue
from mountgen.errors import SurveyError
from mountgen.layout.readings import readings
from mountgen.package.changeover import changeover_csv, write_changeover, write_strips
from mountgen.package.changeover_groups import groups_of, mark_of, total_travel
from mountgen.package.changeover_sheet import CAUTIONS, MOST_LINES, changeover_data, changeover_pdf
from mountgen.survey.reader import read_survey

EXAMPLES = ("seed-cartons", "compost-sacks", "seed-trays-inch")
PACKETS = (
    ("bean", 100.0, 50.0, 0.0, 90.0),
    ("pea", 300.0, 50.0, 0.0, 90.0),
    ("leek", 100.2, 50.1, 0.0, 90.0),
    ("kale", 120.0, 50.0, 0.0, 90.0),
    ("dill", 120.0, 50.0, 0.0, 95.0),
)
MARKUP = '#panic() *b* [c] <d> & $x$ _e_ `f` "g" @h 种'


def many(count: int):
    dice = np.random.default_rng(7)
    return [(f"p{i}", *map(float, dice.uniform(50, 350, 2)), 0.0, 100.0) for i in range(count)]


def page_texts(data: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(data)).pages]


def every_row(made) -> list[list[str]]:
    return changeover_data(made)["tables"][-1]["rows"]


@pytest.mark.parametrize("example", EXAMPLES)
def test_readings_are_distances_between_edges_of_the_designed_parts(example):
    """Of the first product, from the parts as they are placed: underside of the cross plate over the post's
    lower end, middle of the post to the arm's end."""
    found = studied(example)
    first = readings(found.scene.demand, found.scene.layout)
    at = {instance.name: instance.placement.origin for instance in found.detail.instances}
    stop, post, arm = at["arm stop"], at["post"], at["arm"]
    assert first.post[0] == pytest.approx(stop[2] - post[2])
    assert first.arm[0] == pytest.approx(post[1] - arm[1])
    assert first.delay[0] == pytest.approx(
        abs(at["photo-eye"][0]) + found.survey.products.from_leading[0], abs=1e-6
    )


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_arm_is_read_at_an_edge_that_a_person_can_see(example):
    """The number at the arm's end and the length from there to the cross plate's edge make up the reading."""
    found, made = studied(example), plan(example)
    at = {instance.name: instance.placement.origin for instance in found.detail.instances}
    plate = next(part for part in found.detail.sheets if part.name == "cross plate")
    edge = at["cross plate"][1] + min(v.x for v in plate.root.outline.vertices)
    assert made.arm_zero.begins_at + edge - at["arm"][1] == pytest.approx(made.readings.arm[0])
    assert made.post_zero.begins_at == 0.0


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_sheet_says_what_the_set_up_numbers_say(example):
    """A group's reading is within half a step of every product's own, and the same as its name says."""
    made, setup = plan(example), studied(example).setup
    step = made.survey.standoff.setting
    names = made.readings.names
    shown = {names[row]: group for group in made.groups for row in group.rows.tolist()}
    assert set(shown) == {setting.product for setting in setup.products}
    for setting in setup.products:
        group = shown[setting.product]
        assert group.post == pytest.approx(setting.post_scale_mm, abs=step / 2)
        assert group.arm == pytest.approx(setting.arm_scale_mm, abs=step / 2)
        assert (group.tilt_deg, group.delay) == (setting.tilt_deg, pytest.approx(setting.delay_mm))
    assert made.sensor == setup.sensor_to_nozzle_mm


def test_products_that_need_no_change_share_a_line_and_others_do_not():
    made = plan_of(PACKETS)
    lines = {row[1]: row for row in every_row(made)}
    assert set(lines) == {"bean, leek", "pea", "kale", "dill"}
    assert lines["bean, leek"][2:4] == ["100.1 mm", "50.1 mm"]
    assert lines["pea"][2:7] == ["300.0 mm", "50.0 mm", "0°", "62.1 mm", "90.0 mm"]


def test_what_is_moved_is_said_with_its_way():
    rows = every_row(plan_of(PACKETS))
    assert [row[1] for row in rows] == ["bean, leek", "kale", "dill", "pea"]
    assert [row[0] for row in rows] == ["A", "B", "C", "D"]
    assert [row[-1] for row in rows] == ["", "up 19.9 mm", "–", "up 180.0 mm"]
    turned = every_row(plan_of([("a", 200.0, 60.0, 0.0, 9.0), ("b", 150.0, 80.0, 90.0, 9.0)]))
    assert {row[-1] for row in turned} <= {
        "",
        "down 50.0 mm, out 20.0 mm, tilt",
        "up 50.0 mm, in 20.0 mm, tilt",
    }


def test_the_order_is_the_shortest_of_all_orders():
    rows = [(f"p{i}", *xyz, 0.0) for i, xyz in enumerate(np.random.default_rng(5).uniform(0, 200, (6, 3)))]
    groups = plan_of(rows).groups
    assert total_travel(groups) == pytest.approx(min(map(total_travel, permutations(groups))))


def test_the_order_of_the_day_is_listed_as_given_with_its_own_movement():
    made = plan_of(PACKETS, day=("pea", "bean", "leek", "pea"))
    day, every = changeover_data(made)["tables"]
    assert [row[1] for row in day["rows"]] == ["pea", "bean, leek", "pea"]
    assert day["heading"] == "Order of the day: total movement 400 mm, from the first line to the last"
    assert every["heading"] == "Every product: total movement 200 mm, from the first line to the last"
    assert "Order of the day" in page_texts(changeover_pdf(made))[0]


def test_the_words_that_must_not_be_missed_come_first():
    (text,) = page_texts(changeover_pdf(plan()))
    places = [text.index(" ".join(caution.split())) for caution in CAUTIONS]
    assert places == sorted(places) and places[-1] < text.index("carton L")
    for words in (
        "lock it out",
        "may drop",
        "Pinch points",
        "owner's procedure",
        "underside of the cross plate",
    ):
        assert words in text, words
    assert "The line owner's procedure goes before this sheet." in text


def test_thousands_of_products_print_some_pages_and_a_whole_table():
    made = plan_of(many(3_000))
    pages = page_texts(changeover_pdf(made))
    assert len(pages) <= 12
    assert f"{len(made.groups) - MOST_LINES} more lines stand in changeover.csv alone" in " ".join(pages)
    assert len(list(csv.reader(StringIO(changeover_csv(made))))) == 3_001


def test_the_table_has_every_product_with_its_numbers():
    head, *rows = csv.reader(StringIO(changeover_csv(plan_of(PACKETS))))
    assert head[:7] == [
        "Mark", "Product", "Post scale mm", "Arm scale mm", "Tilt stop deg", "Sensor mm", "Code delay mm",
    ]  # fmt: skip
    by_name = {row[1]: row for row in rows}
    assert by_name["pea"] == ["D", "pea", "300.0", "50.0", "0.0", "62.1", "90.0"]
    assert by_name["leek"][2] == "100.1"


def test_a_name_that_would_be_a_formula_is_made_harmless_and_markup_is_text():
    rows = [("=cmd()", 100.0, 50.0, 0.0, 90.0), (MARKUP, 200.0, 50.0, 0.0, 90.0)]
    assert '"\'=cmd()"' in changeover_csv(plan_of(rows))
    assert "#panic() *b* [c] <d> & $x$" in page_texts(changeover_pdf(plan_of(rows)))[0]


def test_inch_surveys_are_told_in_inches():
    row = every_row(plan("seed-trays-inch"))[0]
    assert all(" in" in text for text in (row[2], row[3], row[5], row[6]))


@pytest.mark.parametrize("example", ["seed-cartons", "seed-trays-inch"])
def test_same_plan_same_bytes(example, tmp_path):
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        write_changeover(tmp_path / name, plan(example))
        write_strips(tmp_path / name, plan(example))
    files = sorted(path.name for path in (tmp_path / "one").iterdir())
    assert files == ["changeover.csv", "changeover.pdf", "scale-strips.pdf"]
    for file in files:
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "two" / file).read_bytes()


def test_groups_do_not_depend_on_the_order_of_products():
    found = plan_of(PACKETS).readings
    turned = replace(
        found, **{n: getattr(found, n)[::-1] for n in ("names", "post", "arm", "tilt_deg", "delay")}
    )
    told = [
        [(g.mark, g.post, g.arm, sorted(f.names[r] for r in g.rows.tolist())) for g in groups_of(f, 0.5)]
        for f in (found, turned)
    ]
    assert told[0] == told[1]


def test_a_person_who_sets_exactly_still_reads_tenths():
    """A survey may say `setting = 0`."""
    rows = [("a", 100.0, 50.0, 0.0, 90.0), ("b", 100.03, 50.0, 0.0, 90.0), ("c", 100.2, 50.0, 0.0, 90.0)]
    assert [len(group.rows) for group in plan_of(rows, setting=0.0).groups] == [2, 1]


def test_marks_run_on_after_z():
    assert [mark_of(at) for at in (0, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip


def test_a_survey_may_give_the_order_of_the_day(variant):
    path = variant(("schema = 1\n", 'schema = 1\nday_order = ["carton L", "carton S", "carton L"]\n'))
    assert read_survey(path, Catalogue()).day_order == ("carton L", "carton S", "carton L")


def test_a_day_with_an_unknown_product_is_refused_with_its_line(variant):
    path = variant(("schema = 1\n", 'schema = 1\nday_order = ["carton L",\n  "cartn S"]\n'))
    line = 1 + path.read_text(encoding="utf-8").split('"cartn S"')[0].count("\n")
    with pytest.raises(SurveyError) as refused:
        read_survey(path, Catalogue())
    (fault,) = refused.value.faults
    assert fault.where == f"{path}:{line}:3"
    assert (fault.found, fault.action) == ("day_order names 'cartn S'", "did you mean 'carton S'?")


def test_a_day_is_checked_against_a_list_of_products_too(variant, tmp_path):
    (tmp_path / "list.csv").write_text("name,length,width,height\nkale,200,100,80\n", encoding="utf-8")
    path = variant(("schema = 1\n", 'schema = 1\nday_order = ["kale", "leek"]\n'))
    text = path.read_text(encoding="utf-8")
    tables = text[: text.index("[[product]]")] + text[text.index("[standoff]") :]
    code = '[products.code]\nface = "near_side"\nsize = [60, 12]\nfrom_leading = 40\nabove_base = 32\n'
    path.write_text(f'{tables}\n[products]\nfile = "list.csv"\ngap = 250\nagainst = "near"\n{code}')
    with pytest.raises(SurveyError) as refused:
        read_survey(path, Catalogue())
    assert [fault.found for fault in refused.value.faults] == ["day_order names 'leek'"]
