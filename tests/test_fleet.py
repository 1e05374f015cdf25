"""A fleet: resumable, undisturbed by single surveys, the same however many work on it."""

from __future__ import annotations

import io
import json
import shutil
from pathlib import Path

import openpyxl
import pytest
from fleet_looks import marked
from shops import SHOP
from typer.testing import CliRunner

import mountgen
from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.cli import app
from mountgen.errors import OutputError, SurveyError
from mountgen.fleet.cache import keep, kept
from mountgen.fleet.fleet import FleetOrder, run_fleet
from mountgen.fleet.jobs import jobs_for, surveys_in
from mountgen.fleet.keys import common_key, survey_key
from mountgen.fleet.look import look_at
from mountgen.fleet.page import page
from mountgen.fleet.plan import summary_of
from mountgen.fleet.records import Bound, Job, MadeBar, MadeFlat, MadePiece, Outcome
from mountgen.fleet.run import ENDED, outcomes
from mountgen.fleet.workbook import workbook
from mountgen.shop.reader import USUAL_SHOP

PROFILES = profiles_folder()
USUAL = PROFILES / USUAL_SHOP
SURVEYS = PROFILES / "surveys"
CORNERS = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 50.0, 0.0), (0.0, 50.0, 0.0))
SQUARE = MadeFlat("steel-s235", 3.0, CORNERS, 5000.0)
BAR = MadeBar("tslot-40", 400.0)


def jobs_named(folder: Path, *names: str) -> list[Job]:
    return [Job(str(folder / f"{name}.toml"), name, f"key-{name}", "") for name in names]


def looks_at(folder: Path, name: str) -> int:
    marks = folder / f"{name}.looks"
    return len(marks.read_text()) if marks.exists() else 0


def ran(folder: Path, *names: str) -> dict[str, Outcome]:
    found = outcomes(jobs_named(folder, *names), folder, 2, marked)
    return {one.label: one for one in found}


def test_no_survey_stops_the_others(tmp_path):
    """One raises what nobody foresaw, one ends its process each time, one the first time only."""
    found = ran(tmp_path, "a", "raise-b", "c", "die-d", "e", "die-once-f", "g")
    assert set(found) == {"a", "raise-b", "c", "die-d", "e", "die-once-f", "g"}
    good = {label for label, one in found.items() if one.state == "feasible"}
    assert good == {"a", "c", "e", "die-once-f", "g"}
    assert found["raise-b"].messages == ("ZeroDivisionError: on purpose; please report this survey",)
    assert found["die-d"].messages == (ENDED,)
    assert looks_at(tmp_path, "die-d") in (2, 3)  # with the others, and twice by itself


def test_what_was_found_is_not_looked_for_again_but_failures_are(tmp_path):
    ran(tmp_path, "a", "raise-b")
    ran(tmp_path, "a", "raise-b", "c")
    assert [looks_at(tmp_path, name) for name in ("a", "raise-b", "c")] == [1, 2, 1]


def test_a_run_that_was_ended_goes_on(tmp_path):
    """The first outcome is taken and the rest of the run thrown away."""
    names = [f"s{k}" for k in range(12)]
    run = outcomes(jobs_named(tmp_path, *names), tmp_path, 1, marked)
    next(run)
    run.close()
    before = {name for name in names if kept(tmp_path, f"key-{name}") is not None}
    assert 1 <= len(before) < 12
    assert set(ran(tmp_path, *names)) == set(names)
    assert all(looks_at(tmp_path, name) == 1 for name in before)


def test_a_torn_outcome_is_found_anew(tmp_path):
    ran(tmp_path, "a")
    (tmp_path / "key-a.json").write_bytes((tmp_path / "key-a.json").read_bytes()[:-9])
    assert ran(tmp_path, "a")["a"].state == "feasible"
    assert looks_at(tmp_path, "a") == 2


def test_an_outcome_whose_package_is_gone_is_found_anew(tmp_path):
    job = Job(str(tmp_path / "a.toml"), "a", "key-a", "", out=str(tmp_path / "packages"))
    keep(tmp_path, Outcome("a", "key-a", "a", "feasible", package="a"))
    assert next(outcomes([job], tmp_path, 1, marked)).package == ""
    keep(tmp_path, Outcome("a", "key-a", "a", "feasible", package="a"))
    (tmp_path / "packages" / "a").mkdir(parents=True)
    (tmp_path / "packages" / "a" / "manifest.json").write_text("{}")
    assert next(outcomes([job], tmp_path, 1, marked)).package == "a"
    assert looks_at(tmp_path, "a") == 1


def test_an_outcome_reads_back_as_it_was(tmp_path):
    bound = (Bound("sag", "fail", "sag é"),)
    pieces = (MadePiece("d1", "B20", "plate", 2, SQUARE), MadePiece("d2", "B10", "post", 1, BAR))
    one = Outcome("x/é.toml", "k", "n", "tight", bound, ("m",), pieces, "p")
    keep(tmp_path, one)
    assert kept(tmp_path, "k") == one
    assert kept(tmp_path, "other") is None
    assert [path.name for path in tmp_path.iterdir()] == ["k.json"]


def test_where_nothing_can_be_written_the_error_says_so(tmp_path):
    with pytest.raises(OutputError, match="cannot be kept"):
        keep(tmp_path / "gone", Outcome("x", "k", "n", "feasible"))


def test_keys_follow_everything_that_an_outcome_depends_on(tmp_path, monkeypatch):
    profiles = tmp_path / "profiles"
    shutil.copytree(PROFILES, profiles)
    survey, shop = tmp_path / "s.toml", tmp_path / "shop.toml"
    survey.write_text('name = "s"\n[products]\nfile = "list.csv"\n')
    shop.write_text('brake_table = "bends.csv"\n')
    (tmp_path / "list.csv").write_text("a")
    (tmp_path / "bends.csv").write_text("b")

    def key(*, build: bool = False) -> str:
        return survey_key(survey, common_key(profiles, shop, build=build))

    seen = [key(), key(build=True)]
    named = (tmp_path / "list.csv", tmp_path / "bends.csv")
    for path in (survey, shop, *named, profiles / "rails" / "upn-80.toml"):
        path.write_text(path.read_text() + "\n")
        seen.append(key())
    monkeypatch.setattr(mountgen, "__version__", "999")
    seen.append(key())
    assert len(set(seen)) == len(seen)
    (tmp_path / "unrelated.txt").write_text("x")
    assert key() == seen[-1]


def test_a_mark_before_the_text_hides_no_file_that_a_survey_names(tmp_path):
    survey, named = tmp_path / "s.toml", tmp_path / "list.csv"
    survey.write_bytes(b'\xef\xbb\xbf[products]\nfile = "list.csv"\n')
    named.write_text("a")
    before = survey_key(survey, "")
    named.write_text("b")
    assert survey_key(survey, "") != before


def test_surveys_of_a_folder(tmp_path):
    """In the order of their paths; shops and hidden files are none; what is no TOML is told by its reader."""
    (tmp_path / "b").mkdir()
    (tmp_path / ".hidden").mkdir()
    for name, text in (
        ("b/two.toml", "[line]\n"),
        ("a.toml", "[line]\n"),
        ("broken.toml", "[line\n"),
        ("shop.toml", "[saw]\n"),
        (".hidden/x.toml", "[line]\n"),
    ):
        (tmp_path / name).write_text(text)
    found = [path.relative_to(tmp_path).as_posix() for path in surveys_in(tmp_path)]
    assert found == ["a.toml", "b/two.toml", "broken.toml"]
    for nothing in (tmp_path / "none", tmp_path / ".hidden" / "x.toml"):
        with pytest.raises(SurveyError):
            surveys_in(nothing)


def test_two_lines_of_one_name_cannot_both_have_a_package(tmp_path):
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text('name = "line-2"\n[line]\n')
    surveys = surveys_in(tmp_path)
    jobs, refused = jobs_for(tmp_path, surveys, PROFILES, USUAL, tmp_path / "out")
    assert [job.label for job in jobs] == ["a.toml"]
    assert [(one.label, one.state) for one in refused] == [("b.toml", "bad input")]
    assert "a.toml" in refused[0].messages[0]
    assert len(jobs_for(tmp_path, surveys, PROFILES, USUAL, None)[0]) == 2


@pytest.fixture(scope="module")
def lines(tmp_path_factory) -> Path:
    """The cartons twice under two names, the cartons from the right, and a survey that is wrong."""
    folder = tmp_path_factory.mktemp("lines")
    text = (SURVEYS / "seed-cartons.toml").read_text(encoding="utf-8")
    for name in ("north", "south"):
        (folder / f"{name}.toml").write_text(text.replace("seed-cartons", name), encoding="utf-8")
    wrong = text.replace("seed-cartons", "wrong").replace('speed = "30 m/min"', 'speed = "30 kg"')
    (folder / "wrong.toml").write_text(wrong, encoding="utf-8")
    failing = text.replace("seed-cartons", "fast").replace('speed = "30 m/min"', 'speed = "90 m/min"')
    (folder / "fast.toml").write_text(failing, encoding="utf-8")
    return folder


def order(folder: Path, out: Path, workers: int) -> FleetOrder:
    return FleetOrder(folder, out, USUAL, Catalogue().folder, build=False, workers=workers)


def test_the_summary_is_the_same_with_one_worker_and_two(lines, tmp_path):
    told: list[str] = []
    one = run_fleet(order(lines, tmp_path / "one", 1), told.append)
    two = run_fleet(order(lines, tmp_path / "two", 2), told.append)
    assert one == two
    for name in ("fleet.html", "fleet.xlsx"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
    assert told[-1].startswith("4 of 4, 1 without a verdict")
    assert one.counts == {"feasible": 2, "tight": 0, "not feasible": 1, "bad input": 1, "failed": 0}
    wrong = next(o for o in one.outcomes if o.label == "wrong.toml")
    assert "wrong.toml:" in wrong.messages[0]
    assert ("column_rate", 1, 0) in one.binding
    shared = {part.name: part for part in one.parts}
    assert {label for label, _, _ in shared["rail angle"].lines} == {"north.toml", "south.toml"}
    assert all(len(part.lines) == 2 for part in one.parts)


def test_another_hand_is_another_part():
    """The same line from the right shares its flat plates and bars, not its bent parts."""
    label = "a"
    survey = SURVEYS / "seed-cartons.toml"
    here = look_at(Job(str(survey), label, "k", str(USUAL)))
    assert here.state == "feasible"
    plates = {p.number: p.digest for p in here.pieces}
    assert set(plates) >= {"A10-R", "B20", "B10"}
    assert sum(p.quantity for p in here.pieces) == len(here.pieces)


def piece(digest: str, made: MadeFlat | MadeBar, quantity: int) -> MadePiece:
    return MadePiece(digest, digest.upper(), digest, quantity, made)


def test_shared_parts_and_stock_by_hand():
    """Two lines with the same plate (2 + 1 of it) and bar (1 + 2): 3 bars of 400 mm and 3 mm kerf from one of
    3000 mm; 3 plates on one sheet."""
    slack, fails = Bound("sag", "caution", "t"), Bound("sag", "fail", "t")
    summary = summary_of(
        [
            Outcome("b", "k2", "b", "tight", (slack,), (), (piece("p", SQUARE, 1), piece("s", BAR, 2))),
            Outcome("a", "k1", "a", "feasible", (), (), (piece("p", SQUARE, 2), piece("s", BAR, 1))),
            Outcome("c", "k3", "c", "not feasible", (fails, fails)),
        ],
        SHOP,
    )
    assert [one.label for one in summary.outcomes] == ["a", "b", "c"]
    assert summary.binding == (("sag", 1, 1),)
    assert [(part.name, part.quantity, part.lines) for part in summary.parts] == [
        ("p", 3, (("a", "P", 2), ("b", "P", 1))),
        ("s", 3, (("a", "S", 1), ("b", "S", 2))),
    ]
    flats, bars = summary.stock
    assert (flats.stock, flats.pieces, flats.count) == ("steel-s235, 3 mm", 3, 1)
    assert flats.share_used == pytest.approx(3 * 5000.0 / flats.amount)
    assert (bars.stock, bars.pieces, bars.count, bars.amount) == ("tslot-40", 3, 1, 3000.0)
    assert bars.share_used == pytest.approx(1200.0 / 3000.0)


def test_stock_that_is_missing_is_said():
    odd = MadeFlat("steel-s235", 3.3, SQUARE.outline, 5000.0)
    summary = summary_of([Outcome("a", "k", "a", "feasible", (), (), (piece("p", odd, 1),))], SHOP)
    assert summary.stock[0].count == 0
    assert summary.stock[0].lacks
    assert summary.stock[0].lacks.split()[0] in page("t", summary)


def test_page_and_workbook_show_texts_as_texts():
    hostile = '=cmd()|<script>alert("x")</script>'
    summary = summary_of([Outcome(hostile, "k", hostile, "bad input", messages=(hostile,))], SHOP)
    html = page(hostile, summary)
    assert "<script>" not in html
    assert html.count("&lt;script&gt;") == 5
    book = openpyxl.load_workbook(io.BytesIO(workbook(summary)))
    cell = book["Lines"]["A2"]
    assert (cell.value, cell.data_type) == (hostile, "s")
    assert workbook(summary) == workbook(summary)


def test_the_command_builds_packages_and_tells_by_its_exit_code(lines, tmp_path):
    folder = tmp_path / "in"
    folder.mkdir()
    shutil.copy(lines / "north.toml", folder)
    out = tmp_path / "out"
    made = CliRunner().invoke(app, ["fleet", str(folder), "--out", str(out), "--build", "--workers", "1"])
    assert made.exit_code == 0, made.output
    manifest = json.loads((out / "packages" / "north" / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["verdict"] == "feasible"
    shutil.copy(lines / "wrong.toml", folder)
    wrong = CliRunner().invoke(app, ["fleet", str(folder), "--out", str(tmp_path / "o2"), "--workers", "1"])
    assert wrong.exit_code == 2
    assert "wrong.toml: bad input" in wrong.output
