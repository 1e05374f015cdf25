"""Every example's package: the files that are promised, the manifest's figures, and the documents' words."""

import csv
import hashlib
import json
import os
import re
import subprocess
import sys
import tomllib
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import CARTONS, SURVEYS, times_told
from shops import SHOP

from mountgen.catalogue.reader import Catalogue
from mountgen.errors import ShopError
from mountgen.package.writer import write_package
from mountgen.sheet.flat import unfold
from mountgen.study import study
from mountgen.survey.reader import read_survey

MANIFEST_KEYS = (
    "schema",
    "name",
    "verdict",
    "checks",
    "layout",
    "parts",
    "joints",
    "setup",
    "assumptions",
    "making",
    "nest",
    "files",
)
PART_KEYS = {"number", "name", "kind", "quantity", "material", "mass_kg", "volume_mm3", "files"}
WHOLE = {
    "assembly.step",
    "assembly.glb",
    "cut-and-drill.pdf",
    "set-up.pdf",
    "changeover.pdf",
    "changeover.csv",
    "scale-strips.pdf",
    "nest.pdf",
    "feasibility.html",
}
LISTS = ("bill-of-material", "cut-list", "drill-list", "bend-list", "times-and-cost", "machines")
TABLES = {"cut-and-drill.xlsx", *(f"tables/{name}.csv" for name in LISTS)}
TOO_TALL = (("height = 320", "height = 2600"), ("above_base = 150", "above_base = 2400"))


def paths(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_the_promised_files_and_no_others(package):
    sheets, made = package.made("sheet"), package.made()
    parts = {f"parts/{number}.step" for number in made}
    flats = {f"flat/{number}.dxf" for number in sheets}
    template = {"rail/drill-template.pdf", "rail/drill-template.dxf"}
    nests = {sheet["file"] for sheet in package.manifest["nest"]["sheets"]}
    promised = WHOLE | TABLES | parts | flats | template | nests
    assert paths(package.folder) == promised | {"manifest.json"}
    assert len(sheets) >= 8
    assert len(made) - len(sheets) == 2


def test_manifest_has_the_promised_keys(package):
    manifest = package.manifest
    assert set(MANIFEST_KEYS) <= set(manifest)
    assert (manifest["schema"], manifest["name"]) == (1, package.folder.name)
    assert all(set(part) >= PART_KEYS for part in manifest["parts"])
    assert {part["kind"] for part in manifest["parts"]} == {"sheet", "extrusion", "bought"}


def test_manifest_lists_every_other_file_with_its_hash_and_size(package):
    listed = {entry["path"]: entry for entry in package.manifest["files"]}
    assert set(listed) == paths(package.folder) - {"manifest.json"}
    for path, entry in listed.items():
        content = (package.folder / path).read_bytes()
        assert (entry["sha256"], entry["bytes"]) == (hashlib.sha256(content).hexdigest(), len(content))


def test_manifest_names_the_survey_by_its_hash(package):
    survey = (SURVEYS / f"{package.folder.name}.toml").read_bytes()
    assert package.manifest["inputs"]["survey_sha256"] == hashlib.sha256(survey).hexdigest()


def test_every_made_part_names_its_files(package):
    for number, part in package.made().items():
        flat = [f"flat/{number}.dxf"] if part["kind"] == "sheet" else []
        assert sorted(part["files"]) == [*flat, f"parts/{number}.step"]


def test_making_in_the_manifest_is_that_of_the_tables(package):
    """The last rows of two tables; a rounded figure is off by half of its last place."""
    making = package.manifest["making"]
    work, job = (last_row(package.folder / f"tables/{name}.csv") for name in ("times-and-cost", "machines"))
    cut = float(work["Outline, mm"]) + float(work["Inner cuts, mm"])
    assert making["cut_length_mm"] == pytest.approx(cut, abs=0.011)
    assert (making["pierces"], making["bends"]) == (int(work["Pierces"]), int(work["Bends"]))
    assert making["time_s"] == pytest.approx(float(job["All, s"]), abs=0.051)
    assert making["cost"] == pytest.approx(float(job[f"Cost, {making['currency']}"]), abs=0.0051)
    assert making["rates"] == job["Times and prices"] == SHOP.rates.source


def last_row(path: Path) -> dict[str, str]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))[-1]


def test_a_shop_without_a_price_is_told_and_leaves_the_earlier_package(packages, tmp_path, contents):
    study_of_cartons = packages("seed-cartons").study
    rates = replace(SHOP.rates, material_per_kg={"aluminium-6060-t66": 7.5})
    scene = replace(study_of_cartons.scene, shop=replace(SHOP, rates=rates))
    (tmp_path / "seed-cartons").mkdir()
    (tmp_path / "seed-cartons/kept.txt").write_text("earlier")
    with pytest.raises(ShopError, match="no price for steel-s235"):
        write_package(replace(study_of_cartons, scene=scene), Catalogue(), tmp_path)
    assert contents(tmp_path) == {"seed-cartons/kept.txt": b"earlier"}


def test_the_nest_holds_every_made_part_as_often_as_it_is_needed(package):
    nest = package.manifest["nest"]
    laid = Counter(number for stock in (*nest["sheets"], *nest["bars"]) for number in stock["pieces"])
    assert laid == {number: part["quantity"] for number, part in package.made().items()}
    assert nest["lacks"] == []
    assert {Path(sheet["file"]).parent.name for sheet in nest["sheets"]} == {"nest"}


def test_mass_is_volume_times_density(package):
    """Densities read from profiles/ here, not through the catalogue."""
    for part in package.made().values():
        record = tomllib.loads((SURVEYS.parent / f"materials/{part['material']}.toml").read_text())
        mass = part["volume_mm3"] * record["density_kg_per_m3"] * 1e-9
        assert part["mass_kg"] == pytest.approx(mass, abs=1e-6)


def test_build_adds_the_exact_checks_and_repeats_the_quick_ones(package):
    survey = read_survey(SURVEYS / f"{package.folder.name}.toml", Catalogue())
    quick = [check.id for check in study(survey, Catalogue(), SHOP).checks]
    assert [check["id"] for check in package.manifest["checks"]] == [
        *quick,
        "interference",
        "exact_agreement",
    ]
    assert package.manifest["verdict"] == "feasible"


def test_a_fastener_is_ordered_for_every_joint(package):
    """Counted twice: the manifest's quantities count instances, this test counts joints."""
    wanted = Counter(joint["fastener"] for joint in package.manifest["joints"])
    ordered: Counter[str] = Counter()
    for part in package.manifest["parts"]:
        if part["kind"] == "bought":
            ordered[part["designation"]] += part["quantity"]
            ordered[part["name"]] += part["quantity"]
    assert len(wanted) >= 5
    assert all(ordered[fastener] == count for fastener, count in wanted.items())


def test_a_joint_of_the_rail_for_every_rail_hole(package):
    rail_joints = [j for j in package.manifest["joints"] if any(m["hole"] == "rail" for m in j["members"])]
    assert len(rail_joints) == len(package.study.detail.rail_holes) >= 4


def test_cut_and_drill_names_every_part(package):
    whole = "\n".join(package.drawing_pages)
    assert all(times_told(part["number"], whole) for part in package.manifest["parts"])


def test_every_sheet_part_has_a_drawing_with_every_hole_and_bend(package):
    """On one sheet, or on one for cutting and one for bending."""
    for part in package.study.detail.sheets:
        flat = unfold(part, SHOP.bend_rule(part.material))
        title = f"Identification number\n{part.number}\n"
        pages = [text for text in package.drawing_pages if title in text]
        assert 1 <= len(pages) <= 2, part.number
        page = "\n".join(pages)
        for tag in [hole.tag for hole in flat.holes] + [line.tag for line in flat.bend_lines]:
            # In the picture (where the text before it may run on) and in the table.
            assert len(re.findall(rf"{tag}(?!\d)", page)) >= 2, (part.number, tag)


def test_cut_list_tells_every_bar_length(package):
    whole = "\n".join(package.drawing_pages)
    for bar in package.study.detail.extrusions:
        assert re.search(rf"{re.escape(bar.section.title)}, {bar.length:g} mm.* long", whole)


def test_cut_and_drill_names_every_hole_of_the_rail(package):
    whole = "\n".join(package.drawing_pages)
    assert all(times_told(hole.tag, whole) >= 2 for hole in package.study.detail.rail_holes)


def test_set_up_tells_the_controllers_numbers(package):
    setup, text = package.manifest["setup"], package.set_up_text
    assert re.search(rf"Encoder divider {setup['encoder_divider']}\b", text)
    assert setup["flow"].replace("_", " ") in text
    assert all(product["product"] in text for product in setup["products"])


def test_set_up_tells_every_joint_with_its_key(package):
    for joint in package.manifest["joints"]:
        assert times_told(joint["id"], package.set_up_text)
        assert joint["key"] in package.set_up_text


def test_feasibility_page_stands_alone(package):
    page = (package.folder / "feasibility.html").read_text(encoding="utf-8")
    assert package.folder.name in page
    assert "<script" not in page
    assert not re.findall(r"(?:src|href)=[\"'](?!#|data:)", page)
    assert all(product.name in page for product in package.study.survey.products)


def test_a_survey_that_is_not_feasible_gets_the_report_alone(variant, tmp_path):
    catalogue = Catalogue()
    result = study(read_survey(variant(*TOO_TALL), catalogue), catalogue, SHOP)
    _, folder = write_package(result, catalogue, tmp_path / "out")
    assert paths(folder) == {"manifest.json", "feasibility.html"}
    assert json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["making"] is None
    assert "not feasible" in (folder / "feasibility.html").read_text(encoding="utf-8").lower()


def test_same_survey_same_bytes(packages, tmp_path, contents):
    """Here, after other packages, and in a process that differs in all that must not matter."""
    surroundings = {"PYTHONHASHSEED": "4242", "TZ": "Asia/Kathmandu", "LANG": "de_DE.UTF-8", "LC_ALL": "C"}
    command = [sys.executable, "-c", "from mountgen.cli import main; main()", "build", str(CARTONS)]
    environment = os.environ | surroundings
    subprocess.run(command, cwd=tmp_path, env=environment, check=True, capture_output=True)
    assert contents(tmp_path / "outputs/seed-cartons") == contents(packages("seed-cartons").folder)
    assert [path.name for path in (tmp_path / "outputs").iterdir()] == ["seed-cartons"]
