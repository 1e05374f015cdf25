"""The mass of products in lists: headers, cells, units, refusals."""

import numpy as np
import pytest
from product_lists import read_bytes, read_text, reasons, refusal, workbook

HEAD = "name,length,width,height"


@pytest.mark.parametrize(
    ("header", "cell", "kg"),
    [
        ("mass_kg", "2.5", 2.5),
        ("mass (g)", "450", 0.45),
        ("Gewicht [kg]", "2.5", 2.5),
        ("weight in lb", "2", 0.90718474),
        ("mass", "2.5 kg", 2.5),
        ("mass", "2 lb 8 oz", 1.133980925),
        ("mass (kg)", "450 g", 0.45),
    ],
)
def test_a_mass_in_its_unit(tmp_path, header, cell, kg):
    """1 lb = 0.45359237 kg: yard and pound agreement of 1959 (NIST SP 811, appendix B)."""
    read = read_text(tmp_path, f"{HEAD},{header}\nA,300,200,150,{cell}\nB,310,200,150,\n")
    assert read.table.mass_kg[0] == pytest.approx(kg, rel=1e-15)
    assert np.isnan(read.table.mass_kg[1])
    assert [product.mass_kg for product in read.table] == [pytest.approx(kg), None]
    assert not any("mass" in note for note in read.notes)


def test_a_list_without_masses(tmp_path):
    assert np.isnan(read_text(tmp_path, f"{HEAD}\nA,300,200,150\n").table.mass_kg).all()


def test_bare_masses_need_a_unit_whatever_the_unit_of_lengths(tmp_path):
    said = refusal(tmp_path, f"{HEAD},mass\nA,300,200,150,2\n")
    assert "1 numbers without a unit in column 'mass'" in said
    assert "'mass (kg)'" in said


@pytest.mark.parametrize(
    ("cell", "why"),
    [
        ("2 mm", "mass is '2 mm'"),
        ("600", "not within 0.001 kg to 500 kg"),
        ("0", "mass is 0 kg"),
        ("x", "'x'"),
    ],
)
def test_a_wrong_mass_refuses_its_row(tmp_path, cell, why):
    read = read_text(tmp_path, f"{HEAD},mass_kg\nA,300,200,150,{cell}\nB,310,200,150,2\n")
    assert why in reasons(read)[2]
    assert read.table.names.tolist() == ["B"]


def test_a_mapping_names_the_survey_s_key(tmp_path):
    read = read_text(tmp_path, f"{HEAD},Netto (kg)\nA,300,200,150,2\n", columns={"mass": "Netto (kg)"})
    assert read.table.mass_kg.tolist() == [2.0]


def test_a_spreadsheet_with_a_unit_in_its_format(tmp_path):
    def fill(book, sheet):
        grams = book.add_format({"num_format": '0 "g"'})
        sheet.write_row(0, 0, [*HEAD.split(","), "mass"])
        sheet.write_row(1, 0, ["A", 300, 200, 150])
        sheet.write_number(1, 4, 450, grams)

    assert read_bytes(tmp_path, workbook(fill), "list.xlsx").table.mass_kg.tolist() == [0.45]
