"""Where remedies are told: terminal, JSON, manifest and feasibility page. A feasible mount pays nothing."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from test_checks_each import CASES, sound, studied

from mountgen.package.feasibility import feasibility_page
from mountgen.package.report import check_report
from mountgen.package.text import summary
from mountgen.package.writer import findings
from mountgen.remedies.advice import with_remedies
from mountgen.remedies.records import NO_ADVICE, Advice, Remedy, what_helps

CLOSE = ("gap = 250", "gap = 5")
FREE = ("free_to = 600", "free_to = 200")
FIELDS = {
    "check_id",
    "key",
    "text",
    "amount",
    "unit",
    "new_value",
    "verdict_after",
    "also_mends",
    "still_fails",
    "share",
}
EVIL = "<script>alert(1)</script>"


def remedy(check_id: str = "free_stretch", text: str = "free more", **changes: object) -> Remedy:
    one = Remedy(check_id, "rail.free_to", text, 5.0, "mm", 155.0, "feasible", (), (), 0.1)
    return replace(one, **changes)


class Text(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.text = ""
        self.feed(page)

    def handle_data(self, data: str) -> None:
        self.text += data


def test_two_failures_are_mended_together(run, variant):
    """Too close together and too short a stretch: neither change is enough alone, both together are."""
    outcome = run("check", variant(CLOSE, FREE), "--json")
    assert outcome.code == 1
    report = json.loads(outcome.out)
    assert report["verdict"] == "not feasible"
    assert {one["check_id"] for one in report["remedies"]} == {"free_stretch", "next_product"}
    assert all(set(one) == FIELDS for one in report["remedies"])
    assert all(one["verdict_after"] == "not feasible" for one in report["remedies"])
    together = report["remedies_together"]
    assert {one["check_id"] for one in together} == {"free_stretch", "next_product"}
    assert together[-1]["verdict_after"] in ("feasible", "tight")
    failed = [one for one in report["checks"] if one["verdict"] == "fail"]
    best = {one["check_id"]: one["text"] for one in reversed(report["remedies"])}
    assert {one["id"]: one["remedy"] for one in failed} == best


def test_package_and_terminal_tell_the_same(run, variant, tmp_path):
    survey = variant(FREE)
    told = run("check", survey).out
    assert "what would make it feasible: any one of these is enough\n" in told
    built = run("build", survey, "--out", tmp_path / "out")
    assert built.code == 1
    folder = tmp_path / "out" / "seed-cartons"
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    page = Text((folder / "feasibility.html").read_text(encoding="utf-8")).text
    assert "What would make it feasible" in page
    for one in manifest["remedies"]:
        assert one["verdict_after"] == "feasible"
        assert one["text"] in told and one["text"] in built.out
        assert one["text"][1:] in page


def test_a_feasible_survey_pays_nothing(variant):
    """Not even the search is imported."""
    line = "import sys; sys.argv = ['mountgen', 'check', {!r}]; from mountgen import cli\n"
    code = line.format(str(variant())) + (
        "try:\n    cli.run()\nexcept SystemExit:\n    pass\n"
        "print('mountgen.remedies.advice' in sys.modules, 'mountgen.remedies.search' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "False False"


def test_without_advice_nothing_is_added():
    made = studied(sound())
    report = check_report(made)
    assert report["remedies"] == report["remedies_together"] == []
    assert "what would make it feasible" not in summary(made)
    assert "What would make it feasible" not in feasibility_page(findings(made, ()))
    assert what_helps(NO_ADVICE) == ("", ())


def test_a_check_that_nothing_mends_keeps_its_own_remedy():
    made = studied(next(case for case in CASES if case.id == "free_stretch").spoil())
    old = {one.id: one.remedy for one in made.checks}
    kept = {one.id: one.remedy for one in with_remedies(made, Advice((), (), 9)).checks}
    assert kept.pop("free_stretch") == f"nothing tried alone helps: {old.pop('free_stretch')}"
    assert kept == old
    advised = {one.id: one.remedy for one in with_remedies(made, Advice((remedy(),), (), 9)).checks}
    assert advised.pop("free_stretch") == "free more"
    assert advised == old


@pytest.mark.parametrize(
    ("advice", "said", "count"),
    [
        (Advice((remedy(), remedy(text="other", share=0.05)), (), 3), "Any one of these is enough", 2),
        (Advice((remedy(), remedy("column_rate")), (), 3), "Any one of these is enough", 1),
        (
            Advice((remedy(verdict_after="not feasible"),), (remedy(), remedy("column_rate")), 3),
            "All of these together, in this order",
            2,
        ),
        (Advice((), (), 3), "Nothing that was tried is enough (3 changed surveys were studied)", 0),
    ],
)
def test_what_helps_in_words(advice, said, count):
    assert what_helps(advice)[0] == said
    assert len(what_helps(advice)[1]) == count


def test_the_smallest_change_is_told_first():
    advice = Advice((remedy(share=0.5), remedy(text="less", share=0.1)), (), 2)
    assert what_helps(advice)[1] == ("less", "free more")


def test_users_text_is_escaped():
    made = studied(next(case for case in CASES if case.id == "free_stretch").spoil())
    page = feasibility_page(findings(made, ()), Advice((remedy(text=EVIL),), (), 1))
    assert EVIL not in page
    assert EVIL in Text(page).text
