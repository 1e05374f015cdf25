"""Lists of products as people export them, one fault at a time, with the values worked out by hand."""

import numpy as np
import pytest
from product_lists import DEFAULTS, read_bytes, read_text, reasons, refusal, sizes

from mountgen.survey.product_list.table import ProductTable
from mountgen.survey.records import Code, Product
from mountgen.units import Measured

HEADER = "name;length;width;height;gap\n"


def test_german_export_with_byte_order_mark(tmp_path):
    text = "Artikel;Länge (mm);Breite (mm);Höhe (mm);Abstand (mm)\r\n"
    text += "Karton A;300,5;200;150,25;50\r\nKarton B;1.299,99;400;300;75,5\r\n"
    read = read_bytes(tmp_path, text.encode("utf-8-sig"), units=None)
    assert sizes(read) == {"Karton A": (300.5, 200, 150.25, 50), "Karton B": (1299.99, 400, 300, 75.5)}
    assert (read.rows_in_file, read.refused, read.doubtful) == (2, (), ())


@pytest.mark.parametrize("delimiter", [";", ",", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_any_delimiter_and_unicode(tmp_path, delimiter, encoding):
    lines = ["name", "length_mm", "width_mm", "height_mm"], ["Blüte Ø66", '"12,5"', "3", "4.25"]
    text = "\n".join(delimiter.join(line) for line in lines)
    assert sizes(read_bytes(tmp_path, text.encode(encoding))) == {"Blüte Ø66": (12.5, 3, 4.25, 250)}


def test_old_encoding_is_named_not_guessed(tmp_path):
    source = "Artikel;Länge (mm);Breite (mm);Höhe (mm)\r\nDose Ø66;66;66;115,2\r\n".encode("cp1252")
    assert 'encoding = "cp1252"' in refusal(tmp_path, source)
    assert sizes(read_bytes(tmp_path, source, encoding="cp1252")) == {"Dose Ø66": (66, 66, 115.2, 250)}


def test_numbers_that_begin_late(tmp_path):
    blank = "".join(f"spare{at:03d};-;-;-;-\n" for at in range(120))
    read = read_text(tmp_path, HEADER + blank + "real;120,5;80;60,25;20\n")
    assert sizes(read) == {"real": (120.5, 80, 60.25, 20)}
    assert (read.rows_in_file, len(read.refused)) == (121, 120)
    assert set(reasons(read).values()) == {"no length; no width; no height"}


SETTLED = [
    ("1,250", "300,5", 1.25),
    ("1,250", "300.5", 1250.0),
    ("1.250", "300,5", 1250.0),
    ("1.250", "300.5", 1.25),
    ("1,250", "1,299.99", 1250.0),
    ("1.250", "1.299,99", 1250.0),
    ("1,250", "0,125", 1.25),
    ("1,250", "12,500", 1.25),  # 12500 mm is no product, and every number has three digits behind its mark
    ("12.125", "8", 12.125),  # 12125 mm is no product
]


@pytest.mark.parametrize(("cell", "other", "expected"), SETTLED)
def test_other_numbers_of_a_column_settle_an_ambiguous_one(tmp_path, cell, other, expected):
    for rows in ([f"A;{cell};2;3;4", f"B;{other};2;3;4"], [f"B;{other};2;3;4", f"A;{cell};2;3;4"]):
        read = read_text(tmp_path, HEADER + "\n".join(rows))
        assert sizes(read)["A"][0] == expected
        assert any("column 'length'" in note and cell[-4] in note for note in read.notes)


@pytest.mark.parametrize("other", ["300", "1,300", "12,500;2;3;4\nC;300", "300.5;2;3;4\nC;300,5"])
def test_ambiguous_numbers_that_nothing_settles_are_refused_with_both_readings(tmp_path, other):
    read = read_text(tmp_path, f"{HEADER}A;1,250;2;3;4\nB;{other};2;3;4\n")
    assert "'1,250', which can be read as 1.25 or as 1250" in reasons(read)[2]
    assert "A" not in sizes(read)


@pytest.mark.parametrize(("decimal", "expected"), [(",", 1.25), (".", 1250.0)])
def test_the_user_settles_ambiguous_numbers(tmp_path, decimal, expected):
    read = read_text(tmp_path, f"{HEADER}A;1,250;2;3;4\n", decimal=decimal)
    assert sizes(read)["A"][0] == expected


UNITS = [
    ("length (cm)", "12,5", 125.0),
    ("Length [mm]", "12,5", 12.5),
    ("LENGTH_MM", "12.5", 12.5),
    ("Länge in cm", "1,5", 15.0),
    ("L", "12,5 mm", 12.5),
    ("length_in", "2 1/4", 57.15),
    ("length", "2 1/4 in", 57.15),
    ("length", "1 299,5", 1299.5),
    ("length", "1'299.5", 1299.5),
    ("length", "1.234.5,6", None),
    ("length", "5 MM", None),
    ("length", "1,250 ± 5", None),
    ("length", "1.250 ± 0.5", None),
    ("length", "0" * 70 + "5", None),
]


@pytest.mark.parametrize(("header", "cell", "expected"), UNITS)
def test_units_in_headers_and_cells(tmp_path, header, cell, expected):
    read = read_text(tmp_path, f"name;{header};width;height\nA;{cell};2;3\n")
    assert (sizes(read)["A"][0] if expected else list(reasons(read))) == (
        pytest.approx(expected, rel=1e-15) if expected else [2]
    )


def test_a_row_of_units_below_the_header_and_titles_above(tmp_path):
    read = read_text(tmp_path, "Report;;;\n\nname;length;width;height\n;cm;cm;mm\nA;1;2;3\n", units=None)
    assert sizes(read) == {"A": (10, 20, 3, 250)}


def test_a_product_below_the_header_is_no_row_of_units(tmp_path):
    read = read_text(tmp_path, "name;length;width;height\nA;;;'\nB;1;2;3\n")
    assert sizes(read) == {"B": (1, 2, 3, 250)}
    assert (read.rows_in_file, list(reasons(read))) == (2, [2])


def test_a_unit_that_is_said_above_the_header_is_not_passed_over(tmp_path):
    said = refusal(tmp_path, "All sizes in cm;;;\nname;length;width;height\nA;1;2;3\n")
    assert "says cm" in said


def test_another_unit_than_the_header_says_is_doubtful(tmp_path):
    read = read_text(tmp_path, "name;length (cm);width;height\nA;12,5 mm;2;3\n")
    assert sizes(read)["A"][0] == 12.5
    assert [doubt.row_number for doubt in read.doubtful] == [2]


def test_uncertainty_of_a_cell_and_of_the_defaults(tmp_path):
    table = read_text(tmp_path, HEADER + "A;300 +/- 2;2;3;4\nB;300;2;3;4\n").table
    assert table.length_plus_minus.tolist() == [2.0, 0.5]
    assert table.row(0).length.plus_minus == 2.0


BAD_SIZES = [
    "0",
    "-5",
    "NaN",
    "nan",
    "inf",
    "1e9",
    "9999",
    "true",
    "#N/A",
    "12.5.3,1",
    "3-5",
    "",
    "-",
    "٣٠٠",
    "1_000",
]


@pytest.mark.parametrize("cell", BAD_SIZES)
def test_no_size_no_product(tmp_path, cell):
    read = read_text(tmp_path, f"{HEADER}A;{cell};2;3;4\nB;10;2;3;4\n")
    assert list(sizes(read)) == ["B"]
    assert list(reasons(read)) == [2]
    assert "length" in reasons(read)[2]


def test_rows_with_cells_missing_or_left_over(tmp_path):
    read = read_text(tmp_path, HEADER + "A;1;2;3\nB;1;2;3;4;5\nC;1;2;3;4;\n;1;2;3;4\n")
    assert list(sizes(read)) == ["C"]
    assert {line: reason[:7] for line, reason in reasons(read).items()} == {
        2: "4 cells", 3: "6 cells", 5: "no name"
    }  # fmt: skip


def test_row_numbers_are_lines_where_rows_begin(tmp_path):
    text = HEADER + '"A\nB";10;2;3;4\n\n"C\r\nD\nE";0;2;3;4\n;;;;\nF;0;2;3;4\n'
    read = read_text(tmp_path, text)
    assert list(sizes(read)) == ["A B"]
    assert list(reasons(read)) == [5, 9]
    assert (read.rows_in_file, read.rows_empty) == (3, 2)


def test_duplicates(tmp_path):
    rows = "A;10;2;3;4\nA;10,0;2;3;4 mm\nB;10;2;3;4\nB;10;2;3;5\nc;10;2;3;4\nC;10;2;3;4\n"
    read = read_text(tmp_path, HEADER + rows)
    assert list(sizes(read)) == ["A"]
    assert list(reasons(read)) == [4, 5, 6, 7]
    assert (read.rows_in_file, read.rows_read, read.rows_repeated) == (6, 2, 1)


def test_columns_by_mapping_and_left_out(tmp_path):
    text = "sku;Titel;Tiefe (cm);W;H;Preis\n1;A;10;2;3;9,99\n"
    read = read_text(tmp_path, text, columns={"name": "Titel", "length": "tiefe"})
    assert sizes(read) == {"A": (100, 2, 3, 250)}
    assert "columns left out: sku, Preis" in read.notes


def test_values_that_the_list_lacks_come_from_the_defaults(tmp_path):
    text = "name;l;w;h;against;gap;face;from_near\nA;10;9;8;far;;;\nB;10;9;8;;5;top;3\n"
    text += "C;10;9;8;;5;top;\nD;10;9;8;mid;5;;\n"
    read = read_text(tmp_path, text)
    first, second = read.table
    assert (first.against, first.gap, first.code.above_base, first.bulge) == ("far", 250, 0, 1.5)
    assert second.code == Code("top", (0.1, 0.1), 0.0, from_near=3.0)
    assert "from_near" in reasons(read)[4]
    assert "'mid'" in reasons(read)[5]


def test_codes_that_stick_out_are_refused(tmp_path):
    read = read_text(tmp_path, "name;l;w;h;code_along;from_leading\nA;100;9;8;80;40\n")
    assert "its code ends 120 mm along its length, which is 100 mm" in reasons(read)[2]


def test_a_slip_of_the_decimal_mark_is_doubtful(tmp_path):
    rows = [f"P{at};{300 + at};{200 + at};{150 + at};5" for at in range(40)]
    read = read_text(tmp_path, HEADER + "\n".join([*rows, "slip;300;200;1500;5"]))
    assert [(doubt.text, "height" in doubt.reason) for doubt in read.doubtful] == [("slip", True)]
    assert "slip" in sizes(read)


def test_the_table_gives_products_back_and_cannot_be_written():
    other = Product("B", Measured(2.0, 0.1), Measured(3.0), Measured(4.0), "far", 5.0,
                    Code("top", (1.0, 0.5), 0.2, from_near=0.3), 0.0, 0.0, Measured(7.0, 2.0))  # fmt: skip
    table = ProductTable.of([DEFAULTS, other])
    assert list(table) == [DEFAULTS, other]
    assert table.row(1).near_side_at.plus_minus == 2.0
    assert np.isnan(table.near_side_at[0])
    with pytest.raises(ValueError, match="read-only"):
        table.length[0] = 1.0
