"""The tables as files, read back with other programs: figures, texts that look like formulas, same bytes."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
import zipfile
from dataclasses import replace
from datetime import datetime
from functools import cache

import pytest
from drawing_samples import mount, renamed
from making_samples import DENSITIES, RATES, SHOP
from openpyxl import load_workbook
from pypdf import PdfReader

from mountgen.fabrication.lists import bend_list, bill_of_material, cut_list, drill_list
from mountgen.fabrication.times import making, works
from mountgen.package.tables import fabricator_pages
from mountgen.package.tables_csv import csv_text, harmless, write_csv_tables
from mountgen.package.tables_xlsx import write_workbook

CARTONS, TRAYS = "seed-cartons", "seed-trays-inch"
SHEETS = ["Bill of material", "Cut list", "Drill list", "Bend list", "Times and cost"]
FILES = {"bill-of-material", "cut-list", "drill-list", "bend-list", "times-and-cost", "machines"}
NASTY = ("=1+1", "+1", "-1", "@SUM(A1)", "  =1+1", '"=1+1"', "a;=1+1", "a,\t=1+1", "＝1+1", "=cmd|' /c x'!A0")
EXACT = 1e-9


def job(dossier, rates=RATES):
    return making(works(dossier.detail, dossier.flats, DENSITIES), rates)


@cache
def pages(survey: str = CARTONS):
    return fabricator_pages(mount(survey), job(mount(survey)), SHOP)


@pytest.fixture(scope="module", params=[CARTONS, TRAYS])
def written(request, tmp_path_factory):
    """A survey's name and the folder with its tables."""
    folder = tmp_path_factory.mktemp("tables")
    survey = mount(request.param).survey
    write_workbook(folder / "cut-and-drill.xlsx", pages(request.param), survey)
    write_csv_tables(folder / "tables", pages(request.param), survey)
    return request.param, folder


def sheet_rows(path, title: str, head: str = "") -> list[dict]:
    """The rows of a sheet's table whose first head is `head` (the first bold one when not given)."""
    rows = [[cell.value for cell in row] for row in load_workbook(path)[title].iter_rows()]
    start = next(i for i, row in enumerate(rows) if row[1] is not None and head in ("", row[0]))
    heads = [value for value in rows[start] if value is not None]
    found = []
    for row in rows[start + 1 :]:
        if all(value is None for value in row):
            break
        found.append(dict(zip(heads, row, strict=False)))
    return found


def csv_rows(folder, name: str) -> list[dict]:
    text = (folder / "tables" / f"{name}.csv").read_bytes().decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline=""), quoting=csv.QUOTE_NONNUMERIC))


def test_one_sheet_and_one_file_for_each_table(written):
    _, folder = written
    assert load_workbook(folder / "cut-and-drill.xlsx").sheetnames == SHEETS
    assert {path.stem for path in (folder / "tables").glob("*.csv")} == FILES
    assert len(list((folder / "tables").iterdir())) == len(FILES)


def test_the_drill_list_has_every_hole_as_numbers(written):
    name, folder = written
    dossier = mount(name)
    expected = drill_list(dossier.survey, dossier.detail, dossier.flats)
    for rows in (sheet_rows(folder / "cut-and-drill.xlsx", "Drill list"), csv_rows(folder, "drill-list")):
        assert [(row["Part"], row["Hole"]) for row in rows] == [(e.part, e.tag) for e in expected]
        for row, hole in zip(rows, expected, strict=True):
            assert row["x, mm"] == pytest.approx(hole.x, abs=0.005 + EXACT)
            assert row["y, mm"] == pytest.approx(hole.y, abs=0.005 + EXACT)
            assert row["Ø or width, mm"] == pytest.approx(hole.width, abs=0.005 + EXACT)
            assert (row["Arc R, mm"] or None) == (hole.radius and round(hole.radius, 2))
            assert (row["For"] or "") == hole.fits
            assert row["Through"] == "yes"


def test_the_other_lists_in_workbook_and_files_alike(written):
    name, folder = written
    dossier = mount(name)
    bends = bend_list(dossier.detail, dossier.flats, SHOP)
    cuts = cut_list(dossier.detail, dossier.flats)
    bill = bill_of_material(dossier.detail, dossier.flats, dossier.masses)
    book = folder / "cut-and-drill.xlsx"
    for rows in (sheet_rows(book, "Bend list"), csv_rows(folder, "bend-list")):
        expected = [(b.part, b.tag, round(b.allowance, 2), round(b.deduction, 2), b.die) for b in bends]
        keys = ("Part", "Bend", "Allowance, mm", "Deduction, mm", "Die V, mm")
        assert [tuple(row[key] for key in keys) for row in rows] == expected
    for rows in (sheet_rows(book, "Cut list"), csv_rows(folder, "cut-list")):
        expected = [(c.number, round(c.length, 2), c.quantity, c.material) for c in cuts]
        keys = ("Number", "Length, mm", "Qty", "Material")
        assert [tuple(row[key] for key in keys) for row in rows] == expected
    for rows in (sheet_rows(book, "Bill of material"), csv_rows(folder, "bill-of-material")):
        *items, whole = rows
        expected = [(b.item, b.number, b.designation, b.quantity) for b in bill]
        assert [
            tuple(row[key] for key in ("Item", "Number", "Designation", "Qty")) for row in items
        ] == expected
        pieces = sum(row["Qty"] * row["Each, kg"] for row in items)
        assert whole["All, kg"] == pytest.approx(pieces, abs=0.0005 * sum(row["Qty"] for row in items))


def test_times_and_costs_sum_up(written):
    """A rounded sum and the sum of rounded figures differ by half of the last place for each figure."""
    name, folder = written
    done = job(mount(name))
    book = folder / "cut-and-drill.xlsx"
    for rows in (sheet_rows(book, "Times and cost"), csv_rows(folder, "times-and-cost")):
        *parts, whole = rows
        assert len(parts) == len(done.parts)
        for head, place in (("Outline, mm", 0.01), ("Laser, s", 0.1), ("All, s", 0.1), ("All, EUR", 0.01)):
            summed = sum(row[head] for row in parts)
            assert whole[head] == pytest.approx(summed, abs=place / 2 * (len(parts) + 1))
        assert (whole["Pierces"], whole["Bends"]) == (done.pierces, done.bends)
    for rows in (sheet_rows(book, "Times and cost", "Machine"), csv_rows(folder, "machines")):
        *machines, material, whole = rows
        assert [row["Machine"] for row in machines] == ["laser", "brake", "saw", "drill"]
        costs = sum(row["Cost, EUR"] for row in (*machines, material))
        assert whole["Cost, EUR"] == pytest.approx(costs, abs=0.005 * 6)
        assert whole["All, s"] == pytest.approx(done.time_s, abs=0.05 + EXACT)
        for row in machines:
            assert row["Work, s"] + row["Set-up, s"] == pytest.approx(row["All, s"], abs=0.1 + EXACT)


def test_times_are_those_of_all_pieces():
    """A second cross plate, wherever it is: its row doubles, no other changes, the sum grows by it."""
    detail = mount().detail
    again = next(instance for instance in detail.instances if instance.part == "B20")
    doubled = replace(detail, instances=(*detail.instances, replace(again, name="cross plate 2")))
    more = replace(mount(), detail=doubled)
    (one, *_), (two, *_) = (
        fabricator_pages(dossier, job(dossier), SHOP)[-1].tables for dossier in (mount(), more)
    )
    for row, other in zip(one.rows[:-1], two.rows[:-1], strict=True):
        expected = [2 * figure for figure in row[2:]] if row[0] == "B20" else list(row[2:])
        assert list(other[2:]) == pytest.approx(expected, abs=0.051)
    plate = next(row for row in one.rows if row[0] == "B20")
    sums = [a + b for a, b in zip(one.rows[-1][2:], plate[2:], strict=True)]
    assert list(two.rows[-1][2:]) == pytest.approx(sums, abs=0.11)


def test_inches_stand_beside_millimetres_in_an_inch_survey_alone(written):
    """A column in mm is followed by the same in inches: 25.4 mm each, to a thousandth."""
    name, folder = written
    for stem in FILES:
        rows = csv_rows(folder, stem)
        lengths = [head for head in rows[0] if head.endswith(", mm")]
        inches = [head for head in rows[0] if head.endswith(", in")]
        assert inches == ([head.replace(", mm", ", in") for head in lengths] if name == TRAYS else [])
        for row in rows:
            for head in inches:
                beside = row[head.replace(", in", ", mm")]
                if beside == "":
                    assert row[head] == ""
                else:
                    assert row[head] * 25.4 == pytest.approx(beside, abs=0.005 + 0.0005 * 25.4 + EXACT)


def test_every_sheet_tells_its_survey_and_unit(written):
    name, folder = written
    survey = mount(name).survey
    told = {CARTONS: "Lengths in mm.", TRAYS: "Lengths in mm, beside them in inches."}[name]
    for sheet in load_workbook(folder / "cut-and-drill.xlsx"):
        assert sheet["A1"].value == sheet.title
        assert sheet["A2"].value == f"Survey {name}, hash {survey.source_sha256[:8]}. {told}"
    for stem in FILES:
        for row in csv_rows(folder, stem):
            assert (row["Survey"], row["Survey SHA-256"]) == (name, survey.source_sha256)


def test_the_revision_is_told_where_there_is_one(tmp_path):
    dossier = replace(mount(), survey=replace(mount().survey, revision="C"))
    found = fabricator_pages(dossier, job(dossier), SHOP)
    write_workbook(tmp_path / "book.xlsx", found, dossier.survey)
    assert ", revision C, " in load_workbook(tmp_path / "book.xlsx")["Cut list"]["A2"].value
    heads, first, *_ = csv.reader(io.StringIO(csv_text(found[0].tables[0], dossier.survey)))
    assert first[heads.index("Revision")] == "C"


def test_times_say_whose_rates_they_rest_on(written):
    _, folder = written
    sheet = load_workbook(folder / "cut-and-drill.xlsx")["Times and cost"]
    notes = [row[0].value for row in sheet.iter_rows() if "made up for a test" in str(row[0].value)]
    assert len(notes) == 2
    for stem in ("times-and-cost", "machines"):
        assert {row["Times and prices"] for row in csv_rows(folder, stem)} == {"made up for a test"}


def test_heads_stay_in_sight_and_are_printed_on_every_page(written):
    name, folder = written
    for sheet in load_workbook(folder / "cut-and-drill.xlsx"):
        head = int(sheet.freeze_panes[1:]) - 1
        assert sheet.freeze_panes.startswith("A")
        assert sheet.cell(head, 1).font.bold and sheet.cell(head + 1, 1).value is not None
        assert sheet.print_title_rows == f"$1:${head}"
        # One page wide is what a workbook leaves unsaid; 0 high is as many pages as it takes.
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) in ((None, 0), (1, 0))
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.page_setup.orientation == "landscape"
        assert int(sheet.page_setup.paperSize) == (9 if name == CARTONS else 1)


def test_every_column_is_as_wide_as_its_cells(written):
    _, folder = written
    for sheet in load_workbook(folder / "cut-and-drill.xlsx"):
        head = int(sheet.freeze_panes[1:]) - 1
        for column in sheet.iter_cols(min_row=head + 1):
            shown = [f"{c.value:.2f}" if isinstance(c.value, float) else str(c.value or "") for c in column]
            notes = [text for text in shown if text.startswith("Estimate")]
            longest = max(len(text) for text in shown if text not in notes)
            assert sheet.column_dimensions[column[0].column_letter].width >= min(longest, 44)


def with_texts(text: str):
    """The mount under a survey of that name, with a bought part so named and rates so sourced."""
    dossier = renamed(mount(), text)
    first, *others = dossier.detail.bought
    bought = (replace(first, name=text, designation=text), *others)
    dossier = replace(dossier, detail=replace(dossier.detail, bought=bought))
    rates = replace(RATES, source=text, currency=text)
    return dossier, fabricator_pages(dossier, job(dossier, rates), SHOP)


@pytest.mark.parametrize("text", NASTY)
def test_no_text_becomes_a_formula_in_the_workbook(text, tmp_path):
    dossier, found = with_texts(text)
    write_workbook(tmp_path / "book.xlsx", found, dossier.survey)
    values = []
    for sheet in load_workbook(tmp_path / "book.xlsx"):
        for row in sheet.iter_rows():
            values += [cell.value for cell in row if isinstance(cell.value, str)]
    assert values.count(text) == 2
    with zipfile.ZipFile(tmp_path / "book.xlsx") as archive:
        sheets = [name for name in archive.namelist() if name.startswith("xl/worksheets/sheet")]
        assert len(sheets) == len(SHEETS)
        assert not any(b"<f>" in archive.read(name) for name in sheets)


@pytest.mark.parametrize("text", NASTY)
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_no_cell_of_a_csv_file_begins_a_formula(text, delimiter, tmp_path):
    """However a spreadsheet splits the lines: no cell but a number begins with a sign of a formula."""
    dossier, found = with_texts(text)
    write_csv_tables(tmp_path / "tables", found, dossier.survey)
    for path in (tmp_path / "tables").iterdir():
        content = path.read_bytes().decode("utf-8-sig")
        for row in csv.reader(io.StringIO(content, newline=""), delimiter=delimiter):
            assert not [cell for cell in row if begins_formula(cell)]


def begins_formula(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return cell.strip(" \t\"'") != "" and cell.lstrip(' \t"')[0] in "=+-@＝＋－＠"
    return False


def test_what_is_harmless_stays_as_it_is():
    for text in ("", "a - b", "ISO 4762 - M6 x 16 - 8.8", "3 = 3", "x, y", "Ø 5 ±0°30'", "e-mail a@b"):
        assert harmless(text) == text
    assert [harmless(text) for text in ("=1", "-x", " @a", "a;=1")] == ["'=1", "'-x", " '@a", "a;'=1"]


def test_negative_numbers_stay_numbers(tmp_path):
    dossier = mount()
    holes = tuple(replace(hole, x=-hole.x) for hole in dossier.detail.rail_holes)
    dossier = replace(dossier, detail=replace(dossier.detail, rail_holes=holes))
    found = fabricator_pages(dossier, job(dossier), SHOP)
    write_csv_tables(tmp_path / "tables", found, dossier.survey)
    rows = [row for row in csv_rows(tmp_path, "drill-list") if row["Part"] == "rail"]
    assert [row["x, mm"] for row in rows] == [round(hole.x, 2) for hole in holes]
    assert all(row["x, mm"] < 0 for row in rows)


def test_a_csv_file_begins_with_a_byte_order_mark_and_ends_lines_as_the_rule_says(written):
    _, folder = written
    for path in (folder / "tables").iterdir():
        content = path.read_bytes()
        assert content.startswith(b"\xef\xbb\xbf")
        assert content.endswith(b"\r\n")
        assert content.count(b"\n") == content.count(b"\r\n")


def test_same_tables_same_bytes(written, tmp_path, contents):
    name, folder = written
    survey = mount(name).survey
    write_workbook(tmp_path / "cut-and-drill.xlsx", pages(name), survey)
    write_csv_tables(tmp_path / "tables", pages(name), survey)
    assert contents(tmp_path) == contents(folder)
    assert load_workbook(tmp_path / "cut-and-drill.xlsx").properties.created == datetime(1980, 1, 1)


@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice (soffice) is not installed")
def test_an_office_program_prints_the_workbook(tmp_path):
    """One page a sheet, the same words and figures on it."""
    dossier = mount(TRAYS)
    write_workbook(tmp_path / "cut-and-drill.xlsx", pages(TRAYS), dossier.survey)
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", tmp_path]
    book = tmp_path / "cut-and-drill.xlsx"
    subprocess.run([*command, book], check=True, capture_output=True, timeout=300)
    printed = [page.extract_text() for page in PdfReader(tmp_path / "cut-and-drill.pdf").pages]
    assert len(printed) == len(SHEETS)
    for title, text in zip(SHEETS, printed, strict=True):
        assert text.startswith(title)
    for hole in drill_list(dossier.survey, dossier.detail, dossier.flats):
        assert f"{hole.x:.2f}" in printed[2]
