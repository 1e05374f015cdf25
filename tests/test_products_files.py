"""Files that are no lists, or no good ones: an error with its place, in little time and memory."""

import datetime
import random
import zipfile
from io import BytesIO

import openpyxl
import pytest
from product_lists import read_bytes, reasons, refusal, sizes, workbook

from mountgen.errors import SurveyError
from mountgen.survey.product_list.reader import read_products
from mountgen.survey.product_list.records import ListOptions

HEADER = ("name", "length (mm)", "width (mm)", "height (mm)", "gap (mm)")
ROWS = "name;length;width;height\nA;10;20;30\n"

REFUSED = [
    (b"", "the file is empty"),
    (b"\xef\xbb\xbf \n \n", "no header"),
    (bytes(range(256)) * 8, "no text file"),
    (b"PK\x03\x04" + bytes(100), "zip file"),
    (ROWS.encode("utf-16-le"), "utf-16-le"),
    (ROWS.encode("utf-32"), "UTF-32"),
    (b"name;" + b"x;" * 100_000 + b"\n", "100002 columns"),
    (b"name;length;width;height" + b";x" * 1_000_000, "a line of more than"),
    (b"a;b\n" * 2_000_001, "lines"),
    (b"name;length;width;height\n", "no rows below the header"),
    (b"name;length;width\nA;1;2\n", "no column for height"),
    (b"foo;bar\n1;2\n", "no header"),
    (b"name;article;length;width;height\nA;B;1;2;3\n", "may both be the name"),
    (b"name;length;l;width;height\nA;1;1;2;3\n", "may both be the length"),
    (b"name;length (dm);width;height\nA;1;2;3\n", "no column for length"),
    (b'name;length;width;height\nA;1;2;3\n"B;1;2;3\n', ":3: a row cannot be divided"),
    (b'name;length;width;height\n"A"x;1;2;3\n', ":2: a row cannot be divided"),
    (b"name;length;width;height\nA\xff\xfe;1;2;3\n", ":2: byte 0xff is not UTF-8"),
]


@pytest.mark.parametrize(("content", "found"), REFUSED)
def test_text_files_that_are_no_lists(tmp_path, content, found):
    assert found in refusal(tmp_path, content)


OPTIONS = [
    ({"encoding": "klingon"}, "unknown encoding"),
    ({"encoding": "base64"}, "unknown encoding"),
    ({"delimiter": ";;"}, "delimiter"),
    ({"sheet": "x"}, "sheet"),
    ({"columns": {"lenght": "x"}}, "did you mean 'length'?"),
    ({"columns": {"gap": "nowhere"}}, "nowhere"),
    ({"units": None}, "without a unit"),
]


def test_a_header_that_is_pointed_to_may_not_carry_an_unknown_unit(tmp_path):
    text = "name;Tiefe (dm);width;height\nA;1;2;3\n"
    assert "unknown unit" in refusal(tmp_path, text, columns={"length": "Tiefe (dm)"})


@pytest.mark.parametrize(("options", "found"), OPTIONS)
def test_options_that_do_not_fit(tmp_path, options, found):
    assert found in refusal(tmp_path, ROWS, **options)


def test_wrong_encodings_do_not_turn_letters_into_others(tmp_path):
    source = ROWS.replace("A", "Ä").encode()
    assert "UTF-8" in refusal(tmp_path, source, encoding="cp1252")
    assert "mark" in refusal(tmp_path, b"\xef\xbb\xbf" + source, encoding="cp1252")


def test_folders_and_files_that_are_not_there(tmp_path):
    for path in (tmp_path, tmp_path / "none.csv", tmp_path / "none.xlsx"):
        with pytest.raises(SurveyError):
            read_products(path, None, ListOptions())


def _list(book, sheet):
    sheet.merge_range(0, 0, 0, 3, "Stock report")
    sheet.write_row(2, 0, HEADER)
    sheet.write_row(3, 0, ["A", 301.125, "200,5", 150, "12,5 mm"])
    sheet.write_row(4, 0, [4711, 1.25, 200, 150])
    sheet.write_row(5, 0, ["date", 30])
    sheet.write_datetime(5, 2, datetime.datetime(2026, 3, 5), book.add_format({"num_format": "dd.mm.yyyy"}))
    sheet.write(5, 3, 3)
    sheet.write_row(6, 0, ["error", 30, 20])
    sheet.write_formula(6, 3, "=1/0", None, "#DIV/0!")
    sheet.write_row(7, 0, ["formula", 30, 20])
    sheet.write_formula(7, 3, "=4*10", None, 40)
    sheet.write_row(9, 0, ["format", 30, 20])
    sheet.write(9, 3, 4, book.add_format({"num_format": '0 "cm"'}))
    sheet.write_row(10, 0, ["truth", True, 20, 30])
    sheet.write_row(11, 0, ["share", 30, 20, 40])
    sheet.write(11, 4, 0.3, book.add_format({"num_format": "0%"}))


def test_a_spreadsheet(tmp_path):
    read = read_bytes(tmp_path, workbook(_list), "list.xlsx", units=None)
    assert sizes(read) == {
        "A": (301.125, 200.5, 150, 12.5),
        "4711": (1.25, 200, 150, 250),
        "formula": (30, 20, 40, 250),
        "format": (30, 20, 40, 250),
    }
    assert list(reasons(read)) == [6, 7, 11, 12]
    assert "a percentage" in reasons(read)[12]
    assert "date" in reasons(read)[6]
    assert "#DIV/0!" in reasons(read)[7]
    assert (read.rows_in_file, read.rows_empty) == (8, 1)


def test_formulas_that_were_never_worked_out_are_no_empty_cells(tmp_path):
    book = openpyxl.Workbook()
    for row in (HEADER, ("A", 10, 20, 30, "=4+4")):
        book.active.append(row)
    book.save(tmp_path / "made.xlsx")
    read = read_bytes(tmp_path, (tmp_path / "made.xlsx").read_bytes(), "list.xlsx")
    assert "never worked out" in reasons(read)[2]


def test_several_sheets(tmp_path):
    def fill(book, sheet):
        for target, width in ((sheet, 20), (book.add_worksheet("more"), 21)):
            target.write_row(0, 0, HEADER)
            target.write_row(1, 0, ["A", 10, width, 30, 5])

    both = workbook(fill)
    assert "'list', 'more'" in refusal(tmp_path, both, "list.xlsx")
    assert "no sheet 'x'" in refusal(tmp_path, both, "list.xlsx", sheet="x")
    assert sizes(read_bytes(tmp_path, both, "list.xlsx", sheet="more")) == {"A": (10, 21, 30, 5)}


def test_hidden_and_empty_sheets_do_not_count(tmp_path):
    def fill(book, sheet):
        sheet.write_row(0, 0, HEADER)
        sheet.write_row(1, 0, ["A", 10, 20, 30, 5])
        sheet.set_row(1, None, None, {"hidden": True})
        other = book.add_worksheet("other")
        other.write(0, 0, "x")
        other.hide()
        book.add_worksheet("empty")

    read = read_bytes(tmp_path, workbook(fill), "list.xlsx")
    assert sizes(read) == {"A": (10, 20, 30, 5)}
    assert {"sheet 'list'; left out: other, empty"} <= set(read.notes)
    assert any(note.startswith("1 hidden rows") for note in read.notes)


def _zip(parts: dict[str, bytes]) -> bytes:
    target = BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return target.getvalue()


def test_zip_files_that_are_no_spreadsheets(tmp_path):
    good = workbook(_list)
    bomb = _zip({"xl/workbook.xml": b"", "xl/worksheets/sheet1.xml": bytes(50_000_000)})
    cases = [
        (b"x", "not a zip file"),
        (b"", "not a zip file"),
        (b"\xd0\xcf\x11\xe0" + bytes(600), "old spreadsheet"),
        (_zip({"a": b"x"}), "no workbook"),
        (bomb, "is packed 50000000 bytes"),
        (_zip({"xl/workbook.xml": b"<!DOCTYPE x [<!ENTITY a 'b'>]><x/>"}), "defines entities"),
        (good[: len(good) // 2], "no spreadsheet"),
    ]
    for content, found in cases:
        assert found in refusal(tmp_path, content, "list.xlsx")
    assert "leave 'encoding' out" in refusal(tmp_path, good, "list.xlsx", encoding="cp1252")


def test_damaged_spreadsheets_never_raise_anything_else(tmp_path):
    good, draw, refused = workbook(_list), random.Random(1), 0
    with zipfile.ZipFile(BytesIO(good)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    for _ in range(60):
        name = draw.choice(sorted(parts))
        content = bytearray(parts[name])
        for _ in range(draw.randint(1, 5)):
            at = draw.randrange(len(content))
            content[at : at + draw.choice((0, 1, 3))] = bytes([draw.choice(b'<>/"=0AZ9& ')])
        try:
            read_bytes(tmp_path, _zip(parts | {name: bytes(content)}), "list.xlsx")
        except SurveyError:
            refused += 1
    assert refused > 20
